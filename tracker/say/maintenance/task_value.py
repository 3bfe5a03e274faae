"""What a task is worth over all parts it protects, in words: from which cost on it pays."""

from __future__ import annotations

import math

from tracker.decisions.cost_draws import FACTOR_BY_SOURCE
from tracker.decisions.routine.break_even_cost import BreakEvenCost
from tracker.decisions.routine.cost import TaskCost
from tracker.decisions.routine.cost_stack import CostStack
from tracker.decisions.routine.task_value import KindValue, TaskValue
from tracker.say.listing import Listing
from tracker.say.maintenance.doubts import disagreement
from tracker.say.maintenance.evidence import ages_sentence, printers_sentence
from tracker.say.maintenance.failure_cost import cost_line
from tracker.say.maintenance.frequency import every, every_of, fewer
from tracker.say.maintenance.log_check import lag_chosen, log_findings
from tracker.say.maintenance.verdict import (
    how_sure,
    least_cost_sentence,
    saving_in_words,
    trivial_saving,
    what_is_missing,
)
from tracker.say.numbers import about_money, count, figure, money
from tracker.say.phrases import listed
from tracker.workshop import vocabulary


def value_lines(value: TaskValue) -> tuple[str, ...]:
    """What stands under the verdict: every kind, the best interval, costs, what is left out."""
    study = value.kinds[0].kind.study
    return (
        *filter(None, [lag_chosen(study)]),
        *log_findings(study.log, study.task),
        *(kind_line(value, one) for one in value.kinds),
        *least_cost_lines(value),
        *cost_lines(value),
        *not_counted(value),
    )


def least_cost_lines(value: TaskValue) -> tuple[str, ...]:
    """The interval of least cost over all parts; none where there is only belief."""
    if not value.leading.is_told:
        return ()
    seen = value.leading.effect.study.fits.observed_days
    demand = value.studies.demand
    end = "the end of what was tried" if demand is None else demanded(value)
    least = value.studies.least_cost
    return (least_cost_sentence(least, "failures of all these parts", seen, end=end),)


def demanded(value: TaskValue) -> str:
    """How often the maker demands the task."""
    demand = value.studies.demand
    if demand is None or demand.every_days is None:
        return "the maker demands it by printed area"
    return f"the maker demands it {every(demand.every_days)}"


def cost_lines(value: TaskValue) -> tuple[str, ...]:
    """What one failure of each kind, and doing the task once, are counted with."""
    currency = value.studies.currency
    return (
        *(cost_line(one.cost, currency) for one in value.kinds),
        work_line(value.studies.task_cost, currency),
    )


def cost_label(value: TaskValue, one: KindValue) -> str:
    """What one failure of a kind is counted with, as the lid of its terms."""
    low, high = (_about(value, end) for end in one.cost.range80)
    between = f" (80 % range {low} to {high})" if low != high else ""
    return (
        f"One {_part(one.part_kind)} failure: {_money(value, one.cost.total)}{between} – see and "
        "change"
    )


def work_label(value: TaskValue) -> str:
    """What doing the task once is counted with, as the lid of its terms."""
    cost = value.studies.task_cost
    return f"Doing the task once: {_money(value, cost.total)} ({cost.minutes:.0f} minutes)"


def work_line(cost: TaskCost, currency: str) -> str:
    """What doing the task once costs."""
    fluid = f", fluid or ink {money(cost.fluid, currency)} ({cost.fluid_ml:.0f} ml)"
    return (
        f"Doing the task once costs {money(cost.total, currency)}: work "
        f"{money(cost.work, currency)} ({cost.minutes:.0f} minutes"
        f"{', as logged' if cost.is_logged else ', the trade’s guess'})"
        f"{fluid if cost.fluid > 0 else ''}."
    )


def break_even_sentence(value: TaskValue) -> str:
    """From which cost of a failure on the change pays, beside what is counted now.

    Where there is only belief: how many failures it has to avoid, which hangs on no model.
    """
    one = value.leading
    change = (
        f"{vocabulary.task_label(value.studies.task)}: {every(value.every_days)} instead of "
        f"{every(value.instead_of_days)}"
    )
    counted = _money(value, one.cost.total)
    if not one.kind.is_belief or one.cost.total <= 0:
        return f"{change} {_pays(one.break_even, value)}; counted now: {counted}."
    needed = f"{figure(abs(value.extra_work) / one.cost.total)} {_part(one.part_kind)} failures"
    pays = f"avoids {needed}" if value.extra_work > 0 else f"brings no more than {needed}"
    return f"{change} pays if it {pays} per printer and year, at {counted} each."


