"""Is one printer getting worse? Stoppages added up over the life of the log."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracker.decisions import wording
from tracker.errors import NotEnoughData
from tracker.models.recurrent import laplace_trend, mean_cumulative_function
from tracker.records.model import Records
from tracker.review.expectation import holm
from tracker.review.period import Period, first_day

LEAST_STOPS = 5
_AT_ONCE_DAYS = 0.25  # stoppages are told apart to a quarter of a day


@dataclass(frozen=True, eq=False)
class Pace:
    """``curves``: printer, day (of watching), stops so far; ``mean`` the mean cumulative function
    of all printers with its 95 % band; ``printers``: stops, days watched, chance of so much
    worsening under a steady pace, and ``verdict``. ``worse`` and ``sentence`` tell the answer.
    """

    curves: pd.DataFrame
    mean: pd.DataFrame
    printers: pd.DataFrame
    worse: tuple[str, ...]
    sentence: str


def pace_of_stops(records: Records, period: Period) -> Pace:
    """Do the stoppages of a printer come faster as time goes on (Laplace's test, Holm's guard)?"""
    until = pd.Timestamp(period.last) + pd.Timedelta(days=1)
    began = first_day(records)
    start_of = {}
    end_of = {}
    for row in records.printers.drop_duplicates("printer", keep="last").itertuples():
        start = pd.Timestamp(began) if began is not None else row.started_on
        start_of[row.printer] = (
            max(start, row.started_on) if row.started_on == row.started_on else start
        )
        end_of[row.printer] = until if pd.isna(row.retired_on) else min(until, row.retired_on)
    day = pd.Timedelta(days=1)
    watched = {
        name: (end_of[name] - start_of[name]) / day
        for name in start_of
        if end_of[name] > start_of[name]
    }
    stops = records.stoppages[records.stoppages["printer"].isin(list(watched))]
    age = ((stops["began_at"] - pd.to_datetime(stops["printer"].map(start_of))) / day).to_numpy(
        float
    )
    kept = (age > 0) & (age <= stops["printer"].map(watched).to_numpy(float)) if len(stops) else []
    curves = (
        pd.DataFrame({"printer": stops["printer"], "day": age})[kept]
        if len(stops)
        else (pd.DataFrame({"printer": [], "day": []}))
    )
    curves = curves.sort_values(["printer", "day"]).reset_index(drop=True)
    curves["stops"] = curves.groupby("printer").cumcount() + 1
    rows = [
        _judged(name, curves.loc[curves["printer"] == name, "day"].to_numpy(float), days)
        for name, days in watched.items()
    ]
    table = pd.DataFrame(rows, columns=["printer", "stops", "days", "chance_if_steady", "verdict"])
    tested = table[table["chance_if_steady"].notna()]
    out = holm(list(tested["chance_if_steady"]))
    worse = tuple(name for name, is_worse in zip(tested["printer"], out, strict=True) if is_worse)
    table["verdict"] = [
        "getting worse" if row.printer in worse
        else "too few to tell" if pd.isna(row.chance_if_steady) else "no sign of getting worse"
        for row in table.itertuples()
    ]  # fmt: skip
    try:
        mean = mean_cumulative_function(list(curves["printer"]), list(curves["day"]), watched)
    except NotEnoughData:
        mean = pd.DataFrame()
    return Pace(curves, mean, table, worse, _sentence(table, worse))


def _judged(name: str, days: np.ndarray, watched: float) -> dict[str, object]:
    chance = laplace_trend(days, watched).p_worse if len(days) >= LEAST_STOPS else np.nan
    return {
        "printer": name, "stops": len(days), "days": watched, "chance_if_steady": chance,
        "verdict": "",
    }  # fmt: skip


def _sentence(table: pd.DataFrame, worse: tuple[str, ...]) -> str:
    tested = table["chance_if_steady"].notna()
    if not tested.any():
        return f"Too few stoppages on any printer to tell a trend (fewer than {LEAST_STOPS} each)."
    if not worse:
        return "No printer is stopping more and more often than it used to."
    rows = table.set_index("printer")
    told = [
        f"{name} stops more and more often ({wording.count(rows.loc[name, 'stops'], 'stoppage')}; "
        f"{wording.chance(rows.loc[name, 'chance_if_steady'])} chance of such a trend by luck)"
        for name in worse
    ]
    return f"{'; '.join(told)}."
