"""Key figures of the month by their standard names.

Names after IEC 60050-192 (mean operating time between failures, mean down time, availability) and
EN 15341 (maintenance indicators); how each is worked out from this log is said beside it.
"""

from __future__ import annotations

from dataclasses import dataclass

from tracker.review.happened import Happened
from tracker.say import numbers


@dataclass(frozen=True)
class Kpi:
    """``value`` is None where the month gives none; ``text`` says it with its unit, or why not."""

    name: str
    value: float | None
    unit: str
    text: str
    definition: str
    standard: str


def kpis(happened: Happened) -> tuple[Kpi, ...]:
    """The month's key figures, each with its definition."""
    failures = int(happened.failures["this_month"].sum())
    stops = int(happened.stops["this_month"].sum())
    down = float(happened.hours["this_month"].sum())
    up = max(happened.operating_hours, 0.0)
    between = up / failures if failures else None
    mean_down = down / stops if stops else None
    available = up / (up + down) if up + down > 0 else None
    cost = happened.upkeep_cost
    share = happened.corrective / cost if cost > 0 else None
    hours = f"{numbers.figure(up, 3)} h"
    return (
        Kpi(
            "Mean operating time between failures", between, "h",
            f"{numbers.figure(between, 3)} h" if between is not None
            else f"no failure in {hours} of operation",
            "Working hours of all printers (Monday to Friday and other days with an entry, at the "
            "set hours a day), less the hours stood still, divided by parts that failed or met "
            "an accident.",
            "IEC 60050-192",
        ),
        Kpi(
            "Mean down time", mean_down, "h",
            f"{numbers.figure(mean_down)} h" if mean_down is not None else "no stoppage began",
            "Working hours stood still in the month divided by the stoppages that began in it.",
            "IEC 60050-192",
        ),
        Kpi(
            "Availability", available, "",
            f"{100 * available:.1f} %" if available is not None else "no working hours",
            "Operating hours divided by operating hours plus hours stood still.",
            "IEC 60050-192, EN 15341",
        ),
        Kpi(
            "Corrective maintenance cost share", share, "",
            f"{100 * share:.0f} %" if share is not None else "nothing was spent",
            "Parts and work after failures and accidents (what went out with them included) and "
            "tasks done because of a symptom, divided by all parts, work to change them and tasks. "
            "Standing still and spoiled film are not in it.",
            "EN 15341",
        ),
    )  # fmt: skip
