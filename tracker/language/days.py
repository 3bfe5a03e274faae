"""How are months and weekdays called, in the language in use?"""

from __future__ import annotations

from datetime import date

from babel.dates import format_date, format_skeleton

from tracker.language.voice import speaking, voice  # noqa: F401 - speaking: for the example


def month_name(value: date, *, year: bool = True, short: bool = False) -> str:
    """A month by its name.

    >>> month_name(date(2026, 3, 1)), month_name(date(2026, 3, 1), year=False)
    ('March 2026', 'March')
    >>> month_name(date(2026, 3, 1), short=True)
    'Mar 2026'
    >>> with speaking("es"):
    ...     month_name(date(2026, 3, 1))
    'marzo de 2026'
    """
    first = date(value.year, value.month, 1)
    if not year:
        return format_date(first, "LLL" if short else "LLLL", voice().days)
    return format_skeleton("yMMM" if short else "yMMMM", first, locale=voice().days)


def weekday_name(value: date) -> str:
    """A day of the week by its name.

    >>> weekday_name(date(2026, 3, 4))
    'Wednesday'
    >>> with speaking("es"):
    ...     weekday_name(date(2026, 3, 4))
    'miércoles'
    """
    return format_date(date(value.year, value.month, value.day), "EEEE", voice().days)
