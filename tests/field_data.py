"""Two published data sets as workshop logs in the contract's format.

Valve seats: 41 diesel engines of a locomotive fleet, 48 replacements; engine = printer, its seats
= one position renewed each time. Source: Nelson & Doganaksoy (1989); Nelson, Technometrics 37:147
(1995). Diesel fans: 70 generator fans, 12 failures. Source: Nelson, Applied Life Data Analysis
(1982), p. 133.
"""

from __future__ import annotations

from pathlib import Path

import pandas as pd

from tests.reference import reference_data

DAY_ZERO = pd.Timestamp("2020-01-01")
FAN_HOURS_PER_DAY = 24  # the fans' hours as running days


def write_valve_seats(folder: Path) -> pd.Timestamp:
    """The contract folder of the valve seats; returns the day after which nothing was seen."""
    data = reference_data("valveseat.csv")
    last = int(data["time"].max())
    rows, printers = [], []
    for engine, events in data.groupby("id"):
        name = f"engine {engine}"
        end = int(events.loc[events["status"] == 0, "time"].iloc[0])
        fitted = 0
        for day in sorted(events.loc[events["status"] == 1, "time"]):
            rows.append((name, fitted, int(day), "failed"))
            fitted = int(day)
        rows.append((name, fitted, end, "retired"))
        printers.append((name, 0, end))
    folder.mkdir(parents=True, exist_ok=True)
    pd.DataFrame(
        {
            "printer": [name for name, _, _ in printers],
            "started_on": DAY_ZERO.date(),
            "retired_on": [(DAY_ZERO + pd.Timedelta(days=end)).date() for *_, end in printers],
        }
    ).to_csv(folder / "printers.csv", index=False)
    pd.DataFrame(
        {
            "printer": [row[0] for row in rows],
            "part_kind": "valve_seat",
            "position": "seats",
            "fitted_on": [(DAY_ZERO + pd.Timedelta(days=row[1])).date() for row in rows],
            "removed_on": [(DAY_ZERO + pd.Timedelta(days=row[2])).date() for row in rows],
            "removal_reason": [row[3] for row in rows],
        }
    ).to_csv(folder / "fittings.csv", index=False)
    return DAY_ZERO + pd.Timedelta(days=last)


def write_fans(folder: Path) -> pd.Timestamp:
    """The contract folder of the fans, all fitted so that their ages end on one day."""
    data = reference_data("genfan.csv")
    days = data["time"] / FAN_HOURS_PER_DAY
    whole = days.round().astype(int)
    last = DAY_ZERO + pd.Timedelta(days=int(whole.max()))
    fitted = [last - pd.Timedelta(days=int(age)) for age in whole]
    folder.mkdir(parents=True, exist_ok=True)
    pd.DataFrame(
        {
            "printer": [f"generator {number}" for number in range(len(data))],
            "started_on": [day.date() for day in fitted],
        }
    ).to_csv(folder / "printers.csv", index=False)
    failed = data["event"] == 1
    pd.DataFrame(
        {
            "printer": [f"generator {number}" for number in range(len(data))],
            "part_kind": "fan",
            "position": "fan",
            "fitted_on": [day.date() for day in fitted],
            "removed_on": [last.date() if dead else "" for dead in failed],
            "removal_reason": ["failed" if dead else "" for dead in failed],
        }
    ).to_csv(folder / "fittings.csv", index=False)
    pd.DataFrame({"part_kind": ["fan"], "typical_life_days": [1200]}).to_csv(
        folder / "parts.csv", index=False
    )
    return last
