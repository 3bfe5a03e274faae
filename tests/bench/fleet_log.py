"""An invented fleet with five years of log, made by arrays: quick enough for thousands of printers.

Its lives follow a Weibull law and its routine is mostly kept, printer by printer with other care.
It shows how answers grow; claims about methods rest on ``tests/simulation``.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Array, Bools, Ints
from tracker.workshop.records import Records

FIRST_DAY, DAYS = date(2021, 11, 1), 1826
LAST_DAY = FIRST_DAY + timedelta(days=DAYS - 1)  # 31 October 2026, the last day of a month
_ORIGIN = np.datetime64(FIRST_DAY, "D")
_PRINTERS_PER_SITE = 25
_CHANNELS = ("C", "M", "Y", "K", "W1", "W2")
# Kind, position, Weibull scale in days, price.
PARTS = (
    ("head", "H1", 600.0, 640.0), ("wiper", "wiper", 240.0, 7.8), ("cap", "cap", 330.0, 42.0),
    ("pump", "pump", 620.0, 58.0),
    *(("damper", channel, 220.0, 8.5) for channel in _CHANNELS),
)  # fmt: skip
_SHAPE, _ACCIDENTS = 1.7, 0.08
# Task, days between, minutes; daily ones on working days only.
_TASKS = (
    ("stir_ink", 1, 4.0), ("nozzle_check", 1, 5.0), ("clean_wiper_cap", 4, 8.0),
    ("shake_dampers", 7, 6.0), ("head_clean", 14, 10.0), ("empty_waste", 30, 5.0),
    ("wipe_encoder", 30, 6.0),
)  # fmt: skip
_CLOSED = tuple((date(year, 12, 24), date(year + 1, 1, 2)) for year in range(2021, 2026))
_STAFF = np.array(["Ana", "Ben", "Cleo", "Dov", "Esra", "Finn"], dtype=object)


@dataclass(frozen=True)
class _Days:
    """Which days of the log are worked."""

    worked: Bools

    @classmethod
    def all(cls) -> _Days:
        days = _ORIGIN + np.arange(DAYS)
        worked = np.is_busday(days)
        for began, ended in _CLOSED:
            worked &= ~((days >= np.datetime64(began)) & (days <= np.datetime64(ended)))
        return cls(worked)

    def from_(self, day: Ints) -> Ints:
        """Each day, or the next one worked (beyond the log where none is)."""
        following = np.flatnonzero(np.append(self.worked, True))
        at = np.searchsorted(following, np.minimum(day, DAYS))
        return np.asarray(np.where(day >= DAYS, DAYS, following[at]))


def fleet_log(printers: int, seed: int = 1) -> Records:
    """So many printers with ten parts each and about 3 200 tasks each in five years."""
    rng = np.random.default_rng(seed)
    days = _Days.all()
    names = np.array([f"P{number:05d}" for number in range(1, printers + 1)], dtype=object)
    care = np.exp(0.4 * rng.standard_normal(printers))  # how seldom dampers are shaken
    fittings = _fittings(names, care, days, rng)
    failed = fittings[fittings["removal_reason"].isin(["failed", "accident"])]
    return Records.of(
        {
            "printers": pd.DataFrame(
                {
                    "printer": names,
                    "started_on": FIRST_DAY,
                    "site": [f"Site {at // _PRINTERS_PER_SITE + 1}" for at in range(printers)],
                    "head_type": "six-channel",
                    "channels": " ".join(_CHANNELS),
                }
            ),
            "fittings": fittings,
            "maintenance": _maintenance(names, care, days, rng),
            "counters": _counters(names, rng),
            "nozzle_checks": _nozzle_checks(names, days, rng),
            "stoppages": _stoppages(failed, rng),
            **_shelf(failed, rng),
            "routines": pd.DataFrame(
                [(task, every) for task, every, _ in _TASKS], columns=["task", "every_days"]
            ).assign(starts_on=FIRST_DAY),
            "closures": pd.DataFrame(_CLOSED, columns=["began_on", "ended_on"]),
            "settings": pd.DataFrame({"name": ["log_began_on"], "value": [FIRST_DAY.isoformat()]}),
        }
    )


def _on(day: NDArray[np.signedinteger]) -> np.ndarray:
    return np.asarray((_ORIGIN + day).astype("datetime64[ns]"))


def _fittings(
    names: np.ndarray, care: Array, days: _Days, rng: np.random.Generator
) -> pd.DataFrame:
    hard = np.exp(0.25 * rng.standard_normal(len(names)))
    frames = []
    for kind, position, scale, price in PARTS:
        scales = scale * hard * (care**-0.4 if kind == "damper" else 1.0)
        fitted, there = np.zeros(len(names), dtype=np.int64), np.arange(len(names))
        while there.size:
            life = np.ceil(scales[there] * rng.weibull(_SHAPE, there.size)).astype(np.int64)
            end = days.from_(fitted[there] + life)
            ended = end < DAYS
            accident = rng.random(there.size) < _ACCIDENTS
            quarter = fitted[there] // 91
            supplier = rng.integers(3, size=there.size)
            frames.append(
                pd.DataFrame(
                    {
                        "printer": names[there],
                        "part_kind": kind,
                        "position": position,
                        "fitted_on": _on(fitted[there]),
                        "removed_on": np.where(ended, _on(end), np.datetime64("NaT")),
                        "removal_reason": np.where(
                            ended, np.where(accident, "accident", "failed"), ""
                        ),
                        "supplier": np.array(["North", "South", "West"], object)[supplier],
                        "batch": [
                            f"{kind[0]}{q}{s}" for q, s in zip(quarter, supplier, strict=True)
                        ],
                        "unit_cost": price,
                    }
                )
            )
            fitted[there] = end
            there = there[ended]
    rows = pd.concat(frames, ignore_index=True)
    return rows.sort_values(["fitted_on", "printer"], kind="stable", ignore_index=True)


def _maintenance(
    names: np.ndarray, care: Array, days: _Days, rng: np.random.Generator
) -> pd.DataFrame:
    diligence = rng.beta(12, 1, len(names))
    unit, day, task = [], [], []
    for at, (name, every, _) in enumerate(_TASKS):
        if every == 1:
            done = days.worked & (rng.random((len(names), DAYS)) < diligence[:, None])
            who, when = np.nonzero(done)
        else:
            step = every * (care if name == "shake_dampers" else np.ones(len(names)))
            most = int(DAYS / step.min()) + 1
            gaps = step[:, None] * rng.uniform(0.8, 1.2 / diligence[:, None], (len(names), most))
            moment = days.from_(np.cumsum(gaps, axis=1).astype(np.int64))
            first = np.diff(moment, axis=1, prepend=-1) > 0  # once a day
            who, at_step = np.nonzero((moment < DAYS) & first)
            when = moment[who, at_step]
        unit.append(who.astype(np.int32))
        day.append(when.astype(np.int32))
        task.append(np.full(len(who), at, dtype=np.int8))
    units, dates, tasks = np.concatenate(unit), np.concatenate(day), np.concatenate(task)
    order = np.argsort(dates, kind="stable")
    units, dates, tasks = units[order], dates[order], tasks[order]
    cleaned = tasks == [name for name, *_ in _TASKS].index("head_clean")
    symptom = cleaned & (rng.random(len(units)) < 0.15)
    return pd.DataFrame(
        {
            "printer": names[units],
            "task": np.array([name for name, *_ in _TASKS], object)[tasks],
            "done_on": _on(dates),
            "why": np.array(["planned", "symptom"], object)[symptom.astype(int)],
            "minutes": np.array([minutes for *_, minutes in _TASKS])[tasks]
            + rng.integers(-2, 3, len(units)),
            "done_by": _STAFF[rng.integers(len(_STAFF), size=len(units))],
        }
    )


def _counters(names: np.ndarray, rng: np.random.Generator) -> pd.DataFrame:
    weeks = np.arange(0, DAYS, 7)
    pace = 60 * np.exp(0.3 * rng.standard_normal(len(names)))
    area = np.cumsum(pace[:, None] * rng.uniform(0.7, 1.3, (len(names), len(weeks))), axis=1)
    return pd.DataFrame(
        {
            "printer": np.tile(names, len(weeks)),
            "read_on": np.repeat(_on(weeks), len(names)),
            "area_m2": area.T.ravel().round(1),
        }
    )


def _nozzle_checks(names: np.ndarray, days: _Days, rng: np.random.Generator) -> pd.DataFrame:
    months = days.from_(np.arange(0, DAYS, 28))
    months = months[months < DAYS]
    count = len(months) * len(names) * len(_CHANNELS)
    return pd.DataFrame(
        {
            "printer": np.tile(np.repeat(names, len(_CHANNELS)), len(months)),
            "checked_on": np.repeat(_on(months), len(names) * len(_CHANNELS)),
            "position": "H1",
            "channel": np.tile(np.array(_CHANNELS, object), len(months) * len(names)),
            "missing_nozzles": rng.poisson(0.7, count),
        }
    )


def _stoppages(failed: pd.DataFrame, rng: np.random.Generator) -> pd.DataFrame:
    stood = failed[rng.random(len(failed)) < 0.4].drop_duplicates(["printer", "removed_on"])
    began = stood["removed_on"] + pd.to_timedelta(rng.integers(8, 14, len(stood)), "h")
    return pd.DataFrame(
        {
            "printer": stood["printer"],
            "began_at": began,
            "ended_at": began + pd.to_timedelta(rng.integers(1, 9, len(stood)), "h"),
            "cause": "part",
            "part_kind": stood["part_kind"],
            "scrap_cost": rng.integers(0, 60, len(stood)).astype(float),
        }
    ).sort_values("began_at", kind="stable", ignore_index=True)


def _shelf(failed: pd.DataFrame, rng: np.random.Generator) -> dict[str, pd.DataFrame]:
    """Every quarter as many pieces come as were used, and a few more in the first."""
    used = failed[["part_kind", "removed_on"]].rename(columns={"removed_on": "moved_on"})
    quarter = ((used["moved_on"] - pd.Timestamp(FIRST_DAY)).dt.days // 91).rename("quarter")
    wanted = used.groupby([used["part_kind"], quarter]).size().rename("quantity").reset_index()
    ordered = pd.Timestamp(FIRST_DAY) + pd.to_timedelta(91 * wanted["quarter"] - 14, "D")
    received = ordered + pd.to_timedelta(rng.integers(5, 14, len(wanted)), "D")
    more = np.where(wanted["quarter"] == 0, 2, 0)
    supplies = pd.DataFrame(
        {
            "part_kind": wanted["part_kind"],
            "moved_on": received.clip(lower=pd.Timestamp(FIRST_DAY)),
            "quantity": wanted["quantity"] + more,
            "reason": "received",
        }
    )
    moves = pd.concat([supplies, used.assign(quantity=-1, reason="used")], ignore_index=True)
    late = wanted["quarter"] > 0
    return {
        "stock": moves.sort_values("moved_on", kind="stable", ignore_index=True),
        "orders": pd.DataFrame(
            {
                "part_kind": wanted["part_kind"],
                "quantity": wanted["quantity"],
                "ordered_on": ordered,
                "expected_on": ordered + pd.Timedelta(days=10),
                "received_on": received,
                "supplier": "North",
            }
        )[late].reset_index(drop=True),
    }
