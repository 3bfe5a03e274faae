"""The effect of a routine said in sentences a workshop can act on, with its doubts."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from tracker.decisions.routine.cost import Saving
from tracker.decisions.routine.evidence import EffectEvidence
from tracker.decisions.routine.study import RoutineStudy
from tracker.models.fit.profile_limits import Estimate
from tracker.say.numbers import chance, count, figure, money
from tracker.workshop import vocabulary as words

_FEW_FAILURES, _MANY_FAILURES = 20, 100
_LIKELY_DRIFT = 0.05
_PRINTERS_DIFFER = (
    "and printers differ much here beyond their care: the model accounts for printers that differ, "
    "the check does not, so rather trust the model."
)
_TRIVIAL_MINUTES = 15  # a year's saving worth less than so much work is not counted
_BEYOND_A_WORKSHOP = 2000  # failures; more than that is no plan but a no


@dataclass(frozen=True)
class Finding:
    """What the sentences are made of; the names are those of ``RoutineEffect``."""

    study: RoutineStudy
    every_days: float
    instead_of_days: float
    exposure_at: tuple[float, float]
    ratio: Estimate
    failures_ratio: Estimate
    further_failures: float
    saving: Saving
    extra_work: float
    break_even_failures: float
    spare_on_shelf: bool
    checked: bool

    @property
    def part(self) -> str:
        """The part kind within a sentence."""
        return words.part_label(self.study.part_kind).lower()

    @property
    def is_more_often(self) -> bool:
        """True when the first schedule asks for more work."""
        return self.every_days < self.instead_of_days


def verdict(finding: Finding) -> str:
    """The answer in one or two sentences: what changes, how sure, what it is worth."""
    schedule = (
        f"{words.task_label(finding.study.task)}: {_every(finding.every_days)} instead of "
        f"{_every(finding.instead_of_days)}"
    )
    if finding.ratio.upper < 1:
        change = _fewer(finding.failures_ratio, finding.part)
    elif finding.ratio.lower > 1:
        change = _more(finding.failures_ratio, finding.part, finding.is_more_often)
    else:
        return f"{schedule} – {_cannot_tell(finding)}"
    return f"{schedule} {change} (95 % limits, {_used(finding.study.evidence)}); {_worth(finding)}."


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


def _worth(finding: Finding) -> str:
    cost = finding.study.task_cost
    labour = cost.work / cost.minutes if cost.minutes > 0 else 0.0
    return saving_in_words(
        finding.saving,
        lambda amount: money(amount, finding.study.currency),
        _TRIVIAL_MINUTES * labour,
    )


def saving_in_words(saving: Saving, said: Callable[[float], str], trivial: float = 0.0) -> str:
    """Chance, amount and range; a loss is called a loss, and less than ``trivial`` no difference.

    ``said`` puts an amount in words.
    """
    if max(abs(saving.p10), abs(saving.p90)) < trivial:
        return (
            "in money it makes no difference worth counting (80 % sure: under "
            f"{said(trivial)} per printer and year either way)"
        )
    gain = "saved" if saving.median >= 0 else "lost"
    if saving.p10 < 0 < saving.p90:
        spread = f"from {said(-saving.p10)} lost to {said(saving.p90)} saved"
    else:
        low, high = sorted((abs(saving.p10), abs(saving.p90)))
        spread = f"{said(low)} to {said(high)}"
    about = f"about {said(abs(saving.median))} {gain}"
    if abs(saving.median) < trivial:
        about = "about even"
    return (
        f"{chance(saving.chance_it_pays)} chance that it pays, {about} per printer and year "
        f"(80 % range {spread})"
    )


def _cannot_tell(finding: Finding) -> str:
    evidence, ratio = finding.study.evidence, finding.ratio
    told = f"cannot tell yet: {_seen(evidence)}, {_what_is_missing(finding)}. "
    if evidence.never_varied or not evidence.failures:
        told += "Until then there is only belief, and no saving can be promised."
    else:
        told += (
            f"With what is known the risk is {ratio.estimate:.2f} times as high (95 % limits "
            f"{ratio.lower:.2f} to {ratio.upper:.2f})"
        )
        told += "." if evidence.failures >= _MANY_FAILURES else ", and part of that is belief."
    return f"{told} {_what_it_costs(finding)}".strip()


def _seen(evidence: EffectEvidence) -> str:
    """How many failures the comparison rests on; those it cannot use are not passed over."""
    left_out = evidence.rows.attrs.get("failures_left_out", 0)
    if evidence.failures:
        return f"{_used(evidence)} so far"
    if left_out:
        return f"{count(left_out, 'failure')} so far but none that can be used"
    return "no failure so far"


def _used(evidence: EffectEvidence) -> str:
    """The failures compared, and of how many where some could not be used."""
    left_out = evidence.rows.attrs.get("failures_left_out", 0)
    if not left_out:
        return count(evidence.failures, "failure")
    return f"{evidence.failures} usable of {count(evidence.failures + left_out, 'failure')}"


def _what_is_missing(finding: Finding) -> str:
    evidence, further = finding.study.evidence, finding.further_failures
    if evidence.never_varied and not evidence.planned:
        if evidence.for_symptom:
            return (
                "and the task was only ever done because of a symptom "
                f"({count(evidence.for_symptom, 'time')}), which says nothing about a routine: do "
                "it by plan on some printers to find out"
            )
        return "and the task was never logged: do it by plan on some printers to find out"
    if math.isinf(further):
        return "the task was always done at the same pace: change it on some printers to find out"
    if further > _BEYOND_A_WORKSHOP:
        return (
            f"more {finding.part} failures are needed than a workshop ever sees (over "
            f"{figure(_BEYOND_A_WORKSHOP)}), because the pace hardly varied: change it on some "
            "printers to find out"
        )
    if further > 0:
        verb = "is" if further == 1 else "are"
        noun = "failure" if further == 1 else "failures"
        return f"about {figure(further)} more {finding.part} {noun} {verb} needed"
    return "the failures seen should have shown a large change: if there is one, it is small"


def _what_it_costs(finding: Finding) -> str:
    """What is known without any model: the work, and how many failures would earn it."""
    work, currency = finding.extra_work, finding.study.currency
    if not work or not math.isfinite(finding.break_even_failures):
        return ""
    needed = figure(abs(finding.break_even_failures))
    if work > 0:
        return (
            f"The extra work costs {money(work, currency)} per printer and year and pays if it "
            f"avoids {needed} {finding.part} failures in that time."
        )
    return (
        f"The work saved is worth {money(-work, currency)} per printer and year, as much as "
        f"{needed} {finding.part} failures."
    )


def disagreement(
    ratio: Estimate, cox: float, cox_error: float, failures: int, printers_differ_much: bool = False
) -> str:
    """A sentence when the check without a life shape says something else, else "".

    Where printers differ much beyond their care that is the likely cause: the Weibull model gives
    each a level of its own, the check pools them, which pulls its ratio toward none.
    """
    if not (math.isfinite(cox) and math.isfinite(cox_error)):
        return ""
    low, high = cox - 1.96 * cox_error, cox + 1.96 * cox_error
    other = f"{figure(math.exp(cox))} ({figure(math.exp(low))} to {figure(math.exp(high))})"
    model = math.log(ratio.estimate)
    apart = not low <= model <= high
    if failures >= _FEW_FAILURES:  # with fewer the belief has to hold the model back
        apart = apart or not math.log(ratio.lower) <= cox <= math.log(ratio.upper)
    if apart:
        return (
            f"The check without a life shape (Cox) puts the risk at {other} times instead of "
            f"{figure(ratio.estimate)}: the two disagree, "
            + (_PRINTERS_DIFFER if printers_differ_much else "trust neither before you know why.")
        )
    told, cox_told = ratio.upper < 1 or ratio.lower > 1, low > 0 or high < 0
    if told != cox_told:
        which = "only the model with belief" if told else "only the check without a life shape"
        return (
            f"The check (Cox) gives {other}: {which} rules out no effect, so the evidence stands "
            "on the edge" + (f"; {_PRINTERS_DIFFER}" if printers_differ_much else ".")
        )
    return ""


def notes(finding: Finding) -> tuple[str, ...]:
    """What a reader has to know before relying on the answer."""
    study, evidence = finding.study, finding.study.evidence
    said = [*_on_the_log(finding), *_on_the_pace(finding)]
    if study.proportional_p_value < _LIKELY_DRIFT:
        said.append(
            "The effect seems to change with the age of the part (score test, p = "
            f"{figure(study.proportional_p_value)}): read the ratio as an average over ages."
        )
    if not finding.checked:
        said.append("The check without a life shape (Cox) cannot tell from these records.")
    if evidence.weibull.clusters < 3:
        said.append(
            "Fewer than three printers: what differs between them cannot be told from the task."
        )
    task = words.TASKS.get(study.task)
    others = [kind for kind in (task.likely_helps if task else ()) if kind != study.part_kind]
    if others:
        names = ", ".join(words.part_label(kind).lower() for kind in others)
        said.append(
            f"Only {finding.part} failures are counted in money; the task may protect other parts "
            f"too ({names}): look at those before dropping it."
        )
    if not finding.spare_on_shelf:
        said.append("Counted without a spare on the shelf: every failure waits for a delivery.")
    if not evidence.never_varied:
        said.append(
            "Printers cared for more often may differ in other ways; the E-value says how strong "
            "such a hidden cause would have to be."
        )
    return (
        *said,
        *map(evidence.in_words, evidence.weibull.warnings),
        *map(evidence.in_words, evidence.cox.warnings if evidence.cox and finding.checked else ()),
    )


def _on_the_log(finding: Finding) -> list[str]:
    """Harm, few failures, reasons not told, failures that could not be used."""
    evidence, said = finding.study.evidence, []
    harm = finding.ratio.lower > 1 if finding.is_more_often else finding.ratio.upper < 1
    if harm:
        said.append(
            "Doing it more often goes with more failures. Perhaps it does harm; perhaps printers "
            "in trouble get more of it without the log saying so. Look before changing anything."
        )
    if evidence.failures < _FEW_FAILURES and not evidence.never_varied:
        said.append(
            "With few failures the belief (most tasks change the risk by less than a factor of "
            "2.7 per doubling) pulls the effect toward none."
        )
    if not finding.study.reasons_told:
        said.append(
            "The log never says that an action was done because of a symptom, so the "
            f"{evidence.lag_days} days before each day are left out; cleaning called for by "
            "trouble could otherwise make a good task look harmful. Note why from now on."
        )
    left_out = evidence.rows.attrs.get("failures_left_out", 0)
    if left_out:
        said.append(
            f"{count(left_out, 'failure')} could not be used: before the first 30 days of the log "
            "were full, or without a fitting day."
        )
    return said


def _on_the_pace(finding: Finding) -> list[str]:
    """How much the pace varied, over which range, and which other task went along."""
    evidence, said = finding.study.evidence, []
    if evidence.spread < 0.1 and evidence.planned:
        said.append("The task was done at nearly one pace everywhere: the log can hardly tell.")
    elif evidence.spread >= 0.1:
        low, high = evidence.observed
        if any(not low - 0.5 <= at <= high + 0.5 for at in finding.exposure_at):
            said.append(
                "One of the two schedules lies outside what was done in the log: the answer is "
                "stretched beyond what was seen."
            )
    own = words.task_label(finding.study.task)
    for task, correlation in evidence.together:
        way = (
            "were done more and less often together"
            if correlation > 0
            else "took turns: one was done more often where the other was done less"
        )
        said.append(
            f"“{own}” and “{words.task_label(task)}” {way} (correlation {correlation:.2f}): their "
            "effects cannot be told apart well. Change one of them alone on some printers."
        )
    return said


def _every(days: float) -> str:
    return "every day" if days == 1 else f"every {days:g} days"
