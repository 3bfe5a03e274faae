"""A log of one quarter written by hand; every figure of its reviews can be worked out on paper.

Two printers from 1 January 2026, 8 hours a day, work 30 an hour, margin 20 an hour. March 2026
has 22 days from Monday to Friday.
"""

from __future__ import annotations

from tests.decisions.workshops import rows, setting
from tracker.workshop.records import Records


def by_hand(supplier: str = "", note: str = "") -> Records:
    """January: one wiper failed. February: nothing. March: two wipers failed, one head struck."""
    stops = rows(
        "printer began_at ended_at cause part_kind scrap_cost",
        ("Ada", "2026-01-20T10:00", "2026-01-20T11:00", "part failed", "wiper", 5.0),
        # Tuesday 10:00 to Wednesday 12:00: 8 hours at most on Tuesday, 8 on Wednesday (12 h stood).
        ("Ada", "2026-03-10T10:00", "2026-03-11T12:00", "part failed", "wiper", 10.0),
        ("Bob", "2026-03-24T13:00", "2026-03-24T15:30", "head strike", "head", 40.0),
    )
    for name in ("began_at", "ended_at"):
        stops[name] = stops[name].astype("datetime64[ns]")
    fittings = rows(
        "printer part_kind position fitted_on removed_on removal_reason failure_mode unit_cost "
        "supplier batch note",
        ("Ada", "wiper", "wiper", "2026-01-01", "2026-01-20", "failed", "cut edge", 9.0,
         "", "", ""),
        ("Ada", "wiper", "wiper", "2026-01-20", "2026-03-10", "failed", "cut edge", 9.0,
         supplier, "W-1", note),
        ("Ada", "wiper", "wiper", "2026-03-10", None, "", "", 9.0, supplier, "W-1", ""),
        ("Ada", "head", "H1", "2026-01-01", None, "", "", 600.0, "", "", ""),
        ("Bob", "wiper", "wiper", "2026-01-01", "2026-03-17", "failed", "hardened edge", 9.0,
         "", "", ""),
        ("Bob", "wiper", "wiper", "2026-03-17", None, "", "", 11.0, "", "", ""),
        ("Bob", "head", "H1", "2026-01-01", "2026-03-24", "accident", "head strike", 600.0,
         "", "", ""),
        ("Bob", "head", "H1", "2026-03-24", None, "", "", 640.0, "", "", ""),
    )  # fmt: skip
    return Records.of(
        {
            "printers": rows(
                "printer started_on channels", ("Ada", "2026-01-01", ""), ("Bob", "2026-01-01", "")
            ),
            "fittings": fittings,
            "stoppages": stops,
            "maintenance": rows(
                "printer task done_on why minutes",
                ("Ada", "nozzle_check", "2026-03-02", "planned", 30.0),
                ("Bob", "nozzle_check", "2026-03-03", "planned", 60.0),
            ),
            "parts": rows(
                "part_kind unit_cost hours_to_change typical_life_days warranty_days",
                ("wiper", 9.0, 0.5, 120.0, 60.0),
                ("head", 600.0, 3.0, 365.0, 90.0),
            ),
            "settings": setting(
                workshop="Test & Co", labour_per_hour=30, margin_per_hour=20, hours_per_day=8,
                log_began_on="2026-01-01",
            ),
        }
    )  # fmt: skip
