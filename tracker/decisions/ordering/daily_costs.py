"""What a day costs: a printer that stands, and money tied up in a spare."""

from __future__ import annotations

from tracker.workshop.records import Records


def downtime_per_day(records: Records) -> float:
    """The margin lost while a printer stands for a day, in currency units, by the settings."""
    return max(0.0, records.number("margin_per_hour") * records.number("hours_per_day"))


def holding_share_per_day(records: Records) -> float:
    """What keeping a piece for a day costs, as a share of its price, by the settings."""
    return max(0.0, records.number("holding_rate_per_year")) / 365
