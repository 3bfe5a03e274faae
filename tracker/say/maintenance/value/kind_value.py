"""What a task is worth for one kind of part, in words: failures avoided, money, pays or not."""

from __future__ import annotations

import math

from tracker.decisions.routine.break_even_cost import BreakEvenCost
from tracker.decisions.routine.task_value import KindValue, TaskValue
from tracker.language import N_, _
from tracker.say.listing import Listing
from tracker.say.maintenance.doubts import disagreement, why_left_out
from tracker.say.maintenance.evidence import ages_sentence, printers_sentence
from tracker.say.maintenance.frequency import every, fewer
from tracker.say.maintenance.value.costs import about_amount_of, amount_of, part_name
from tracker.say.maintenance.verdict import used, what_is_missing
from tracker.say.numbers import figure
from tracker.workshop import vocabulary


def kind_line(value: TaskValue, one: KindValue) -> str:
    """One part kind: failures avoided with their range, the risk, and from which cost it pays."""
    ratio = one.effect.hazard_ratio
    sentences = [
        _(
            "{part}: {avoided}; the risk is {estimate} times as high (95 % limits {lower} to "
            "{upper}).",
            part=vocabulary.part_label(one.part_kind),
            avoided=avoided(one),
            estimate=figure(ratio.estimate),
            lower=figure(ratio.lower),
            upper=figure(ratio.upper),
        ),
        kind_pays(value, one),
        disagreement(one.effect),
        why_left_out(one.effect.study.fits),
    ]
    return " ".join(filter(None, sentences))


def part_line(value: TaskValue, one: KindValue) -> str:
    """One part kind for a reader in a hurry: what is known, else that it is not and what is
    missing."""
    told = f"{avoided(one)}; {worth(value, one)}."
    rest = kind_pays(value, one) if one.is_told else _not_told(one)
    rest = " ".join(filter(None, (rest, why_left_out(one.effect.study.fits))))
    return (
        f"{told} {rest}"
        if one.is_told
        else _("{rest} What is believed: {told}", rest=rest, told=told)
    )


def _not_told(one: KindValue) -> str:
    return _("The log cannot tell yet: {missing}.", missing=what_is_missing(one.effect))


def avoided(one: KindValue) -> str:
    """How many failures fewer of one kind, with their range."""
    return fewer(*one.avoided, _("failures"))


def worth(value: TaskValue, one: KindValue) -> str:
    """What the failures of one kind that are avoided are worth, with their range.

    Without the work, which is counted once for all kinds.
    """
    mean, low, high = one.worth
    signs = {amount > 0 for amount in (low, high)}
    ends = sorted((low, high), key=lambda end: abs(end) if len(signs) == 1 else end)
    first, last = (about_amount_of(value, abs(end)) for end in ends)
    if len(signs) == 2:
        first, last = _signed_about(first, ends[0]), _signed_about(last, ends[1])
    text = (
        N_("{about} saved by that ({low} to {high} in 8 of 10 cases)")
        if mean >= 0
        else N_("{about} lost by that ({low} to {high} in 8 of 10 cases)")
    )
    return _(text, about=about_amount_of(value, abs(mean)), low=first, high=last)


def _signed_about(said: str, amount: float) -> str:
    return _("{amount} saved", amount=said) if amount >= 0 else _("{amount} lost", amount=said)


def kind_pays(value: TaskValue, one: KindValue) -> str:
    """From which cost of this kind's failure on the change pays, and what the log cannot tell."""
    sentences = []
    if not one.kind.is_belief:
        sentences.append(
            _(
                "All else as counted the change {break_even}; counted now: {money}.",
                break_even=pays_from(one.break_even, value),
                money=amount_of(value, one.cost.total),
            )
        )
    if not one.is_told:
        sentences.append(_not_told(one))
    apart = (printers_sentence(one.effect), ages_sentence(one.effect))
    return " ".join([*sentences, *filter(None, apart)])


def kinds_listing(value: TaskValue) -> Listing:
    """Every kind in a row: its failures, what they cost, and what the log can tell of it."""
    rows = []
    for one in value.kinds:
        mean, low, high = one.avoided
        effect = one.effect
        rows.append(
            (
                vocabulary.part_label(one.part_kind),
                figure(effect.failures_per_year_instead),
                figure(effect.failures_per_year),
                _(
                    "{half} ({low} to {high})",
                    half=_signed(mean),
                    low=_signed(low),
                    high=_signed(high),
                ),
                amount_of(value, one.cost.total),
                used(effect.study.fits)
                + (_(": it can tell") if one.is_told else _(": it cannot tell yet")),
            )
        )
    heads = (
        _("Part"),
        every(value.instead_of_days),
        every(value.every_days),
        _("fewer (80 % range)"),
        _("a failure costs"),
        _("the log"),
    )
    return Listing(heads, tuple(rows), numeric=(1, 2, 3, 4))


def _signed(number: float) -> str:
    return f"−{figure(-number)}" if number < 0 else figure(number)


def not_watched(part_kind: str) -> str:
    """That a kind is protected too, and why it is not counted."""
    label = vocabulary.part_label(part_kind)
    return _("{label}: protected too, but not watched long enough to be counted.", label=label)


def pays_from(even: BreakEvenCost, value: TaskValue) -> str:
    """From which cost of a failure on the interval pays, part by part."""
    part = part_name(even.part_kind)
    if math.isnan(even.cost):
        return _("does not pay, whatever one {part} failure costs", part=part)
    if even.is_least and even.cost > 0:
        return _(
            "pays once one {part} failure costs more than {money}",
            part=part,
            money=amount_of(value, even.cost),
        )
    if not even.is_least and math.isfinite(even.cost):
        return _(
            "pays as long as one {part} failure costs less than {money}",
            part=part,
            money=amount_of(value, even.cost),
        )
    return _("pays whatever one {part} failure costs", part=part)
