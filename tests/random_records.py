"""Invented record sets, all possible: any names, any sequence of parts, any shelf; seeded."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

import numpy as np
import pandas as pd

from tracker.workshop.records import Records

BEGAN, ENDS = date(2024, 1, 1), date(2026, 10, 31)
DAYS = (ENDS - BEGAN).days
TYPES = ("six-channel head", "eight-channel head")
TASKS = ("shake_dampers", "head_clean", "stir_ink")
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
    """Printers under any names at any sites, parts one after another in each position, and all that
    may be written down beside them.
    """
    names = list(dict.fromkeys(f"{any_name(rng)}{number}" for number in range(rng.integers(1, 4))))
    sites = list(rng.choice(["", "Hall", any_name(rng)], len(names)))
    types = list(rng.choice(["", *TYPES], len(names)))
    fittings = [row for name in names for row in _parts_of(name, rng)]
    frames = {
        "printers": [
            {
                "printer": name, "started_on": BEGAN, "channels": "C W1", "site": site,
                "head_type": head_type,
            }
            for name, site, head_type in zip(names, sites, types, strict=True)
        ],
        "fittings": fittings,
        "maintenance": [row for name in names for row in _tasks_of(name, rng)],
        "counters": [row for name in names for row in _counters_of(name, rng)],
        "nozzle_checks": [row for name in names for row in _checks_of(name, rng)],
        "stoppages": [row for name in names for row in _stoppages_of(name, rng)],
        "stock": [
            {
                "part_kind": "damper", "moved_on": _on(at), "reason": "received",
                "quantity": float(rng.integers(1, 500)),
            }
            for at in np.unique(rng.integers(0, DAYS, 4))
        ],
        "orders": [
            {
                "part_kind": "head", "quantity": float(rng.choice([1, 2, 30, 900])),
                "supplier": "S", "ordered_on": ENDS - timedelta(int(at)),
                "received_on": ENDS - timedelta(int(at) // 2) if rng.random() < 0.5 else None,
            }
            for at in np.unique(rng.integers(1, 60, 3))
        ],
        "parts": [
            {
                "part_kind": kind, "unit_cost": round(float(rng.uniform(0, 900)), 2),
                "pack_size": float(rng.integers(1, 12)), "lead_days": float(rng.integers(0, 40)),
                "lead_days_late": float(rng.integers(40, 90)),
                "shelf_life_days": float(rng.integers(1, 900)),
                "typical_life_days": float(rng.integers(5, 2000)),
                "belief_failures": round(float(rng.uniform(0.1, 9)), 1),
            }
            for kind in rng.permutation(["head", "damper", "wiper", "cap"])[: rng.integers(0, 5)]
        ],
        "closures": _closures(names, sites, rng),
        "routines": [
            {"task": task, "every_days": float(rng.integers(1, 60)), "starts_on": BEGAN}
            for task in rng.permutation(TASKS)[: rng.integers(0, 3)]
        ],
        "settings": [
            {"name": name, "value": str(value)}
            for name, value in (
                ("review_days", rng.integers(0, 60)), ("margin_per_hour", rng.integers(0, 90)),
                ("service_level", rng.choice([0.5, 0.95, 0.999])),
                ("currency", rng.choice(["EUR", "USD", "HUF"])),
            )
            if rng.random() < 0.5
        ],
    }  # fmt: skip
    return Records.of({table: pd.DataFrame(rows) for table, rows in frames.items() if rows})


def _on(day: object) -> date:
    return BEGAN + timedelta(int(str(day)))


def _parts_of(printer: str, rng: np.random.Generator) -> Iterator[dict[str, object]]:
    for kind, position in KINDS:
        day = int(rng.integers(0, 200))
        while day < DAYS:
            ends = day + int(rng.integers(1, 500))
            row: dict[str, object] = {
                "printer": printer, "part_kind": kind, "position": position,
                "fitted_on": _on(day), "supplier": any_name(rng), "batch": rng.choice(["", "L1"]),
                "unit_cost": round(float(rng.uniform(0, 900)), 2), "note": any_name(rng, 60),
            }  # fmt: skip
            if ends < DAYS and rng.random() < 0.9:
                reason = str(rng.choice(REASONS))
                row |= {"removed_on": _on(ends), "removal_reason": reason}
                if reason == "failed" and rng.random() < 0.3:
                    row |= {"last_ok_on": _on(rng.integers(day, ends + 1)), "failure_mode": "worn"}
                day = ends + int(rng.integers(0, 3))
            else:
                day = DAYS
            yield row


def _tasks_of(printer: str, rng: np.random.Generator) -> Iterator[dict[str, object]]:
    for task in TASKS[: rng.integers(1, len(TASKS) + 1)]:
        for at in np.unique(rng.integers(200, DAYS, 30)):
            yield {
                "printer": printer, "task": task, "done_on": _on(at),
                "why": str(rng.choice(["planned", "symptom"])),
                "minutes": float(rng.integers(1, 60)), "done_by": any_name(rng),
            }  # fmt: skip


def _counters_of(printer: str, rng: np.random.Generator) -> Iterator[dict[str, object]]:
    at = np.unique(rng.integers(0, DAYS, rng.integers(0, 20)))
    for day, area in zip(at, np.cumsum(rng.uniform(0, 300, len(at))), strict=True):
        yield {"printer": printer, "read_on": _on(day), "area_m2": round(float(area), 1)}


def _checks_of(printer: str, rng: np.random.Generator) -> Iterator[dict[str, object]]:
    for day in np.unique(rng.integers(200, DAYS, rng.integers(0, 20))):
        yield {
            "printer": printer, "checked_on": _on(day), "position": "H1",
            "channel": str(rng.choice(["C", "W1"])), "missing_nozzles": float(rng.integers(0, 40)),
        }  # fmt: skip


def _stoppages_of(printer: str, rng: np.random.Generator) -> Iterator[dict[str, object]]:
    for day in np.unique(rng.integers(200, DAYS - 20, rng.integers(0, 8)))[::2]:
        began = pd.Timestamp(_on(day)) + pd.Timedelta(hours=int(rng.integers(6, 18)))
        yield {
            "printer": printer, "began_at": began,
            "ended_at": began + pd.Timedelta(minutes=int(rng.integers(1, 700))),
            "cause": any_name(rng), "part_kind": str(rng.choice(["", "head", "damper"])),
            "scrap_cost": round(float(rng.uniform(0, 90)), 2),
        }  # fmt: skip


def _closures(
    printers: list[str], sites: list[str], rng: np.random.Generator
) -> list[dict[str, object]]:
    """Of everybody, a site, a printer or a supplier; some lie ahead."""
    found: list[dict[str, object]] = []
    for day in np.unique(rng.integers(0, DAYS + 60, rng.integers(0, 6))):
        at = int(rng.integers(len(printers)))
        whose = [("site", sites[at]), ("printer", printers[at]), ("supplier", "S"), ("site", "")]
        column, name = whose[int(rng.integers(4))]
        ended = _on(day + rng.integers(0, 40))
        found.append({"began_on": _on(day), "ended_on": ended, column: name})
    return found
