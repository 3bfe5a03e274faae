"""The answer whether a routine pays, in words: the verdict, the money, the intervals."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from tracker.decisions.routine.cost import TaskCost
from tracker.decisions.routine.effect import RoutineEffect
from tracker.decisions.routine.interval import BreakEven, LeastCost
from tracker.decisions.routine.task_effect.effect_fits import EffectFits
from tracker.decisions.routine.whole_routine.practice import Practice
from tracker.decisions.routine.yearly_counts import Saving
from tracker.language import N_, _, ngettext
from tracker.models.fit.profile_limits import Estimate
from tracker.say.maintenance.change import history_remarks, history_sentences
from tracker.say.maintenance.doubts import disagreement, notes
from tracker.say.maintenance.evidence import ages_sentence, lag_line, printers_sentence
from tracker.say.maintenance.frequency import every, every_of
from tracker.say.maintenance.log_check import lag_chosen, to_be_cleared
from tracker.say.numbers import chance, count, day_range, days, figure, money
from tracker.say.phrases import listed, quoted, usable
from tracker.workshop import vocabulary
from tracker.workshop.schedules import usual_in_the_trade

_MANY_FAILURES = 100
_TRIVIAL_MINUTES = 15  # a year's saving worth less than so much work is not counted
_BEYOND_A_WORKSHOP = 2000  # failures; more than that is no plan but a no
# From which chance that it pays on the answer is called likely, and from which very likely.
_LIKELY, _VERY_LIKELY = 0.75, 0.95
_NEAR = 0.75  # an interval so near to one that was seen counts as seen


def verdict(effect: RoutineEffect) -> str:
    """The answer in one or two sentences: what changes, how sure, what it is worth."""
    schedule = _(
        "{task}: {every_days} instead of {instead_of_days}",
        task=vocabulary.task_label(effect.task),
        every_days=every(effect.every_days),
        instead_of_days=every(effect.instead_of_days),
    )
    part = _part(effect)
    if effect.study.suspects:
        return f"{schedule} – {to_be_cleared(effect.study, effect.hazard_ratio)}"
    apart = " ".join(filter(None, (printers_sentence(effect), ages_sentence(effect))))
    if not effect.is_told:
        return f"{schedule} – {_cannot_tell(effect)} {apart}".strip()
    if effect.failures_ratio.estimate < 1:
        change = _fewer(effect.failures_ratio, part)
    else:
        change = _more(effect.failures_ratio, part, effect.is_more_often)
    rests_on = _("(95 % limits, {failures})", failures=used(effect.study.fits))
    return f"{schedule} {change} {rests_on}; {_worth(effect)}. {apart}".strip()


def lines(effect: RoutineEffect) -> tuple[str, ...]:
    """What stands under the verdict: intervals, doubts, lags, before and after, in words."""
    before_after = history_sentences(effect.history)
    lag_matters = effect.is_told or bool(effect.study.suspects)
    return (
        *filter(None, [lag_chosen(effect.study)]),
        *(interval_lines(effect) if effect.is_enough else ()),
        *filter(None, [disagreement(effect)]),
        *([lag_line(effect)] if lag_matters else ()),
        *([_("Before and after the schedule changed:")] if before_after else ()),
        *before_after,
        *history_remarks(effect.history),
        *notes(effect),
    )


def interval_lines(effect: RoutineEffect) -> tuple[str, str]:
    """The interval of least cost and the one that breaks even, as sentences."""
    least = least_cost_sentence(
        effect.least_cost(),
        _("{part} failures only", part=_part(effect)),
        effect.study.fits.observed_days,
    )
    return least, break_even_sentence(effect.break_even())


def least_cost_sentence(
    least: LeastCost,
    counted: str,
    seen_days: tuple[float, float],
    *,
    end: str = N_("the end of what was tried"),
) -> str:
    """The interval of least cost; ``counted`` says which failures, ``seen_days`` at which intervals
    the task was done, ``end`` why nothing lies beyond the last one tried.
    """
    spread = day_range(least.lower_days, least.upper_days)
    if least.lower_days == least.upper_days:
        spread = _("no other interval comes out")
    often, seldom = seen_days
    is_seen = often * _NEAR <= least.every_days <= seldom / _NEAR
    text = (
        N_("Least cost: every {every_days} ({end}), 80 % sure: {spread}; {counted} are counted.")
        if least.at_edge
        else N_("Least cost: every {every_days}, 80 % sure: {spread}; {counted} are counted.")
    )
    said = _(text, every_days=days(least.every_days), end=_(end), spread=spread, counted=counted)
    if is_seen:
        return said
    beyond = _("That lies beyond what was done in the log, so it is a guess.")
    return f"{said} {beyond}"


def break_even_sentence(even: BreakEven) -> str:
    """Which intervals cost less than the one compared with, and where that ends."""
    instead = _("every {instead_of_days}", instead_of_days=days(even.instead_of_days))
    if even.none:
        return _("No other interval costs less than {instead}.", instead=instead)
    is_longer = even.from_days == even.instead_of_days
    if even.open:
        text = (
            N_("Every longer interval tried costs less than {instead}: no break-even.")
            if is_longer
            else N_("Every shorter interval tried costs less than {instead}: no break-even.")
        )
        return _(text, instead=instead)
    text = (
        N_(
            "Any longer interval up to every {every_days} costs less than {instead}; there it "
            "breaks even ({spread} in 8 of 10 cases)."
        )
        if is_longer
        else N_(
            "Any shorter interval down to every {every_days} costs less than {instead}; there it "
            "breaks even ({spread} in 8 of 10 cases)."
        )
    )
    return _(
        text,
        every_days=days(even.every_days),
        instead=instead,
        spread=day_range(even.lower_days, even.upper_days),
    )


def where_from(practice: Practice, task: str) -> str:
    """Where the intervals come from that are filled in to compare."""
    now = practice.paces(task)
    if not now:
        usual = figure(usual_in_the_trade(task), 6)
        known = vocabulary.TASKS.get(task)
        if known and known.every_days:
            return _(
                "No routine is set up; {usual} days is the usual interval (common practice).",
                usual=usual,
            )
        return _("No routine is set up; {usual} days is only to begin with.", usual=usual)
    return _one_filled_in(practice, task, now[0]) if len(now) == 1 else _two(practice, task, now)


def _one_filled_in(practice: Practice, task: str, now: float) -> str:
    each, meant = every(now), practice.meant(task)
    if meant == [now]:
        return _("Filled in: your routine, {each}.", each=each)
    if not meant:
        return _("Filled in: {each}, as the log of the last half year has it.", each=each)
    return _(
        "Filled in: {each}, as the log of the last half year has it; your routine says {meant}.",
        each=each,
        meant=every_of(meant),
    )


def _two(practice: Practice, task: str, now: Sequence[float]) -> str:
    if practice.meant(task) == now:
        return _(
            "Your printers' routines differ: {each}; the shortest and the longest are filled in.",
            each=every_of(now),
        )
    return _(
        "How often it is done differs: {each}; the shortest and the longest are filled in. Where "
        "a routine is not kept, the log of the last half year speaks.",
        each=every_of(now),
    )


def _part(effect: RoutineEffect) -> str:
    return vocabulary.part_label(effect.part_kind).lower()


def _money(effect: RoutineEffect) -> Callable[[float], str]:
    return lambda amount: money(amount, effect.study.currency)


def _range(saving: Saving, said: Callable[[float], str]) -> str:
    if saving.p10 < 0 < saving.p90:
        return _("{p10} lost to {p90} saved", p10=said(-saving.p10), p90=said(saving.p90))
    low, high = sorted((abs(saving.p10), abs(saving.p90)))
    return _("{low} to {high}", low=said(low), high=said(high))


def _fewer(ratio: Estimate, part: str) -> str:
    return _(
        "cuts {part} failures by {share}",
        part=part,
        share=_percent(1 - ratio.upper, 1 - ratio.lower),
    )


def _more(ratio: Estimate, part: str, is_more_often: bool) -> str:
    if ratio.lower >= 2:
        text = (
            N_("goes with {lower} to {upper} times as many {part} failures")
            if is_more_often
            else N_("brings {lower} to {upper} times as many {part} failures")
        )
        return _(text, lower=figure(ratio.lower), upper=figure(ratio.upper), part=part)
    text = (
        N_("goes with {share} more {part} failures")
        if is_more_often
        else N_("brings {share} more {part} failures")
    )
    return _(text, share=_percent(ratio.lower - 1, ratio.upper - 1), part=part)


def _percent(low: float, high: float) -> str:
    """A range in percent; a low end that rounds to nothing is not called nothing."""
    first, last = f"{100 * low:.0f}", f"{100 * high:.0f}"
    if first == last:
        return _("about {last} %", last=last)
    return f"{first}–{last} %" if low >= 0.005 else _("up to {last} %", last=last)


def _worth(effect: RoutineEffect) -> str:
    return saving_in_words(effect.saving, _money(effect), trivial_saving(effect.cost_of_task))


def trivial_saving(cost: TaskCost) -> float:
    """A saving in a year that is worth so little work that it makes no difference."""
    return _TRIVIAL_MINUTES * cost.work / cost.minutes if cost.minutes > 0 else 0.0


def makes_no_difference(saving: Saving, trivial: float) -> bool:
    """Is it surely less than ``trivial``, one way or the other?"""
    return max(abs(saving.p10), abs(saving.p90)) < trivial


def is_too_close(saving: Saving, trivial: float = 0.0) -> bool:
    """True where neither side is likely, or the difference is not worth counting."""
    return makes_no_difference(saving, trivial) or (1 - _LIKELY < saving.chance_it_pays < _LIKELY)


def how_sure(saving: Saving, trivial: float = 0.0) -> str:
    """Does it pay? In a word or two; the same words wherever a saving is told."""
    if makes_no_difference(saving, trivial):
        return _("No difference that counts")
    chance_it_pays = saving.chance_it_pays
    if is_too_close(saving, trivial):
        return _("Too close to call")
    unsure = 1 - _VERY_LIKELY < chance_it_pays < _VERY_LIKELY
    if saving.rather_pays:
        return _("Probably yes") if unsure else _("Very likely yes")
    return _("Probably no") if unsure else _("Very likely no")


def saving_in_words(saving: Saving, said: Callable[[float], str], trivial: float = 0.0) -> str:
    """Chance, amount and range; a loss is called a loss, and less than ``trivial`` no difference.

    ``said`` puts an amount in words.
    """
    if makes_no_difference(saving, trivial):
        return _(
            "in money it makes no difference worth counting (80 % sure: under {trivial} "
            "per printer and year either way)",
            trivial=said(trivial),
        )
    spread = _range(saving, said)
    if saving.p10 < 0 < saving.p90:
        spread = _("from {spread}", spread=spread)
    gain = N_("about {amount} saved") if saving.expected >= 0 else N_("about {amount} lost")
    about = _(gain, amount=said(abs(saving.expected)))
    if abs(saving.expected) < trivial:
        about = _("about even")
    return _(
        "{chance_it_pays} chance that it pays, {about} per printer and year ({spread} in 8 of 10 "
        "cases{carried})",
        chance_it_pays=chance(saving.chance_it_pays),
        about=about,
        spread=spread,
        carried=_("; seldom, dear cases carry the average") if saving.is_carried_by_few else "",
    )


def _cannot_tell(effect: RoutineEffect) -> str:
    fits, ratio = effect.study.fits, effect.hazard_ratio
    sentence = _("cannot tell yet: {missing}. ", missing=what_is_missing(effect))
    if fits.never_varied or not fits.failures:
        sentence += _("Until then there is only belief, and no saving can be promised.")
    else:
        sentence += _(
            "With what is known the risk is {estimate} times as high (95 % limits "
            "{lower} to {upper})",
            estimate=f"{ratio.estimate:.2f}",
            lower=f"{ratio.lower:.2f}",
            upper=f"{ratio.upper:.2f}",
        )
        sentence += "." if fits.failures >= _MANY_FAILURES else _(", and part of that is belief.")
    return f"{sentence} {_what_it_costs(effect)}".strip()


def what_is_missing(effect: RoutineEffect) -> str:
    """How many failures were seen, and what it would take to tell."""
    return f"{_seen(effect.study.fits)}, {_still_missing(effect)}"


def _seen(fits: EffectFits) -> str:
    """How many failures the comparison rests on; those it cannot use are not passed over."""
    if fits.failures or fits.failures_left_out:
        return _("{failures} so far", failures=used(fits))
    return _("no failure so far")


def used(fits: EffectFits) -> str:
    """The failures compared, and of how many where some could not be used."""
    return usable(fits.failures, fits.failures_left_out)


def _still_missing(effect: RoutineEffect) -> str:
    fits, further = effect.study.fits, effect.further_failures
    if fits.never_varied and not fits.planned:
        if fits.for_symptom:
            return _(
                "and the task was only ever done because of a symptom ({for_symptom}), "
                "which says nothing about a routine: do it by plan on some printers to "
                "find out",
                for_symptom=count(fits.for_symptom, "time", "times"),
            )
        return _("and the task was never logged: do it by plan on some printers to find out")
    along = [
        quoted(vocabulary.task_label(task))
        for task, correlation in fits.together
        if math.isinf(further) or further * (1 - correlation**2) <= _BEYOND_A_WORKSHOP < further
    ]
    if along:
        return _(
            "its pace changed only along with {tasks}: change one of them alone on some printers "
            "to find out",
            tasks=listed(along),
        )
    if math.isinf(further):
        return _(
            "the task was always done at the same pace: change it on some printers to find out"
        )
    if further > _BEYOND_A_WORKSHOP:
        return _(
            "more {part} failures are needed than a workshop ever sees (over "
            "{beyond_a_workshop}), because on each printer the pace hardly varied: change it on "
            "some printers to find out",
            part=_part(effect),
            beyond_a_workshop=figure(_BEYOND_A_WORKSHOP),
        )
    if further > 0:
        return ngettext(
            "about {further} more {part} failure is needed",
            "about {further} more {part} failures are needed",
            further,
            further=figure(further),
            part=_part(effect),
        )
    return _("the failures seen should have shown a large change: if there is one, it is small")


def _what_it_costs(effect: RoutineEffect) -> str:
    """What is known without any model: the work, and how many failures would earn it."""
    work, said = effect.extra_work, _money(effect)
    if not work or not math.isfinite(effect.break_even_failures):
        return ""
    needed = figure(abs(effect.break_even_failures))
    if work > 0:
        return _(
            "The extra work costs {work} per printer and year and pays if it avoids "
            "{needed} {part} failures in that time.",
            work=said(work),
            needed=needed,
            part=_part(effect),
        )
    return _(
        "The work saved is worth {work} per printer and year, as much as {needed} {part} failures.",
        work=said(-work),
        needed=needed,
        part=_part(effect),
    )
