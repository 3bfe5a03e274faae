"""The picture of a task's cost by interval, in words: what it shows and what it cannot."""

from __future__ import annotations

from tracker.decisions.routine.cost_stack import NO_REAL_DIFFERENCE, CostStack
from tracker.decisions.routine.task_value import TaskValue
from tracker.language import N_, _
from tracker.say.maintenance.frequency import every, every_of
from tracker.say.maintenance.value.costs import about_amount_of, part_name
from tracker.say.numbers import about_money, chance, days, figure, percent
from tracker.say.phrases import listed

_FOUR_DIGITS_FROM = 10_000.0  # currency units


def marked_intervals(value: TaskValue) -> dict[str, tuple[float, ...]]:
    """The intervals to be marked in the picture, by their names in the legend."""
    now, asked = value.studies.now_days, (value.every_days, value.instead_of_days)
    in_force = _("In force today: {days}", days=every_of(now)) if now else _("In force today: none")
    compared = _("Compared: {first} and {second}", first=every(asked[0]), second=every(asked[1]))
    return {in_force: now, compared: asked}


def picture_sentence(value: TaskValue, stack: CostStack) -> str:
    """What the picture of cost by interval shows."""

    least = value.studies.least_cost
    at = int(stack.every_days.searchsorted(least.every_days))
    # Sums so near each other need a digit more to be told apart.
    digits = 4 if stack.together[at] >= _FOUR_DIGITS_FROM else 3

    def said(amount: float) -> str:
        return about_money(amount, value.studies.currency, digits=digits)

    here, there = (said(stack.at(at_days)) for at_days in (value.every_days, value.instead_of_days))
    pale = ""
    if value.not_told and value.saving_if_told is not None:
        pale = _(
            " Pale: {part}, of which the log cannot tell yet how the interval moves them.",
            part=listed(list(map(part_name, value.not_told))),
        )
    expected = _(
        "Work and failures are expected to come to about {here} per printer and year {every_days} "
        "and {there} {instead_of_days}; least, {together}, {least_days} (in 8 "
        "of 10 cases that cost is {low} to {high}, much of it the same at every "
        "interval).{pale}",
        here=here,
        every_days=every(value.every_days),
        there=there,
        instead_of_days=every(value.instead_of_days),
        together=said(stack.together[at]),
        least_days=every(least.every_days),
        low=said(stack.low[at]),
        high=said(stack.high[at]),
        pale=pale,
    )
    beside = (_nothing_between(stack, least.every_days), _expected_beside_chance(value))
    return " ".join(filter(None, (expected, *beside)))


def _nothing_between(stack: CostStack, least_days: float) -> str:
    """Between which intervals the choice is worth no thought; "" where one stands out."""
    first, last = stack.alike(least_days)
    if first == last:
        return ""
    return _(
        "No real difference from every {first} to every {last}: within {share} of the least.",
        first=figure(first),
        last=days(last),
        share=percent(NO_REAL_DIFFERENCE),
    )


def _expected_beside_chance(value: TaskValue) -> str:
    """Why what is expected and what is more likely point to different sides; "" where not."""
    saving = value.saving
    if not saving.is_carried_by_few:
        return ""
    text = (
        N_(
            "Expected is the average of all cases, seldom and dear ones too: by it {every_days} "
            "costs {more} more than {instead_of_days}, yet more likely than not it costs less "
            "({chance}). So near, neither is a reason to change."
        )
        if saving.expected < 0
        else N_(
            "Expected is the average of all cases, seldom and dear ones too: by it {every_days} "
            "costs {more} less than {instead_of_days}, yet more likely than not it costs more "
            "({chance}). So near, neither is a reason to change."
        )
    )
    return _(
        text,
        every_days=every(value.every_days),
        more=about_amount_of(value, abs(saving.expected)),
        instead_of_days=every(value.instead_of_days),
        chance=chance(max(saving.chance_it_pays, 1 - saving.chance_it_pays)),
    )
