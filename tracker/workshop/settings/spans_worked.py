"""Stretches on which people worked all the same: without an entry, or closed a year before.

Each is one setting.

Written as ISO 8601 intervals with spaces between: ``2026-08-03/2026-08-14 2026-12-24/2027-01-02``.
"""

from __future__ import annotations

from datetime import date

WORKED_THROUGH = "worked_through"
OPEN_AGAIN = "open_again"


def spans_worked(text: str) -> list[tuple[date, date]]:
    """First and last day of every stretch; ValueError with the piece that cannot be read.

    >>> spans_worked("2026-08-03/2026-08-14")
    [(datetime.date(2026, 8, 3), datetime.date(2026, 8, 14))]
    """
    found = []
    for piece in text.split():
        first, _, last = piece.partition("/")
        try:
            span = date.fromisoformat(first), date.fromisoformat(last)
        except ValueError:
            raise ValueError(piece) from None
        if span[1] < span[0]:
            raise ValueError(piece)
        found.append(span)
    return found


def with_span(text: str, first: date, last: date) -> str:
    """The setting's text with one more stretch.

    >>> with_span("", date(2026, 8, 3), date(2026, 8, 14))
    '2026-08-03/2026-08-14'
    """
    return " ".join(dict.fromkeys([*text.split(), f"{first}/{last}"]))
