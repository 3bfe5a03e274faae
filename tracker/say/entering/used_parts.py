"""A part that was in before: what its serial number tells where it goes in again."""

from __future__ import annotations

from typing import Any

from tracker.language import _
from tracker.say import numbers, part_types


def goes_on(fitting: Any) -> str:
    """``fitting``: the row in which it was in last."""
    if fitting["removal_reason"] in ("failed", "accident"):
        text = _(
            "It came out of {place} on {day}, broken: it counts as mended, from age 0.",
            place=part_types.placed_within(fitting),
            day=numbers.day(fitting["removed_on"].date()),
        )
    else:
        text = _(
            "It came out of {place} on {day} and goes on at the age it had. It is not taken off "
            "the shelf of spares.",
            place=part_types.placed_within(fitting),
            day=numbers.day(fitting["removed_on"].date()),
        )
    return text