def together_sentence(value: TaskValue) -> str:
    """How sure that is with all parts together, and how it moves without those for which the log
    cannot tell.
    """
    return f"{in_a_word(value)}: {sums(value)}"


def sums(value: TaskValue) -> str:
    """The chance that it pays, the amounts and the work, with all parts and with those told."""
    names = listed([_part(one.part_kind) for one in value.kinds])
    trivial = trivial_saving(value.studies.task_cost)
    whole = saving_in_words(value.saving, lambda amount: _about(value, amount), trivial)
    several = len(value.kinds) > 1
    sentence = f"with {names}{' together' if several else ' failures'} {whole}. {_work(value)}"
    if not value.not_told:
        return sentence
    if value.saving_if_told is None:
        return (
            f"{sentence} The log cannot tell yet{' for any of them' if several else ''}: much of "
            "this is belief, and no saving can be promised."
        )
    without = saving_in_words(value.saving_if_told, lambda amount: _about(value, amount), trivial)
    return (
        f"{sentence} The log cannot tell yet for {listed(list(map(_part, value.not_told)))}; left "
        f"out: {without}."
    )


def in_a_word(value: TaskValue) -> str:
    """The answer in a word or two."""
    if value.not_told and value.saving_if_told is None:
        return "Cannot tell yet"
    return how_sure(value.saving, trivial_saving(value.studies.task_cost))


def kind_line(value: TaskValue, one: KindValue) -> str:
    """One part kind: failures avoided with their range, the risk, and from which cost it pays."""
    ratio = one.effect.hazard_ratio
    sentences = [
        f"{vocabulary.part_label(one.part_kind)}: {avoided(one)}; the risk is "
        f"{figure(ratio.estimate)} times as high (95 % limits {figure(ratio.lower)} to "
        f"{figure(ratio.upper)}).",
        kind_pays(value, one),
        disagreement(one.effect),
    ]
    return " ".join(filter(None, sentences))


def earned_sentence(value: TaskValue) -> str:
    """What the log tells of the failures avoided, beside the work; "" where it tells of none."""
    told = [one for one in value.kinds if one.is_told]
    if not told:
        return ""
    failures = [
        f"{figure(abs(one.avoided[0]))} {'fewer' if one.avoided[0] >= 0 else 'more'} "
        f"{_part(one.part_kind)} failures {'save' if one.avoided[0] >= 0 else 'cost'} about "
        f"{_about(value, abs(one.worth[0]))}"
        for one in told
    ]
    work = "extra work costs" if value.extra_work >= 0 else "work saved is worth"
    return (
        f"Known from the log, per printer and year: {listed(failures)}; the {work} about "
        f"{_about(value, abs(value.extra_work))}."
    )


def part_line(value: TaskValue, one: KindValue) -> str:
    """One part kind for a reader in a hurry: what is known, else that it is not and what is
    missing."""
    told = f"{avoided(one)}; {worth(value, one)}."
    rest = kind_pays(value, one) if one.is_told else _not_told(one)
    return f"{told} {rest}" if one.is_told else f"{rest} What is believed: {told}"


def _not_told(one: KindValue) -> str:
    return f"The log cannot tell yet: {what_is_missing(one.effect)}."


def avoided(one: KindValue) -> str:
    """How many failures fewer of one kind, with their range."""
    return fewer(*one.avoided, "failures")


def worth(value: TaskValue, one: KindValue) -> str:
    """What the failures of one kind that are avoided are worth, with their range.

    Without the work, which is counted once for all kinds.
    """
    half, low, high = one.worth
    signs = {amount > 0 for amount in (low, high)}
    ends = [
        _about(value, abs(amount)) + ("" if len(signs) == 1 else _sign(amount))
        for amount in sorted((low, high), key=lambda end: abs(end) if len(signs) == 1 else end)
    ]
    return (
        f"{_about(value, abs(half))} {_sign(half).strip()} by that (80 % range {' to '.join(ends)})"
    )


def _sign(amount: float) -> str:
    return " saved" if amount >= 0 else " lost"


def kind_pays(value: TaskValue, one: KindValue) -> str:
    """From which cost of this kind's failure on the change pays, and what the log cannot tell."""
    sentences = []
    if not one.kind.is_belief:
        sentences.append(
            f"All else as counted the change {_pays(one.break_even, value)}; counted now: "
            f"{_money(value, one.cost.total)}."
        )
    if not one.is_told:
        sentences.append(_not_told(one))
    apart = (printers_sentence(one.effect), ages_sentence(one.effect))
    return " ".join([*sentences, *filter(None, apart)])


