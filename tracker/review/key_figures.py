"""Key figures of the month by their standard names.

Names after IEC 60050-192 (mean operating time between failures, mean down time, availability) and
EN 15341 (maintenance indicators).
"""

from __future__ import annotations

from dataclasses import dataclass

from tracker.review.happened import Happened


@dataclass(frozen=True)
class KeyFigures:
    """The month's key figures, None where it gives none.

    Hours in working hours of all printers: ``operating_hours`` less those stood still;
    ``between_failures`` that time per part that failed or met an accident (mean operating time
    between failures); ``down_time`` hours stood still per stoppage begun in the month;
    ``availability`` operating hours as a share of both together; ``corrective_share`` what went on
    failures, accidents and symptoms as a share of all maintenance.
    """

    operating_hours: float
    between_failures: float | None
    down_time: float | None
    availability: float | None
    corrective_share: float | None


def key_figures(happened: Happened) -> KeyFigures:
    """What do failures, downtime and money of the month come to by the standards' definitions?"""
    failures = int(happened.failures["this_month"].sum())
    stops = int(happened.stops["this_month"].sum())
    down = float(happened.hours["this_month"].sum())
    up = max(happened.operating_hours, 0.0)
    cost = happened.upkeep_cost
    return KeyFigures(
        operating_hours=up,
        between_failures=up / failures if failures else None,
        down_time=down / stops if stops else None,
        availability=up / (up + down) if up + down > 0 else None,
        corrective_share=happened.corrective / cost if cost > 0 else None,
    )
