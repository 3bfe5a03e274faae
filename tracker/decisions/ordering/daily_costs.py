"""What a day costs that a spare lies on the shelf."""

from __future__ import annotations

from tracker.workshop.records import Records


def holding_share_per_day(records: Records) -> float:
    """What keeping a piece for a day costs, as a share of its price, by the settings."""
    return max(0.0, records.number("holding_rate_per_year")) / 365
