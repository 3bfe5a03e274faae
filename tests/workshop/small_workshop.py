"""A small workshop with something in every table, true as a whole."""

from __future__ import annotations

from typing import Any

import pandas as pd

from tracker.workshop.records import Records


def small_workshop() -> Records:
    """Two printers; a damper and a head that failed, one part in before the log began."""
    frames: dict[str, dict[str, list[Any]]] = {
        "printers": {
            "printer": ["P1", "P2"], "started_on": ["2025-06-01", "2025-09-01"],
            "site": ["Hall", ""], "channels": ["C M Y K W1 W2", "C M Y K W"],
        },
        "fittings": {
            "printer": ["P1", "P1", "P1", "P1", "P2", "P2"],
            "part_kind": ["head", "head", "damper", "damper", "wiper", "cap"],
            "position": ["H1", "H1", "W1", "W1", "wiper", "cap"],
            "fitted_on": [
                "2025-06-01", "2026-01-10", "2025-06-01", "2025-11-20", "2025-09-01", None,
            ],
            "removed_on": ["2026-01-10", None, "2025-11-20", None, None, None],
            "removal_reason": ["failed", "", "failed", "", "", ""],
            "failure_mode": ["nozzles blocked", "", "filter full", "", "", ""],
            "last_ok_on": ["2026-01-09", None, None, None, None, None],
            "unit_cost": [612.5, 640, 8.9, 8.9, None, None],
            "supplier": ["North", "North", "North", "South", "", ""],
            "age_guess_days": [None, None, None, None, None, 60],
            "claim": ["credited", "", "", "", "", ""],
            "claim_amount": [306.25, None, None, None, None, None],
        },
        "maintenance": {
            "printer": ["P1", "P1", "P1", "P2"],
            "task": ["shake_dampers", "head_clean", "head_clean", "stir_ink"],
            "done_on": ["2025-12-01", "2026-01-08", "2026-01-08", "2026-01-08"],
            "why": ["planned", "symptom", "symptom", "planned"],
            "minutes": [22.5, 4, 4, None], "done_by": ["Ana", "", "", "Ben"],
        },
        "counters": {
            "printer": ["P1", "P1", "P2"], "read_on": ["2025-06-01", "2026-01-10", "2026-01-10"],
            "area_m2": [0, 1432.7, 388.25],
        },
        "nozzle_checks": {
            "printer": ["P1"], "checked_on": ["2026-01-09"], "position": ["H1"],
            "channel": ["W1"], "missing_nozzles": [7],
        },
        "stoppages": {
            "printer": ["P1", "P2"], "began_at": ["2026-01-10T08:15:00", "2026-02-01T13:00:30"],
            "ended_at": ["2026-01-10T12:45", None], "part_kind": ["head", ""],
            "scrap_cost": [35.4, None],
        },
        "stock": {
            "part_kind": ["damper", "damper", "head"],
            "moved_on": ["2025-10-01", "2025-11-20", "2026-01-10"], "quantity": [10, -1, -1],
            "reason": ["received", "used", "used"], "unit_cost": [8.9, None, None],
            "best_before": ["2027-03-25", None, None],
        },
        "orders": {
            "part_kind": ["head"], "quantity": [1], "ordered_on": ["2026-01-11"],
            "expected_on": ["2026-02-10"], "supplier": ["North"], "unit_cost": [655],
        },
        "parts": {
            "part_kind": ["head", "damper"], "unit_cost": [640, 8.9], "pack_size": [1, 10],
            "lead_days": [25, 8], "shelf_life_days": [540, 540], "replaced_with": ["", "head"],
        },
        "routines": {
            "task": ["shake_dampers"] * 4, "every_days": [15, 7, 15, 7],
            "printer": ["", "P1", "P1", "P1"],
            "starts_on": ["2025-06-01", "2026-02-02", "2026-03-09", "2026-05-18"],
            "ends_on": [None, "2026-03-08", "2026-05-17", "2026-06-21"],
        },
        "experiments": {
            "experiment": ["Shaking 2026"] * 3, "task": ["shake_dampers"] * 3,
            "part_kind": ["damper"] * 3, "printer": ["P1"] * 3, "every_days": [7, 15, 7],
            "starts_on": ["2026-02-02", "2026-03-09", "2026-05-18"],
            "ends_on": ["2026-03-08", "2026-05-17", "2026-06-21"],
            "look_on": ["2026-04-12"] * 3, "note": ["", "Ana on leave", ""],
        },
        "closures": {
            "began_on": ["2025-12-24"], "ended_on": ["2026-01-02"], "note": ["Christmas"],
        },
        "conditions": {
            "printer": ["P1"], "noted_on": ["2026-01-08"], "humidity_percent": [43.5],
            "ink_lot": ["white 7"],
        },
        "actions": {
            "month": ["2026-01-01", "2026-01-01"], "action": ["Ask North about W1", "Buy gloves"],
            "reason": ["It failed early.", ""], "assigned_to": ["Ana", ""],
            "written_on": ["2026-02-02", "2026-02-02"], "done_on": ["2026-02-05", None],
            "place": [1, None], "made_from": ["claim damper P1 W1", ""],
        },
        "review_notes": {
            "month": ["2026-01-01"], "note": ["Ana away;\nfewer checks"],
            "written_on": ["2026-02-02"],
        },
        "settings": {"name": ["currency", "log_began_on"], "value": ["EUR", "2025-06-01"]},
    }  # fmt: skip
    return Records.of(
        {
            name: pd.DataFrame(columns, index=range(2, 2 + len(next(iter(columns.values())))))
            for name, columns in frames.items()
        }
    )
