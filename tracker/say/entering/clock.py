"""What is said of a clock that may be wrong."""

from __future__ import annotations

from tracker.language import _
from tracker.say import numbers
from tracker.workshop.clocks.doubt import ClockDoubt


def doubt_in_words(doubt: ClockDoubt) -> str:
    """What the clock says beside what is written down, and what would be wrong."""
    today, newest = numbers.day(doubt.today), numbers.day(doubt.newest)
    if doubt.kind == "before":
        return _(
            "This computer's clock says {today}, but the newest entry is of {newest}, "
            "{days} later. Every answer would be given for the wrong day.",
            today=today,
            newest=newest,
            days=numbers.count(doubt.days, "day", "days"),
        )
    return _(
        "This computer's clock says {today}, and nothing was written down since {newest}, "
        "{days} ago. If the clock is wrong, every part would count as older than it is.",
        today=today,
        newest=newest,
        days=numbers.count(doubt.days, "day", "days"),
    )