def kinds_listing(value: TaskValue) -> Listing:
    """Every kind in a row: its failures, what they cost, and what the log can tell of it."""
    rows = []
    for one in value.kinds:
        half, low, high = one.avoided
        effect = one.effect
        rows.append(
            (
                vocabulary.part_label(one.part_kind),
                figure(effect.failures_per_year_instead),
                figure(effect.failures_per_year),
                f"{_signed(half)} ({_signed(low)} to {_signed(high)})",
                _money(value, one.cost.total),
                count(effect.failures, "failure")
                + (": it can tell" if one.is_told else ": it cannot tell yet"),
            )
        )
    heads = (
        "Part", every(value.instead_of_days), every(value.every_days), "fewer (80 % range)",
        "a failure costs", "the log",
    )  # fmt: skip
    return Listing(heads, tuple(rows), numeric=(1, 2, 3, 4))


def _signed(number: float) -> str:
    return f"−{figure(-number)}" if number < 0 else figure(number)


def marked_intervals(value: TaskValue) -> dict[str, tuple[float, ...]]:
    """The intervals to be marked in the picture, by their names in the legend."""
    now, asked = value.studies.now_days, (value.every_days, value.instead_of_days)
    return {
        f"In force today: {every_of(now)}" if now else "In force today: none": now,
        f"Compared: {every(asked[0])} and {every(asked[1])}": asked,
    }


def picture_sentence(value: TaskValue, stack: CostStack) -> str:
    """What the picture of cost by interval shows."""

    def said(amount: float) -> str:  # sums so near each other need a digit more to be told apart
        return about_money(amount, value.studies.currency, digits=3)

    here, there = (said(stack.at(days)) for days in (value.every_days, value.instead_of_days))
    least = value.studies.least_cost
    at = int(stack.every_days.searchsorted(least.every_days))
    pale = ""
    if value.not_told and value.saving_if_told is not None:
        pale = (
            f" Pale: {listed(list(map(_part, value.not_told)))}, of which the log cannot tell yet "
            "how the interval moves them."
        )
    return (
        f"Work and failures come to about {here} per printer and year {every(value.every_days)} "
        f"and {there} {every(value.instead_of_days)}; least expected, "
        f"{said(stack.together[at])}, {every(least.every_days)} (80 % range of that cost "
        f"{_about(value, stack.low[at])} to {_about(value, stack.high[at])}, much of it the same "
        f"at every interval).{pale}"
    )


def not_counted(value: TaskValue) -> tuple[str, ...]:
    """What the answer leaves out, and how sure its costs are taken to be."""
    off = {source: round(100 * (factor - 1)) for source, factor in FACTOR_BY_SOURCE.items()}
    remarks = [
        "“Pays” from a cost on: from there it more likely pays than not.",
        "The chance counts that costs are uncertain too: a guess is taken to be off by "
        f"{off['guess']} % or more one time in three, a stated figure by {off['catalogue']} %, one "
        f"counted in the log by {off['log']} %.",
        "Not counted: drop-outs and spoiled prints that end without a failure, and the time a "
        "printer stands for the task.",
    ]
    for one in value.kinds:
        full = one.effect.cost_of_failure
        if len(one.cost.terms) < len(full.terms):
            remarks.append(
                f"What a {_part(one.part_kind)} failure does to other parts is counted with those."
            )
    return (*remarks, *map(not_watched, value.studies.not_watched))


def not_watched(part_kind: str) -> str:
    """That a kind is protected too, and why it is not counted."""
    label = vocabulary.part_label(part_kind)
    return f"{label}: protected too, but not watched long enough to be counted."


def _pays(even: BreakEvenCost, value: TaskValue) -> str:
    part = _part(even.part_kind)
    if math.isnan(even.cost):
        return f"does not pay, however little a {part} failure costs"
    if even.is_least and even.cost > 0:
        return f"pays once a {part} failure costs more than {_money(value, even.cost)}"
    if not even.is_least and math.isfinite(even.cost):
        return f"pays as long as a {part} failure costs less than {_money(value, even.cost)}"
    return f"pays whatever a {part} failure costs"


def _work(value: TaskValue) -> str:
    more = "more" if value.extra_work >= 0 else "less"
    return (
        f"The work is counted once: {_about(value, abs(value.extra_work))} {more} per printer and "
        "year."
    )


def _money(value: TaskValue, amount: float) -> str:
    return money(amount, value.studies.currency)


def _about(value: TaskValue, amount: float) -> str:
    return about_money(amount, value.studies.currency)


def _part(part_kind: str) -> str:
    return vocabulary.part_label(part_kind).lower()
