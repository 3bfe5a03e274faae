"""A workshop of 200 printers as records, and the same in whole-number codes for the sums."""

from __future__ import annotations

import numpy as np
import pandas as pd

from tracker.workshop.records import Records

START = pd.Timestamp("2024-01-01")
DAYS = 700
TASKS = ("shake_dampers", "clean_wiper_cap")
EVERY = (14, 5)
PARTS = (("head", "H1", 300.0), ("wiper", "wiper", 120.0), ("damper", "C", 150.0))
SCRAP, ROUTINE = 0, 1
_EPOCH = pd.Timestamp("1970-01-01")


def many_printers(seed: int = 7) -> Records:
    """Seeded; worked every day, no closed days, nothing read off a counter."""
    rng = np.random.default_rng(seed)
    names = np.array([f"P{number:03d}" for number in range(200)], dtype=object)
    began = rng.integers(0, 200, 200)
    fittings, stops = [], []
    for kind, place, scale in PARTS:
        fitted, there = began.astype(float), np.arange(200)
        while len(there):
            end = fitted[there] + np.ceil(scale * rng.weibull(1.6, len(there)))
            out = end < DAYS
            reason = rng.choice(["failed", "accident", "planned"], len(there), p=[0.8, 0.1, 0.1])
            fittings.append(
                pd.DataFrame(
                    {"printer": names[there], "part_kind": kind, "position": place,
                     "fitted_on": _day(fitted[there]), "removed_on": _day(end).where(out),
                     "removal_reason": np.where(out, reason, "")}
                )
            )  # fmt: skip
            stops.append((there[out], end[out]))
            fitted[there] = end
            there = there[out]
    return Records.of(
        {
            "printers": pd.DataFrame({"printer": names, "started_on": _day(began)}),
            "fittings": pd.concat(fittings, ignore_index=True),
            "maintenance": _log(names, began, rng),
            "routines": pd.DataFrame({"task": TASKS, "every_days": [float(e) for e in EVERY]}),
            "stoppages": _stoppages(names, stops, rng),
            "settings": pd.DataFrame(
                {"name": ["labour_per_hour", "log_began_on"], "value": ["36", "2024-01-01"]}
            ),
        }
    )


def _log(names: np.ndarray, began: np.ndarray, rng: np.random.Generator) -> pd.DataFrame:
    """Each task about at its interval: sometimes days late, sometimes left out, sometimes twice."""
    rows = []
    for task, every in zip(TASKS, EVERY, strict=True):
        for name, first in zip(names, began, strict=True):
            gaps = every + rng.integers(-2, 4, 400) + every * rng.binomial(3, 0.08, 400)
            day = first + np.cumsum(gaps)
            day = day[day < DAYS]
            day = np.concatenate((day, day[rng.random(len(day)) < 0.05]))
            rows.append(pd.DataFrame({"printer": name, "task": task, "done_on": _day(day)}))
    log = pd.concat(rows, ignore_index=True)
    why = np.where(rng.random(len(log)) < 0.1, "symptom", "planned")
    return log.assign(why=why, minutes=rng.integers(2, 30, len(log)).astype(float))


def _stoppages(
    names: np.ndarray, stops: list[tuple[np.ndarray, np.ndarray]], rng: np.random.Generator
) -> pd.DataFrame:
    printer, day = (np.concatenate(column) for column in zip(*stops, strict=True))
    began = _day(day) + pd.Timedelta(hours=9)
    stopped = pd.DataFrame(
        {"printer": names[printer], "began_at": began, "ended_at": began + pd.Timedelta(hours=2),
         "scrap_cost": rng.integers(0, 3000, len(day)) / 100}
    )  # fmt: skip
    return stopped.drop_duplicates(["printer", "began_at"], ignore_index=True)


def _day(number: np.ndarray) -> pd.Series:
    return pd.Series(START + pd.to_timedelta(number, unit="D"))


def day_number(day: pd.Series | pd.Timestamp) -> pd.Series | int:
    """Days since 1970-01-01."""
    days = day - _EPOCH
    return days.days if isinstance(days, pd.Timedelta) else days.dt.days


def month_number(day: pd.Series) -> pd.Series:
    """12 · year + month − 1."""
    return day.dt.year * 12 + day.dt.month - 1


def coded_log(known: Records) -> dict[str, pd.DataFrame]:
    """The rows of the fleet's tables of what was done, what broke and what it cost.

    Printers by their place in the list, tasks and kinds of parts by theirs above.
    """
    number = pd.Series(range(len(known.printers)), index=known.printers["printer"])
    kinds = {kind: place for place, (kind, _, _) in enumerate(PARTS)}
    log, stops = known.maintenance, known.stoppages
    broke = known.fittings[known.fittings["removal_reason"].isin(["failed", "accident"])]
    seconds = (log["minutes"] * 60).round().astype(int)
    labour = known.number("labour_per_hour")
    costs = [
        pd.DataFrame(
            {"printer": stops["printer"].map(number), "month": month_number(stops["began_at"]),
             "item": SCRAP, "cents": (stops["scrap_cost"] * 100).round().astype(int)}
        ),
        pd.DataFrame(
            {"printer": log["printer"].map(number), "month": month_number(log["done_on"]),
             "item": ROUTINE, "cents": (seconds * labour / 36).round().astype(int)}
        ),
    ]  # fmt: skip
    began = day_number(known.printers["started_on"])
    return {
        "fleet_actions": pd.DataFrame(
            {"printer": log["printer"].map(number),
             "task": log["task"].map({task: place for place, task in enumerate(TASKS)}),
             "done_on": day_number(log["done_on"]), "month": month_number(log["done_on"]),
             "planned": (log["why"] == "planned").astype(int), "seconds": seconds}
        ),
        "fleet_routines": pd.DataFrame(
            {"printer": np.repeat(np.arange(200), 2), "task": np.tile([0, 1], 200),
             "every_days": np.tile(EVERY, 200), "starts_on": np.repeat(began, 2)}
        ),
        "fleet_breakdowns": pd.DataFrame(
            {"printer": broke["printer"].map(number), "part_kind": broke["part_kind"].map(kinds),
             "month": month_number(broke["removed_on"])}
        ),
        "fleet_costs": pd.concat(costs, ignore_index=True),
    }  # fmt: skip
