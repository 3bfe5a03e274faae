"""What a task is worth over all parts it protects, in words: from which cost on it pays."""

from __future__ import annotations

import math

from tracker.decisions.cost_draws import FACTOR_BY_SOURCE
from tracker.decisions.routine.break_even_cost import BreakEvenCost
from tracker.decisions.routine.cost import TaskCost
from tracker.decisions.routine.cost_stack import NO_REAL_DIFFERENCE, CostStack
from tracker.decisions.routine.task_value import KindValue, TaskValue
from tracker.language import N_, _
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
from tracker.say.numbers import about_money, count, days, figure, money, percent
from tracker.say.phrases import listed
from tracker.workshop import vocabulary

_FOUR_DIGITS_FROM = 10_000.0  # currency units


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
    end = _("the end of what was tried") if demand is None else demanded(value)
    least = value.studies.least_cost
    return (least_cost_sentence(least, _("failures of all these parts"), seen, end=end),)


def demanded(value: TaskValue) -> str:
    """How often the maker demands the task."""
    demand = value.studies.demand
    if demand is None or demand.every_days is None:
        return _("the maker demands it by printed area")
    return _("the maker demands it {every_days}", every_days=every(demand.every_days))


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
    text = (
        N_("One {part} failure: {money} ({low} to {high} in 8 of 10 cases) – see and change")
        if low != high
        else N_("One {part} failure: {money} – see and change")
    )
    money_ = _money(value, one.cost.total)
    return _(text, part=_part(one.part_kind), money=money_, low=low, high=high)


def work_label(value: TaskValue) -> str:
    """What doing the task once is counted with, as the lid of its terms."""
    cost = value.studies.task_cost
    return _(
        "Doing the task once: {money} ({minutes} minutes)",
        money=_money(value, cost.total),
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


def break_even_sentence(value: TaskValue) -> str:
    """From which cost of a failure on the change pays, beside what is counted now.

    Where there is only belief: how many failures it has to avoid, which hangs on no model.
    """
    one = value.leading
    change = _(
        "{task}: {every_days} instead of {instead_of_days}",
        task=vocabulary.task_label(value.studies.task),
        every_days=every(value.every_days),
        instead_of_days=every(value.instead_of_days),
    )
    counted = _money(value, one.cost.total)
    if not one.kind.is_belief or one.cost.total <= 0:
        return _(
            "{change} {break_even}; counted now: {counted}.",
            change=change,
            break_even=_pays(one.break_even, value),
            counted=counted,
        )
    text = (
        N_(
            "{change} pays if it avoids {needed} {part} failures per printer and year, at "
            "{counted} each."
        )
        if value.extra_work > 0
        else N_(
            "{change} pays if it brings no more than {needed} {part} failures per printer and "
            "year, at {counted} each."
        )
    )
    return _(
        text,
        change=change,
        needed=figure(abs(value.extra_work) / one.cost.total),
        part=_part(one.part_kind),
        counted=counted,
    )


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
    text = (
        N_("with {names} together {whole}. {work}")
        if several
        else N_("with {names} failures {whole}. {work}")
    )
    sentence = _(text, names=names, whole=whole, work=_work(value))
    if not value.not_told:
        return sentence
    if value.saving_if_told is None:
        text = (
            N_(
                "{sentence} The log cannot tell yet for any of them: much of this is belief, and "
                "no saving can be promised."
            )
            if several
            else N_(
                "{sentence} The log cannot tell yet: much of this is belief, and no saving can be "
                "promised."
            )
        )
        return _(text, sentence=sentence)
    without = saving_in_words(value.saving_if_told, lambda amount: _about(value, amount), trivial)
    return _(
        "{sentence} The log cannot tell yet for {part}; left out: {without}.",
        sentence=sentence,
        part=listed(list(map(_part, value.not_told))),
        without=without,
    )


def in_a_word(value: TaskValue) -> str:
    """The answer in a word or two."""
    if value.not_told and value.saving_if_told is None:
        return _("Cannot tell yet")
    return how_sure(value.saving, trivial_saving(value.studies.task_cost))


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
    ]
    return " ".join(filter(None, sentences))


def earned_sentence(value: TaskValue) -> str:
    """What the log tells of the failures avoided, beside the work; "" where it tells of none."""
    told = [one for one in value.kinds if one.is_told]
    if not told:
        return ""
    failures = [
        _(
            N_("{avoided} fewer {part} failures save about {about}")
            if one.avoided[0] >= 0
            else N_("{avoided} more {part} failures cost about {about}"),
            avoided=figure(abs(one.avoided[0])),
            part=_part(one.part_kind),
            about=_about(value, abs(one.worth[0])),
        )
        for one in told
    ]
    text = (
        N_(
            "Known from the log, per printer and year: {failures}; the extra work costs about "
            "{about}."
        )
        if value.extra_work >= 0
        else N_(
            "Known from the log, per printer and year: {failures}; the work saved is worth about "
            "{about}."
        )
    )
    return _(text, failures=listed(failures), about=_about(value, abs(value.extra_work)))


