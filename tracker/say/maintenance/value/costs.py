"""What a task and the failures it prevents cost, in words: the terms of its value."""

from __future__ import annotations

from functools import partial

from tracker.decisions.routine.cost import TaskCost
from tracker.decisions.routine.task_value import KindValue, TaskValue
from tracker.language import N_, _
from tracker.say.maintenance.failure_cost import cost_line
from tracker.say.numbers import about_money, money, within
from tracker.workshop import vocabulary


def cost_lines(value: TaskValue) -> tuple[str, ...]:
    """What one failure of each kind, and doing the task once, are counted with."""
    currency = value.studies.currency
    return (
        *(cost_line(one.cost, currency) for one in value.kinds),
        work_line(value.studies.task_cost, currency),
    )


def cost_label(value: TaskValue, one: KindValue) -> str:
    """What one failure of a kind is counted with, as the lid of its terms."""
    counted = within(one.cost.total, *one.cost.range80, partial(amount_of, value))
    return _(
        "One {part} failure: {money} – see and change",
        part=part_name(one.part_kind),
        money=counted,
    )


def work_label(value: TaskValue) -> str:
    """What doing the task once is counted with, as the lid of its terms."""
    cost = value.studies.task_cost
    return _(
        "Doing the task once: {money} ({minutes} minutes)",
        money=amount_of(value, cost.total),
        minutes=f"{cost.minutes:.0f}",
    )


def work_line(cost: TaskCost, currency: str) -> str:
    """What doing the task once costs."""
    fluid = _(
        ", fluid or ink {fluid} ({fluid_ml} ml)",
        fluid=money(cost.fluid, currency),
        fluid_ml=f"{cost.fluid_ml:.0f}",
    )
    text = (
        N_("Doing the task once costs {total}: work {work} ({minutes} minutes, as logged){fluid}.")
        if cost.is_logged
        else N_(
            "Doing the task once costs {total}: work {work} ({minutes} minutes, the trade’s "
            "guess){fluid}."
        )
    )
    return _(
        text,
        total=money(cost.total, currency),
        work=money(cost.work, currency),
        minutes=f"{cost.minutes:.0f}",
        fluid=fluid if cost.fluid > 0 else "",
    )


def work_once(value: TaskValue) -> str:
    """What doing the task once costs, in a sentence."""
    text = (
        N_("The work is counted once: {about} more per printer and year.")
        if value.extra_work >= 0
        else N_("The work is counted once: {about} less per printer and year.")
    )
    return _(text, about=about_amount_of(value, abs(value.extra_work)))


def amount_of(value: TaskValue, amount: float) -> str:
    """An amount in the currency of the study."""
    return money(amount, value.studies.currency)


def about_amount_of(value: TaskValue, amount: float) -> str:
    """An amount in the currency of the study, rounded to what it is worth."""
    return about_money(amount, value.studies.currency)


def part_name(part_kind: str) -> str:
    """A part kind inside a sentence."""
    return vocabulary.part_label(part_kind).lower()
