"""What speaks against relying on a verdict on a routine, in sentences."""

from __future__ import annotations

import re

from tracker.decisions.routine.effect import RoutineEffect, leaves_out_none
from tracker.decisions.routine.task_effect.effect_fits import EffectFits
from tracker.decisions.routine.task_effect.task_frequency import is_task, usual
from tracker.say.maintenance.log_check import log_findings
from tracker.say.numbers import count, figure
from tracker.say.phrases import first_up
from tracker.workshop import vocabulary

_FEW_FAILURES = 20
_LIKELY_DRIFT = 0.05
_PRINTERS_DIFFER = (
    "and printers differ much here beyond their care: the model accounts for printers that differ, "
    "the check does not, so rather trust the model."
)
_CONDITIONS = {
    "idle_share": "the share of idle days",
    "closed_share": "the share of closed days",
    "area_per_day": "the area printed per day",
    "white_share": "the share of white in the ink",
    "humidity": "the room's humidity",
}


def doubts(effect: RoutineEffect, *, money_too: bool = True) -> list[str]:
    """All of them: the check's disagreement first, then what to know before relying on it."""
    found = (disagreement(effect), *notes(effect, money_too=money_too))
    return [doubt for doubt in found if doubt]


def disagreement(effect: RoutineEffect) -> str:
    """A sentence when the check without a life shape says something else, else "".

    Where printers differ much beyond their care that is the likely cause: the life model gives
    each a level of its own, the check pools them, which pulls its ratio toward none.
    """
    ratio, cox, differ = effect.hazard_ratio, effect.cox, effect.study.fits.printers_differ_much
    if not effect.is_checked:
        return ""
    other = f"{figure(cox.estimate)} ({figure(cox.lower)} to {figure(cox.upper)})"
    is_apart = not cox.lower <= ratio.estimate <= cox.upper
    if effect.failures >= _FEW_FAILURES:  # with fewer the belief has to hold the model back
        is_apart = is_apart or not ratio.lower <= cox.estimate <= ratio.upper
    if is_apart:
        return (
            f"The check without a life shape (Cox) puts the risk at {other} times instead of "
            f"{figure(ratio.estimate)}: the two disagree, "
            + (_PRINTERS_DIFFER if differ else "trust neither before you know why.")
        )
    if effect.is_told != leaves_out_none(cox):
        which = "the model with belief" if effect.is_told else "the check without a life shape"
        return (
            f"The check (Cox) gives {other}: only {which} rules out no effect, so the evidence "
            f"stands on the edge{f'; {_PRINTERS_DIFFER}' if differ else '.'}"
        )
    return ""


def notes(effect: RoutineEffect, *, money_too: bool = True) -> tuple[str, ...]:
    """What a reader has to know before relying on the answer.

    ``money_too`` False leaves out what is said of this kind's money where all kinds are counted.
    """
    study, fits = effect.study, effect.study.fits
    remarks = [*_on_the_log(effect), *_on_the_frequency(effect)]
    if effect.ages is None and study.proportional_p_value < _LIKELY_DRIFT:
        remarks.append(
            "The effect seems to change with the age of the part (score test, p = "
            f"{figure(study.proportional_p_value)}): read the ratio as an average over ages."
        )
    if not effect.is_checked:
        remarks.append("The check without a life shape (Cox) cannot tell from these records.")
    if len(fits.model.printers) < 3:
        remarks.append(
            "Fewer than three printers: what differs between them cannot be told from the task."
        )
    if money_too:
        remarks += _on_the_money(effect)
    if not fits.never_varied:
        remarks.append(
            "Printers cared for more often may differ in other ways; the E-value says how strong "
            "such a hidden cause would have to be."
        )
    warnings = list(fits.warnings)
    if fits.cox and effect.is_checked:
        warnings += fits.cox.warnings
    return (*remarks, *(named(warning, fits) for warning in warnings))


def _on_the_money(effect: RoutineEffect) -> list[str]:
    """Which failures are counted in money, and which failure they are taken to be."""
    remarks = []
    part = vocabulary.part_label(effect.part_kind).lower()
    task = vocabulary.TASKS.get(effect.task)
    others = [kind for kind in (task.likely_helps if task else ()) if kind != effect.part_kind]
    if others:
        names = ", ".join(vocabulary.part_label(kind).lower() for kind in others)
        remarks.append(
            f"Only {part} failures are counted in money, and all of the work; the task may protect "
            f"other parts too ({names}): look at all of them together before dropping it."
        )
    if not effect.spare_on_shelf:
        remarks.append("Counted without a spare on the shelf: every failure waits for a delivery.")
    return remarks


def named(warning: str, fits: EffectFits) -> str:
    """A warning of the models with every exposure called by its name in the workshop."""
    names = "|".join(map(re.escape, (usual(fits.exposure), fits.exposure, *fits.beside)))
    return first_up(re.sub(rf"\b(?:{names})\b", lambda found: _called(found.group()), warning))


def _called(exposure: str) -> str:
    if exposure in _CONDITIONS:
        return _CONDITIONS[exposure]
    if is_task(exposure):
        return f"“{vocabulary.task_label(exposure.removeprefix('x_'))}”"
    return f"how often a printer has “{vocabulary.task_label(exposure.removeprefix('usual_'))}”"


def _on_the_log(effect: RoutineEffect) -> list[str]:
    """What is missing, harm, few failures, reasons not told, failures that could not be used."""
    fits, remarks = effect.study.fits, list(log_findings(effect.study.log, effect.task))
    harm = effect.hazard_ratio.lower > 1 if effect.is_more_often else effect.hazard_ratio.upper < 1
    if harm and not effect.study.suspects:
        remarks.append(
            "Doing it more often goes with more failures. Perhaps it does harm; perhaps printers "
            "in trouble get more of it without the log saying so. Look before changing anything."
        )
    if fits.failures < _FEW_FAILURES and not fits.never_varied:
        remarks.append(
            "With few failures the belief (most tasks change the risk by less than a factor of "
            "2.7 per doubling) pulls the effect toward none."
        )
    if not effect.study.log.counted.says_why:
        remarks.append(
            "The log never says that an action was done because of a symptom, so the "
            f"{fits.lag_days} days before each day are left out; cleaning called for by "
            "trouble could otherwise make a good task look harmful. Note why from now on."
        )
    left_out = fits.rows.attrs.get("failures_left_out", 0)
    if left_out:
        remarks.append(
            f"{count(left_out, 'failure')} could not be used: before the first 30 days of the log "
            "were full, or without a fitting day."
        )
    return remarks


def _on_the_frequency(effect: RoutineEffect) -> list[str]:
    """How much the frequency varied, over which range, and which other task went along."""
    fits, remarks = effect.study.fits, []
    if fits.spread < 0.1 and fits.planned:
        remarks.append("The task was done at nearly one pace everywhere: the log can hardly tell.")
    elif fits.spread >= 0.1:
        low, high = fits.observed
        if any(
            not low - 0.5 <= at <= high + 0.5 for at in (effect.exposure, effect.exposure_instead)
        ):
            remarks.append(
                "One of the two schedules lies outside what was done in the log: the answer is "
                "stretched beyond what was seen."
            )
    own = vocabulary.task_label(effect.task)
    for task, correlation in fits.together:
        other = vocabulary.task_label(task)
        way = (
            "were done more and less often together"
            if correlation > 0
            else "took turns: one was done more often where the other was done less"
        )
        remarks.append(
            f"“{own}” and “{other}” {way} (correlation {correlation:.2f}): their effects "
            "cannot be told apart well. Change one of them alone on some printers."
        )
    return remarks
