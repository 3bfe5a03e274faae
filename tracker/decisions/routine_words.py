"""The effect of a routine said in sentences a workshop can act on, with its doubts."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from tracker.decisions.routine_evidence import EffectEvidence
from tracker.decisions.wording import chance, count, figure, money
from tracker.models.intervals import Estimate
from tracker.records import vocabulary as words
from tracker.records.model import Records

_FEW_FAILURES = 20
_LIKELY_DRIFT = 0.05


def verdict(records: Records, ratio: Estimate, facts: Mapping[str, Any]) -> str:
    """The answer in one or two sentences: what changes, how sure, what it is worth."""
    part = words.part_label(facts["part_kind"]).lower()
    task = words.task_label(facts["task"])
    schedule = (
        f"{task}: {_every(facts['every_days'])} instead of {_every(facts['instead_of_days'])}"
    )
    currency = records.setting("currency")
    if ratio.upper < 1:
        effect = f"cuts {part} failures by {_share(1 - ratio.upper, 1 - ratio.lower)}"
    elif ratio.lower > 1:
        effect = f"goes with {_share(ratio.lower - 1, ratio.upper - 1)} more {part} failures"
    else:
        return f"{schedule} – {_cannot_tell(part, ratio, facts)}"
    saving = facts["saving_per_printer_year"]
    low, high = (money(facts[key], currency) for key in ("saving_p10", "saving_p90"))
    worth = "saves" if saving >= 0 else "costs"
    return (
        f"{schedule} {effect} (95 % limits, {count(facts['failures'], 'failure')}). "
        f"{chance(facts['chance_it_pays']).capitalize()} chance that it pays: it {worth} about "
        f"{money(abs(saving), currency)} per printer and year (80 % range {low} to {high})."
    )


def _cannot_tell(part: str, ratio: Estimate, facts: Mapping[str, Any]) -> str:
    seen = count(facts["failures"], "failure") if facts["failures"] else "no failure"
    further = facts["further_failures"]
    if math.isinf(further):
        more = "the task was always done at the same pace: change it on some printers to find out"
    elif further > 0:
        more = f"about {figure(further)} more {part} failures are needed"
    else:
        more = "the failures seen should have shown a large change: if there is one, it is small"
    return (
        f"cannot tell yet: {seen} so far, {more}. With what is known the risk is "
        f"{ratio.estimate:.2f} times as high (95 % limits {ratio.lower:.2f} to "
        f"{ratio.upper:.2f}), and part of that is belief."
    )


def disagreement(ratio: Estimate, cox: float, cox_error: float, failures: int) -> str:
    """A sentence when the check without a life shape says something else, else ""."""
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
            f"{figure(ratio.estimate)}: the two disagree, trust neither before you know why."
        )
    told, cox_told = ratio.upper < 1 or ratio.lower > 1, low > 0 or high < 0
    if told != cox_told:
        which = "only the model with belief" if told else "only the check without a life shape"
        return (
            f"The check (Cox) gives {other}: {which} rules out no effect, so the evidence stands "
            "on the edge."
        )
    return ""


def notes(
    evidence: EffectEvidence,
    part_kind: str,
    task: str,
    exposure_at: tuple[float, float],
    says_why: bool,
    p_value: float,
    spare_on_shelf: bool,
    checked: bool,
) -> tuple[str, ...]:
    """What a reader has to know before relying on the answer."""
    said = []
    if evidence.failures < _FEW_FAILURES:
        said.append(
            "With few failures the belief (most tasks change the risk by less than a factor of "
            "2.7 per doubling) pulls the effect toward none."
        )
    if not says_why:
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
    if evidence.spread < 0.1:
        said.append("The task was done at nearly one pace everywhere: the log can hardly tell.")
    else:
        low, high = evidence.observed
        outside = [at for at in exposure_at if not low - 0.5 <= at <= high + 0.5]
        if outside:
            said.append(
                "One of the two schedules lies outside what was done in the log: the answer is "
                "stretched beyond what was seen."
            )
    if p_value < _LIKELY_DRIFT:
        said.append(
            "The effect seems to change with the age of the part (score test, p = "
            f"{figure(p_value)}): read the ratio as an average over ages."
        )
    if not checked:
        said.append("The check without a life shape (Cox) cannot tell from these records.")
    if evidence.weibull.clusters < 3:
        said.append(
            "Fewer than three printers: what differs between them cannot be told from the task."
        )
    helped = words.TASKS[task].likely_helps if task in words.TASKS else ()
    others = [words.part_label(kind).lower() for kind in helped if kind != part_kind]
    if others:
        said.append(
            f"Only {words.part_label(part_kind).lower()} failures are counted in money; the task "
            f"may protect other parts too ({', '.join(others)}): look at those before dropping it."
        )
    if not spare_on_shelf:
        said.append("Without a spare on the shelf every failure waits for a delivery.")
    said.append(
        "Printers cared for more often may differ in other ways; the E-value says how strong such "
        "a hidden cause would have to be."
    )
    return (
        *said,
        *evidence.weibull.warnings,
        *(evidence.cox.warnings if evidence.cox and checked else ()),
    )


def _every(days: float) -> str:
    return "every day" if days == 1 else f"every {days:g} days"


def _share(low: float, high: float) -> str:
    return f"{100 * low:.0f}–{100 * high:.0f} %"
