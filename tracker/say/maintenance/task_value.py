"""What a task is worth over all parts it protects, in words: from which cost on it pays."""

from __future__ import annotations

import math

from tracker.decisions.cost_draws import FACTOR_BY_SOURCE
from tracker.decisions.routine.break_even_cost import BreakEvenCost
from tracker.decisions.routine.task_value import KindValue, TaskValue
from tracker.say.maintenance.doubts import disagreement
from tracker.say.maintenance.evidence import ages_sentence, printers_sentence
from tracker.say.maintenance.failure_cost import cost_line
from tracker.say.maintenance.frequency import every
from tracker.say.maintenance.verdict import (
    least_cost_sentence,
    saving_in_words,
    trivial_saving,
    what_is_missing,
)
from tracker.say.numbers import figure, money
from tracker.say.phrases import first_up, listed
from tracker.workshop import vocabulary


def value_verdict(value: TaskValue) -> str:
    """From which cost of a failure on it pays, then how surely and how much, all parts together."""
    return f"{break_even_sentence(value)} {together_sentence(value)}"


def value_lines(value: TaskValue) -> tuple[str, ...]:
    """What stands under the verdict: every kind, the best interval, costs, what is left out."""
    studies = value.studies
    seen = value.leading.effect.study.fits.observed_days
    least = least_cost_sentence(studies.least_cost, "failures of all these parts", seen)
    return (
        *(kind_line(value, one) for one in value.kinds),
        *([least] if value.leading.is_told else ()),
        *(cost_line(one.cost, studies.currency) for one in value.kinds),
        *not_counted(value),
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
    """All parts together, and how that moves without those for which the log cannot tell."""
    names = listed([_part(one.part_kind) for one in value.kinds])
    trivial = trivial_saving(value.studies.task_cost)
    whole = saving_in_words(value.saving, lambda amount: _money(value, amount), trivial)
    several = len(value.kinds) > 1
    sentence = f"{first_up(names)}{' together' if several else ''}: {whole}. {_work(value)}"
    if not value.not_told:
        return sentence
    if value.saving_if_told is None:
        return (
            f"{sentence} The log cannot tell yet{' for any of them' if several else ''}: much of "
            "this is belief, and no saving can be promised."
        )
    without = saving_in_words(value.saving_if_told, lambda amount: _money(value, amount), trivial)
    return (
        f"{sentence} The log cannot tell yet for {listed(list(map(_part, value.not_told)))}; left "
        f"out: {without}."
    )


def kind_line(value: TaskValue, one: KindValue) -> str:
    """One part kind: failures avoided with their range, the risk, and from which cost it pays."""
    half, low, high = one.avoided
    ratio = one.effect.hazard_ratio
    if low < 0 < high:
        between = f"{figure(-low)} more to {figure(high)} fewer"
    else:
        between = " to ".join(figure(abs(end)) for end in sorted((low, high), key=abs))
    sentences = [
        f"{vocabulary.part_label(one.part_kind)}: {figure(abs(half))} "
        f"{'fewer' if half >= 0 else 'more'} failures per printer and year (80 % range {between}); "
        f"the risk is {figure(ratio.estimate)} times as high (95 % limits {figure(ratio.lower)} to "
        f"{figure(ratio.upper)})."
    ]
    if not one.kind.is_belief:
        sentences.append(
            f"All else as counted the change {_pays(one.break_even, value)}; counted now: "
            f"{_money(value, one.cost.total)}."
        )
    if not one.is_told:
        sentences.append(f"The log cannot tell yet: {what_is_missing(one.effect)}.")
    apart = (printers_sentence(one.effect), ages_sentence(one.effect), disagreement(one.effect))
    return " ".join([*sentences, *filter(None, apart)])


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
    remarks += [
        f"{vocabulary.part_label(kind)}: protected too, but not watched long enough to be counted."
        for kind in value.studies.not_watched
    ]
    return tuple(remarks)


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
        f"The work is counted once: {_money(value, abs(value.extra_work))} {more} per printer and "
        "year."
    )


def _money(value: TaskValue, amount: float) -> str:
    return money(amount, value.studies.currency)


def _part(part_kind: str) -> str:
    return vocabulary.part_label(part_kind).lower()