def part_line(value: TaskValue, one: KindValue) -> str:
    """One part kind for a reader in a hurry: what is known, else that it is not and what is
    missing."""
    told = f"{avoided(one)}; {worth(value, one)}."
    rest = kind_pays(value, one) if one.is_told else _not_told(one)
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
    half, low, high = one.worth
    signs = {amount > 0 for amount in (low, high)}
    ends = sorted((low, high), key=lambda end: abs(end) if len(signs) == 1 else end)
    first, last = (_about(value, abs(end)) for end in ends)
    if len(signs) == 2:
        first, last = _signed_about(first, ends[0]), _signed_about(last, ends[1])
    text = (
        N_("{about} saved by that ({low} to {high} in 8 of 10 cases)")
        if half >= 0
        else N_("{about} lost by that ({low} to {high} in 8 of 10 cases)")
    )
    return _(text, about=_about(value, abs(half)), low=first, high=last)


def _signed_about(said: str, amount: float) -> str:
    return _("{amount} saved", amount=said) if amount >= 0 else _("{amount} lost", amount=said)


def kind_pays(value: TaskValue, one: KindValue) -> str:
    """From which cost of this kind's failure on the change pays, and what the log cannot tell."""
    sentences = []
    if not one.kind.is_belief:
        sentences.append(
            _(
                "All else as counted the change {break_even}; counted now: {money}.",
                break_even=_pays(one.break_even, value),
                money=_money(value, one.cost.total),
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
        half, low, high = one.avoided
        effect = one.effect
        rows.append(
            (
                vocabulary.part_label(one.part_kind),
                figure(effect.failures_per_year_instead),
                figure(effect.failures_per_year),
                _(
                    "{half} ({low} to {high})",
                    half=_signed(half),
                    low=_signed(low),
                    high=_signed(high),
                ),
                _money(value, one.cost.total),
                count(effect.failures, "failure", "failures")
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
            part=listed(list(map(_part, value.not_told))),
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
        low=_about(value, stack.low[at]),
        high=_about(value, stack.high[at]),
        pale=pale,
    )
    beside = (_nothing_between(stack, least.every_days), _mean_beside_middle(value, stack))
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


def _mean_beside_middle(value: TaskValue, stack: CostStack) -> str:
    """Why what is expected and the middle of all cases point to different sides; "" where not."""
    expected = stack.at(value.instead_of_days) - stack.at(value.every_days)
    if expected * value.saving.median >= 0:
        return ""
    text = (
        N_(
            "Expected is the average of all cases, seldom and dear ones too: by it {every_days} "
            "costs {more} more than {instead_of_days}, yet in half of all cases it saves {middle} "
            "or more. So near, neither is a reason to change."
        )
        if expected < 0
        else N_(
            "Expected is the average of all cases, seldom and dear ones too: by it {every_days} "
            "costs {more} less than {instead_of_days}, yet in half of all cases it loses {middle} "
            "or more. So near, neither is a reason to change."
        )
    )
    return _(
        text,
        every_days=every(value.every_days),
        more=_about(value, abs(expected)),
        instead_of_days=every(value.instead_of_days),
        middle=_about(value, abs(value.saving.median)),
    )


def not_counted(value: TaskValue) -> tuple[str, ...]:
    """What the answer leaves out, and how sure its costs are taken to be."""
    off = {source: round(100 * (factor - 1)) for source, factor in FACTOR_BY_SOURCE.items()}
    remarks = [
        _("“Pays” from a cost on: from there it more likely pays than not."),
        _(
            "The chance counts that costs are uncertain too: a guess is taken to be off by "
            "{guess} % or more one time in three, a stated figure by {catalogue} %, one "
            "counted in the log by {log} %.",
            guess=off["guess"],
            catalogue=off["catalogue"],
            log=off["log"],
        ),
        _(
            "Not counted: drop-outs and spoiled prints that end without a failure, and the "
            "time a printer stands for the task."
        ),
    ]
    for one in value.kinds:
        full = one.effect.cost_of_failure
        if len(one.cost.terms) < len(full.terms):
            remarks.append(
                _(
                    "What a {part_kind} failure does to other parts is counted with those.",
                    part_kind=_part(one.part_kind),
                )
            )
    return (*remarks, *map(not_watched, value.studies.not_watched))


def not_watched(part_kind: str) -> str:
    """That a kind is protected too, and why it is not counted."""
    label = vocabulary.part_label(part_kind)
    return _("{label}: protected too, but not watched long enough to be counted.", label=label)


def _pays(even: BreakEvenCost, value: TaskValue) -> str:
    part = _part(even.part_kind)
    if math.isnan(even.cost):
        return _("does not pay, however little a {part} failure costs", part=part)
    if even.is_least and even.cost > 0:
        return _(
            "pays once a {part} failure costs more than {money}",
            part=part,
            money=_money(value, even.cost),
        )
    if not even.is_least and math.isfinite(even.cost):
        return _(
            "pays as long as a {part} failure costs less than {money}",
            part=part,
            money=_money(value, even.cost),
        )
    return _("pays whatever a {part} failure costs", part=part)


def _work(value: TaskValue) -> str:
    text = (
        N_("The work is counted once: {about} more per printer and year.")
        if value.extra_work >= 0
        else N_("The work is counted once: {about} less per printer and year.")
    )
    return _(text, about=_about(value, abs(value.extra_work)))


def _money(value: TaskValue, amount: float) -> str:
    return money(amount, value.studies.currency)


def _about(value: TaskValue, amount: float) -> str:
    return about_money(amount, value.studies.currency)


def _part(part_kind: str) -> str:
    return vocabulary.part_label(part_kind).lower()
