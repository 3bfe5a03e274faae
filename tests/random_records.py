"""Invented record sets, all possible: any names, any sequence of parts, any shelf; seeded."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pandas as pd

from tracker.workshop.records import Records

BEGAN, ENDS = date(2024, 1, 1), date(2026, 10, 31)
KINDS = (("head", "H1"), ("damper", "W1"), ("damper", "C"), ("wiper", "wiper"), ("cap", "cap"))
REASONS = ("failed", "accident", "planned", "unknown", "")
# Letters of many scripts, signs that mean something to programs, and what turns writing around.
_SIGNS = "aéßñŁЖ中あ👕 '\"`<>&*_~$%{}[]()|\\/;,:=+-@#!?.²½\u202e\u200d"


def any_name(rng: np.random.Generator, longest: int = 20) -> str:
    """A name somebody might write; never empty, without spaces around it."""
    length = int(rng.integers(1, longest))
    drawn = "".join(rng.choice(list(_SIGNS), length)).strip()
    return drawn or "x"


def any_records(rng: np.random.Generator) -> Records:
    """Printers under any names, parts one after another in each position, and a shelf."""
    names = list(dict.fromkeys(f"{any_name(rng)}{number}" for number in range(rng.integers(1, 4))))
    days = (ENDS - BEGAN).days
    fittings: list[dict[str, object]] = []
    maintenance: list[dict[str, object]] = []
    for name in names:
        for kind, position in KINDS:
            day = int(rng.integers(0, 200))
            while day < days:
                ends = day + int(rng.integers(1, 500))
                row: dict[str, object] = {
                    "printer": name, "part_kind": kind, "position": position,
                    "fitted_on": BEGAN + timedelta(day), "supplier": any_name(rng),
                    "unit_cost": round(float(rng.uniform(0, 900)), 2), "note": any_name(rng, 60),
                }  # fmt: skip
                if ends < days and rng.random() < 0.9:
                    reason = str(rng.choice(REASONS))
                    row |= {"removed_on": BEGAN + timedelta(ends), "removal_reason": reason}
                    day = ends + int(rng.integers(0, 3))
                else:
                    day = days
                fittings.append(row)
        done = np.unique(rng.integers(200, days, 30))
        maintenance += [
            {
                "printer": name, "task": "shake_dampers", "done_on": BEGAN + timedelta(int(at)),
                "why": "planned", "minutes": float(rng.integers(1, 60)), "done_by": any_name(rng),
            }
            for at in done
        ]  # fmt: skip
    moved = [
        {
            "part_kind": "damper", "moved_on": BEGAN + timedelta(int(at)), "reason": "received",
            "quantity": float(rng.integers(1, 500)),
        }
        for at in np.unique(rng.integers(0, days, 4))
    ]  # fmt: skip
    orders = [
        {
            "part_kind": "head", "quantity": float(rng.choice([1, 2, 30, 900])), "supplier": "S",
            "ordered_on": ENDS - timedelta(int(at)),
        }
        for at in np.unique(rng.integers(1, 60, 3))
    ]  # fmt: skip
    frames = {"fittings": fittings, "maintenance": maintenance, "stock": moved, "orders": orders}
    printers = pd.DataFrame({"printer": names, "started_on": BEGAN, "channels": "C W1"})
    tables = {table: pd.DataFrame(rows) for table, rows in frames.items() if rows}
    return Records.of({"printers": printers, **tables})
