"""Cox's regression beside the life model: the check, which assumes no shape of a life."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd

from tracker.decisions.routine.task_effect.task_frequency import is_task, usual
from tracker.models.regression import CoxFit, fit_cox

_LEAST_FAILURES = 5
_WIDEST_ERROR = 1.5


def cox_beside(
    rows: pd.DataFrame, exposure: str, beside: tuple[str, ...], failures: int
) -> CoxFit | None:
    """The task first, then as many of the others as five failures each allow, tasks before
    conditions; inks are strata. None with too few failures.
    """
    if failures < _LEAST_FAILURES:
        return None
    room = max(failures // 5 - 1, 0)
    tasks_first = sorted(beside, key=lambda name: (name != usual(exposure), not is_task(name)))
    return fit_cox(
        rows,
        [exposure, *tasks_first[:room]],
        strata="white" if "white" in rows else None,
    )


def chance_alike_at_all_ages(cox: CoxFit | None, exposure: str) -> float:
    """Does the task's effect change with the age of the part? p-value of the score test."""
    if cox is None:
        return float("nan")
    table = cox.proportional_hazards().by_covariate
    if exposure not in table.index:
        return float("nan")
    return float(table["p_value"].to_dict()[exposure])


def log_ratio(fit: CoxFit | None, change: Mapping[str, float]) -> tuple[float, float]:
    """Cox's log hazard ratio of a change and its standard error.

    NaN where there is none, or where it says nothing: limits more than a factor of 19 away on each
    side are no check.
    """
    if fit is None:
        return float("nan"), float("nan")
    value, std_error = fit.log_hazard_ratio(change)
    if fit.penalised or not std_error < _WIDEST_ERROR:
        return float("nan"), float("nan")
    return value, std_error
