"""The answer whether a routine pays, in words: the verdict, the money, the intervals."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date

from tracker.decisions.routine.cost import TaskCost
from tracker.decisions.routine.effect import RoutineEffect
from tracker.decisions.routine.interval import BreakEven, LeastCost
from tracker.decisions.routine.task_effect.effect_fits import EffectFits
from tracker.decisions.routine.yearly_counts import Saving
from tracker.models.fit.profile_limits import Estimate
from tracker.say.maintenance.change import history_remarks, history_sentences
from tracker.say.maintenance.doubts import disagreement, notes
from tracker.say.maintenance.evidence import ages_sentence, lag_line, printers_sentence
from tracker.say.maintenance.frequency import every, every_of
from tracker.say.maintenance.log_check import lag_chosen, to_be_cleared
from tracker.say.numbers import chance, count, day_range, days, figure, money
from tracker.workshop import vocabulary
from tracker.workshop.schedules import RoutineSchedules

_MANY_FAILURES = 100
_TRIVIAL_MINUTES = 15  # a year's saving worth less than so much work is not counted
_BEYOND_A_WORKSHOP = 2000  # failures; more than that is no plan but a no
# From which chance that it pays on the answer is called likely, and from which very likely.
_LIKELY, _VERY_LIKELY = 0.75, 0.95
_NEAR = 0.75  # an interval so near to one that was seen counts as seen


def verdict(effect: RoutineEffect) -> str:
    """The answer in one or two sentences: what changes, how sure, what it is worth."""
    schedule = (
        f"{vocabulary.task_label(effect.task)}: {every(effect.every_days)} instead of "
        f"{every(effect.instead_of_days)}"
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
    used = f"(95 % limits, {_used(effect.study.fits)})"
    return f"{schedule} {change} {used}; {_worth(effect)}. {apart}".strip()


def lines(effect: RoutineEffect) -> tuple[str, ...]:
    """What stands under the verdict: intervals, doubts, lags, before and after, in words."""
    before_after = history_sentences(effect.history)
    lag_matters = effect.is_told or bool(effect.study.suspects)
    return (
        *filter(None, [lag_chosen(effect.study)]),
        *(interval_lines(effect) if effect.is_enough else ()),
        *filter(None, [disagreement(effect)]),
        *([lag_line(effect)] if lag_matters else ()),
        *(["Before and after the schedule changed:"] if before_after else ()),
        *before_after,
        *history_remarks(effect.history),
        *notes(effect),
    )


def interval_lines(effect: RoutineEffect) -> tuple[str, str]:
    """The interval of least cost and the one that breaks even, as sentences."""
    least = least_cost_sentence(
        effect.least_cost(), f"{_part(effect)} failures only", effect.study.fits.observed_days
    )
    return least, break_even_sentence(effect.break_even())


def least_cost_sentence(
    least: LeastCost,
    counted: str,
    seen_days: tuple[float, float],
    *,
    end: str = "the end of what was tried",
) -> str:
    """The interval of least cost; ``counted`` says which failures, ``seen_days`` at which intervals
    the task was done, ``end`` why nothing lies beyond the last one tried.
    """
    spread = day_range(least.lower_days, least.upper_days)
    if least.lower_days == least.upper_days:
        spread = "no other interval comes out"
    often, seldom = seen_days
    is_seen = often * _NEAR <= least.every_days <= seldom / _NEAR
    return (
        f"Least cost: every {days(least.every_days)}"
        f"{f' ({end})' if least.at_edge else ''}, 80 % sure: {spread}; "
        f"{counted} are counted."
        f"{'' if is_seen else ' That lies beyond what was done in the log, so it is a guess.'}"
    )


def break_even_sentence(even: BreakEven) -> str:
    """Which intervals cost less than the one compared with, and where that ends."""
    instead = f"every {days(even.instead_of_days)}"
    if even.none:
        return f"No other interval costs less than {instead}."
    is_longer = even.from_days == even.instead_of_days
    cheaper, end = ("longer", "up") if is_longer else ("shorter", "down")
    if even.open:
        return f"Every {cheaper} interval tried costs less than {instead}: no break-even."
    return (
        f"Any {cheaper} interval {end} to every {days(even.every_days)} costs less than "
        f"{instead}; there it breaks even (80 % range "
        f"{day_range(even.lower_days, even.upper_days)})."
    )


def where_from(schedules: RoutineSchedules, task: str, day: date) -> str:
    """Where the interval comes from that is filled in to compare with."""
    now = schedules.days_in_force(task, day)
    usual = f"{schedules.usual_days(task, day):g}"
    if not now:
        known = vocabulary.TASKS.get(task)
        if known and known.every_days:
            return f"No routine is set up; {usual} days is the usual interval (common practice)."
        return f"No routine is set up; {usual} days is only to begin with."
    each = list(dict.fromkeys(now))
    if len(each) == 1:
        return f"Filled in: your routine, {every(each[0])}."
    return (
        f"Your printers' routines differ: {every_of(each)}; the shortest and the longest are "
        "filled in."
    )


def _part(effect: RoutineEffect) -> str:
    return vocabulary.part_label(effect.part_kind).lower()


def _money(effect: RoutineEffect) -> Callable[[float], str]:
    return lambda amount: money(amount, effect.study.currency)


def _gain(saving: Saving) -> str:
    return "saved" if saving.median >= 0 else "lost"


def _range(saving: Saving, said: Callable[[float], str]) -> str:
    if saving.p10 < 0 < saving.p90:
        return f"{said(-saving.p10)} lost to {said(saving.p90)} saved"
    low, high = sorted((abs(saving.p10), abs(saving.p90)))
    return f"{said(low)} to {said(high)}"


def _fewer(ratio: Estimate, part: str) -> str:
    return f"cuts {part} failures by {_percent(1 - ratio.upper, 1 - ratio.lower)}"


def _more(ratio: Estimate, part: str, is_more_often: bool) -> str:
    verb = "goes with" if is_more_often else "brings"
    if ratio.lower >= 2:
        return (
            f"{verb} {figure(ratio.lower)} to {figure(ratio.upper)} times as many {part} failures"
        )
    return f"{verb} {_percent(ratio.lower - 1, ratio.upper - 1)} more {part} failures"


def _percent(low: float, high: float) -> str:
    """A range in percent; a low end that rounds to nothing is not called nothing."""
    first, last = f"{100 * low:.0f}", f"{100 * high:.0f}"
    if first == last:
        return f"about {last} %"
    return f"{first}–{last} %" if low >= 0.005 else f"up to {last} %"


def _worth(effect: RoutineEffect) -> str:
    return saving_in_words(effect.saving, _money(effect), trivial_saving(effect.cost_of_task))


def trivial_saving(cost: TaskCost) -> float:
    """A saving in a year that is worth so little work that it makes no difference."""
    return _TRIVIAL_MINUTES * cost.work / cost.minutes if cost.minutes > 0 else 0.0


def makes_no_difference(saving: Saving, trivial: float) -> bool:
    """Is it surely less than ``trivial``, one way or the other?"""
    return max(abs(saving.p10), abs(saving.p90)) < trivial


def how_sure(saving: Saving, trivial: float = 0.0) -> str:
    """Does it pay? In a word or two; the same words wherever a saving is told."""
    if makes_no_difference(saving, trivial):
        return "No difference that counts"
    chance_it_pays = saving.chance_it_pays
    if 1 - _LIKELY < chance_it_pays < _LIKELY:
        return "Too close to call"
    unsure = 1 - _VERY_LIKELY < chance_it_pays < _VERY_LIKELY
    return f"{'Probably' if unsure else 'Very likely'} {'yes' if chance_it_pays > 0.5 else 'no'}"


def saving_in_words(saving: Saving, said: Callable[[float], str], trivial: float = 0.0) -> str:
    """Chance, amount and range; a loss is called a loss, and less than ``trivial`` no difference.

    ``said`` puts an amount in words.
    """
    if makes_no_difference(saving, trivial):
        return (
            "in money it makes no difference worth counting (80 % sure: under "
            f"{said(trivial)} per printer and year either way)"
        )
    has_both_signs = saving.p10 < 0 < saving.p90
    spread = f"{'from ' if has_both_signs else ''}{_range(saving, said)}"
    about = f"about {said(abs(saving.median))} {_gain(saving)}"
    if abs(saving.median) < trivial:
        about = "about even"
    return (
        f"{chance(saving.chance_it_pays)} chance that it pays, {about} per printer and year "
        f"(80 % range {spread})"
    )


def _cannot_tell(effect: RoutineEffect) -> str:
    fits, ratio = effect.study.fits, effect.hazard_ratio
    sentence = f"cannot tell yet: {what_is_missing(effect)}. "
    if fits.never_varied or not fits.failures:
        sentence += "Until then there is only belief, and no saving can be promised."
    else:
        sentence += (
            f"With what is known the risk is {ratio.estimate:.2f} times as high (95 % limits "
            f"{ratio.lower:.2f} to {ratio.upper:.2f})"
        )
        sentence += "." if fits.failures >= _MANY_FAILURES else ", and part of that is belief."
    return f"{sentence} {_what_it_costs(effect)}".strip()


def what_is_missing(effect: RoutineEffect) -> str:
    """How many failures were seen, and what it would take to tell."""
    return f"{_seen(effect.study.fits)}, {_still_missing(effect)}"


def _seen(fits: EffectFits) -> str:
    """How many failures the comparison rests on; those it cannot use are not passed over."""
    left_out = fits.rows.attrs.get("failures_left_out", 0)
    if fits.failures:
        return f"{_used(fits)} so far"
    if left_out:
        return f"{count(left_out, 'failure')} so far but none that can be used"
    return "no failure so far"


def _used(fits: EffectFits) -> str:
    """The failures compared, and of how many where some could not be used."""
    left_out = fits.rows.attrs.get("failures_left_out", 0)
    if not left_out:
        return count(fits.failures, "failure")
    return f"{fits.failures} usable of {count(fits.failures + left_out, 'failure')}"


def _still_missing(effect: RoutineEffect) -> str:
    fits, further = effect.study.fits, effect.further_failures
    if fits.never_varied and not fits.planned:
        if fits.for_symptom:
            return (
                "and the task was only ever done because of a symptom "
                f"({count(fits.for_symptom, 'time')}), which says nothing about a routine: do "
                "it by plan on some printers to find out"
            )
        return "and the task was never logged: do it by plan on some printers to find out"
    if math.isinf(further):
        return "the task was always done at the same pace: change it on some printers to find out"
    if further > _BEYOND_A_WORKSHOP:
        return (
            f"more {_part(effect)} failures are needed than a workshop ever sees (over "
            f"{figure(_BEYOND_A_WORKSHOP)}), because the pace hardly varied: change it on some "
            "printers to find out"
        )
    if further > 0:
        verb = "is" if further == 1 else "are"
        noun = "failure" if further == 1 else "failures"
        return f"about {figure(further)} more {_part(effect)} {noun} {verb} needed"
    return "the failures seen should have shown a large change: if there is one, it is small"


def _what_it_costs(effect: RoutineEffect) -> str:
    """What is known without any model: the work, and how many failures would earn it."""
    work, said = effect.extra_work, _money(effect)
    if not work or not math.isfinite(effect.break_even_failures):
        return ""
    needed = figure(abs(effect.break_even_failures))
    if work > 0:
        return (
            f"The extra work costs {said(work)} per printer and year and pays if it "
            f"avoids {needed} {_part(effect)} failures in that time."
        )
    return (
        f"The work saved is worth {said(-work)} per printer and year, as much as "
        f"{needed} {_part(effect)} failures."
    )
