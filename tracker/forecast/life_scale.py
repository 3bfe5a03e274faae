"""Do a part's lives end by days or by printed area?"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Literal

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.errors import NotEnoughData
from tracker.lives.life_table import life_table
from tracker.lives.usage import area_between
from tracker.workshop.records import Records

if TYPE_CHECKING:
    from tracker.models.fit.scale_choice import ScaleChoice

_RATE_DAYS = 30  # the printing rate around a failure is the mean of the days before it
# A part that failed while its printer stood cannot have failed by area. Days are written down a
# little late and counters seldom read, so that much of a usual day counts as printed even then.
_LEAST_PRINTED = 0.5


@dataclass(frozen=True, eq=False)
class ScaleFinding:
    """Which scale the log favours for a kind: ``choice`` with both fits, None where it cannot tell.

    ``failures`` and ``lives`` count those that have both ages, ``problem`` is what kept enough of
    them from being compared.
    """

    part_kind: str
    choice: ScaleChoice | None
    failures: int
    lives: int
    problem: str = ""

    @property
    def favours(self) -> Literal["days", "area", "cannot tell"]:
        """The scale that explains the lives better, where that can be told."""
        return "cannot tell" if self.choice is None else self.choice.verdict


def scale_finding(records: Records, as_of: date, part_kind: str) -> ScaleFinding:
    """Which scale explains the lives of one kind better?"""
    return scale_findings(records, as_of, [part_kind])[part_kind]


def scale_findings(records: Records, as_of: date, kinds: Iterable[str]) -> dict[str, ScaleFinding]:
    """Which scale explains the lives better, for each of these kinds?

    Judged on the lives that have an age in days and in m² (``models.scale_choice``): exact
    failures, the running and otherwise ended lives as censored, both with delayed entry.

    >>> scale_finding(Records(), date(2026, 3, 1), "head").favours
    'cannot tell'
    """
    known = records.known_at(as_of)
    days = life_table(known, as_of)
    area = life_table(known, as_of, scale="area")
    both = (days["counted"] & area["counted"]).astype(bool)
    found = {}
    for kind in kinds:
        own = both & (days["part_kind"] == kind)
        found[kind] = _of_kind(kind, known, as_of, days[own], area[own])
    return found


def _of_kind(
    kind: str, known: Records, as_of: date, days: pd.DataFrame, area: pd.DataFrame
) -> ScaleFinding:
    from tracker.models.fit.scale_choice import choose_scale

    failed = (days["outcome"] == "failed").to_numpy()
    if failed.sum() < 2 or not area["age"].sum() > 0:
        return ScaleFinding(kind, None, int(failed.sum()), len(failed))
    try:
        choice = choose_scale(
            days["age"].to_numpy(dtype=float),
            area["age"].to_numpy(dtype=float),
            failed,
            np.where(failed, _rates(known, as_of, days, area), np.nan),
            entry_days=days["entry"].to_numpy(dtype=float),
            entry_area=area["entry"].to_numpy(dtype=float),
        )
    except NotEnoughData as problem:
        return ScaleFinding(kind, None, int(failed.sum()), len(failed), str(problem))
    return ScaleFinding(kind, choice, int(failed.sum()), len(failed))


def _rates(known: Records, as_of: date, days: pd.DataFrame, area: pd.DataFrame) -> Array:
    """Area printed a day before each life's end, that of the whole life where it is not known."""
    age, printed = (lives["age"].to_numpy(dtype=float) for lives in (days, area))
    window = np.clip(age, 1, _RATE_DAYS)
    ends = days["removed_on"].fillna(np.datetime64(as_of, "ns"))
    starts = ends - (window * 86_400e9).astype("timedelta64[ns]")
    lately = np.asarray(area_between(known, days["printer"], starts, ends), dtype=float)
    lately = np.where(np.isfinite(lately), lately, printed / np.maximum(age, 1) * window)
    usual = printed.sum() / max(age.sum(), 1.0)
    return np.asarray(np.maximum(lately, _LEAST_PRINTED * usual) / window)
