"""What speaks against relying on a verdict on a routine, in sentences."""

from __future__ import annotations

import re

from tracker.decisions.routine.effect import RoutineEffect
from tracker.decisions.routine.task_effect.effect_fits import EffectFits
from tracker.decisions.routine.task_effect.task_frequency import is_task, usual
from tracker.decisions.routine.task_effect.telling import leaves_out_none
from tracker.language import N_, _
from tracker.say.maintenance.log_check import log_findings
from tracker.say.numbers import count, figure
from tracker.say.phrases import first_up, quoted
from tracker.workshop import vocabulary

_FEW_FAILURES = 20
_LIKELY_DRIFT = 0.05
_AREA = "area_per_day"
_CONDITIONS = {
    "idle_share": N_("the share of idle days"),
    "closed_share": N_("the share of closed days"),
    _AREA: N_("the area printed per day"),
    "white_share": N_("the share of white in the ink"),
    "humidity": N_("the room's humidity"),
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
    other = _(
        "{estimate} ({lower} to {upper})",
        estimate=figure(cox.estimate),
        lower=figure(cox.lower),
        upper=figure(cox.upper),
    )
    is_apart = not cox.lower <= ratio.estimate <= cox.upper
    if effect.failures >= _FEW_FAILURES:  # with fewer the belief has to hold the model back
        is_apart = is_apart or not ratio.lower <= cox.estimate <= ratio.upper
    if is_apart:
        text = (
            N_(
                "The check without a life shape (Cox) puts the risk at {other} times instead of "
                "{estimate}: the two disagree, and printers differ much here beyond their care: "
                "the model accounts for printers that differ, the check does not, so rather "
                "trust the model."
            )
            if differ
            else N_(
                "The check without a life shape (Cox) puts the risk at {other} times instead of "
                "{estimate}: the two disagree, trust neither before you know why."
            )
        )
        return _(text, other=other, estimate=figure(ratio.estimate))
    if effect.is_told != leaves_out_none(cox):
        which = (
            _("the model with belief") if effect.is_told else _("the check without a life shape")
        )
        text = (
            N_(
                "The check (Cox) gives {other}: only {which} rules out no effect, so the "
                "evidence stands on the edge; and printers differ much here beyond their care: "
                "the model accounts for printers that differ, the check does not, so rather "
                "trust the model."
            )
            if differ
            else N_(
                "The check (Cox) gives {other}: only {which} rules out no effect, so the "
                "evidence stands on the edge."
            )
        )
        return _(text, other=other, which=which)
    return ""


def notes(effect: RoutineEffect, *, money_too: bool = True) -> tuple[str, ...]:
    """What a reader has to know before relying on the answer.

    ``money_too`` False leaves out what is said of this kind's money where all kinds are counted.
    """
    study, fits = effect.study, effect.study.fits
    remarks = [*_on_the_log(effect), *_on_the_frequency(effect)]
    if effect.ages is None and study.fits.proportional_p_value < _LIKELY_DRIFT:
        remarks.append(
            _(
                "The effect seems to change with the age of the part (score test, p = "
                "{proportional_p_value}): read the ratio as an average over ages.",
                proportional_p_value=figure(study.fits.proportional_p_value),
            )
        )
    if not effect.is_checked:
        remarks.append(_("The check without a life shape (Cox) cannot tell from these records."))
    if len(fits.model.printers) < 3:
        remarks.append(
            _("Fewer than three printers: what differs between them cannot be told from the task.")
        )
    if money_too:
        remarks += _on_the_money(effect)
    if not fits.never_varied:
        remarks.append(
            _(
                "Printers cared for more often may differ in other ways; the E-value says "
                "how strong such a hidden cause would have to be."
            )
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
            _(
                "Only {part} failures are counted in money, and all of the work; the task "
                "may protect other parts too ({names}): look at all of them together before "
                "dropping it.",
                part=part,
                names=names,
            )
        )
    if not effect.spare_on_shelf:
        remarks.append(
            _("Counted without a spare on the shelf: every failure waits for a delivery.")
        )
    return remarks


def named(warning: str, fits: EffectFits) -> str:
    """A warning of the models with every exposure called by its name in the workshop."""
    names = "|".join(map(re.escape, (usual(fits.exposure), fits.exposure, *fits.beside)))
    return first_up(re.sub(rf"\b(?:{names})\b", lambda found: _called(found.group()), warning))


def _called(exposure: str) -> str:
    if exposure in _CONDITIONS:
        return _(_CONDITIONS[exposure])
    if is_task(exposure):
        return quoted(vocabulary.task_label(exposure.removeprefix("x_")))
    return _(
        "how often a printer has “{task}”",
        task=vocabulary.task_label(exposure.removeprefix("usual_")),
    )


def _on_the_log(effect: RoutineEffect) -> list[str]:
    """What is missing, harm, few failures, reasons not told, failures that could not be used."""
    fits, remarks = effect.study.fits, list(log_findings(effect.study.log, effect.task))
    harm = effect.hazard_ratio.lower > 1 if effect.is_more_often else effect.hazard_ratio.upper < 1
    if harm and not effect.study.suspects:
        remarks.append(
            _(
                "Doing it more often goes with more failures. Perhaps it does harm; perhaps "
                "printers in trouble get more of it without the log saying so. Look before "
                "changing anything."
            )
        )
        if _AREA not in (fits.exposure, *fits.beside):
            remarks.append(
                _(
                    "What was printed is not known: busy months bring more work and more wear, "
                    "which looks like harm. Read the area counters weekly."
                )
            )
    if fits.failures < _FEW_FAILURES and not fits.never_varied:
        remarks.append(
            _(
                "With few failures the belief (most tasks change the risk by less than a "
                "factor of 2.7 per doubling) pulls the effect toward none."
            )
        )
    if not effect.study.log.counted.says_why:
        remarks.append(
            _(
                "The log never says that an action was done because of a symptom, so the "
                "{lag_days} days before each day are left out; cleaning called for by "
                "trouble could otherwise make a good task look harmful. Note why from now on.",
                lag_days=fits.lag_days,
            )
        )
    return [*remarks, *filter(None, [why_left_out(fits)])]


def why_left_out(fits: EffectFits) -> str:
    """How many failures could not be used, and why; "" where all could."""
    if not fits.failures_left_out:
        return ""
    return _(
        "{left_out} could not be used: before the first 35 days of the log were full, or without a "
        "fitting day.",
        left_out=count(fits.failures_left_out, "failure", "failures"),
    )


def _on_the_frequency(effect: RoutineEffect) -> list[str]:
    """How much the frequency varied, over which range, and which other task went along."""
    fits, remarks = effect.study.fits, []
    if fits.spread < 0.1 and fits.planned and not fits.together:
        remarks.append(
            _("The task was done at nearly one pace everywhere: the log can hardly tell.")
        )
    elif fits.spread >= 0.1:
        low, high = fits.observed
        if any(
            not low - 0.5 <= at <= high + 0.5 for at in (effect.exposure, effect.exposure_instead)
        ):
            remarks.append(
                _(
                    "One of the two schedules lies outside what was done in the log: the "
                    "answer is stretched beyond what was seen."
                )
            )
    own = vocabulary.task_label(effect.task)
    for task, correlation in fits.together:
        other = vocabulary.task_label(task)
        way = (
            _("were done more and less often together")
            if correlation > 0
            else _("took turns: one was done more often where the other was done less")
        )
        remarks.append(
            _(
                "“{own}” and “{other}” {way} (correlation {correlation}): their effects "
                "cannot be told apart well. Change one of them alone on some printers.",
                own=own,
                other=other,
                way=way,
                correlation=f"{correlation:.2f}",
            )
        )
    return remarks
