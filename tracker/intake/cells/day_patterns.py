"""One cell as a day: the patterns people type, taken one cell at a time."""

from __future__ import annotations

import re
from calendar import monthrange
from datetime import date, datetime, timedelta

import numpy as np

from tracker.intake.cells.months import month_named, without_weekday
from tracker.intake.cells.typed import Cell, Problem, sheet_error
from tracker.language import N_, _, month_name

_TIME = (
    r"(?:[T ,]\s*(?P<h>\d{1,2}):(?P<min>\d{2})(?::(?P<s>\d{2})(?:[.,](?P<f>\d{1,9}))?)?"
    r"\s*(?P<half>[AaPp]\.?[Mm]\.?)?(?:\s*Uhr)?(?P<zone>\s*(?:Z|[+-]\d{2}:?\d{2}))?)?"
)
_ISO = re.compile(r"(?P<y>\d{4})([-/.])(?P<m>\d{1,2})\2(?P<d>\d{1,2})" + _TIME)
_COMPACT = re.compile(r"(?P<y>(?:19|20)\d{2})(?P<m>\d{2})(?P<d>\d{2})" + _TIME)
_NUMERIC = re.compile(
    r"(?P<a>\d{1,2})\s*([-/.])\s*(?P<b>\d{1,2})\s*\2\s*(?P<y>\d{4}|\d{2})" + _TIME
)
_DAY_NAME = re.compile(
    r"(?P<d>\d{1,2})(?:\.|st|nd|rd|th|er|º|°)?[-/ ]*(?:de )?(?P<name>[^\W\d_]{3,10})\.?"
    r"[-/, ]*(?:de )?(?P<y>\d{4}|\d{2})" + _TIME
)
_NAME_DAY = re.compile(
    r"(?P<name>[^\W\d_]{3,10})\.?[- ]*(?P<d>\d{1,2})(?:\.|st|nd|rd|th)?[-, ]+(?P<y>\d{4}|\d{2})"
    + _TIME
)
_SERIAL = re.compile(r"\d{5}(?:[.,]\d+)?")
_SERIAL_FIRST, _SERIAL_LAST = 32874, 73050  # 1990-01-01 and 2099-12-31 in the 1900 system
_1900, _1904 = date(1899, 12, 30), date(1904, 1, 1)
YEARS = range(1700, 2262)  # what datetime64[ns] holds

HOW = N_("write it as 2026-03-01")


def not_a_day() -> Problem:
    """A text that says no day."""
    return Problem(_("is not a day"), _(HOW))


def no_such_day() -> Problem:
    """A day in numbers that no calendar has."""
    return Problem(_("is not a day of the calendar"), _("correct it, write it as 2026-03-01"))


def no_day(year: int, month: int) -> Problem:
    """Why a day does not exist: the month is too short for it, or there is no such month.

    >>> no_day(2026, 2).mend
    'February 2026 has 28 days'
    """
    if year not in YEARS or not 1 <= month <= 12:
        return no_such_day()
    name = month_name(date(year, month, 1))
    return Problem(
        no_such_day().problem,
        _("{month} has {days} days", month=name, days=monthrange(year, month)[1]),
    )


def numbers_of(cell: Cell) -> re.Match[str] | None:
    """A day written in numbers, such as 3/4/2025: groups ``a``, ``b``, ``y`` and the time."""
    return _NUMERIC.fullmatch(without_weekday(cell)) if isinstance(cell, str) else None


def is_serial(cell: Cell) -> bool:
    """True for a number where a day is meant: a spreadsheet's count of days."""
    return not isinstance(cell, (str, datetime)) or bool(
        isinstance(cell, str) and _SERIAL.fullmatch(cell)
    )


def one_day(cell: Cell, moments: bool, from_1904: bool) -> np.datetime64 | Problem:
    """A cell that reads one way only."""
    if isinstance(cell, datetime):
        return real_day(cell, moments)
    if not isinstance(cell, str):
        return _serial(float(cell), moments, from_1904)
    wrong = sheet_error(cell)
    if wrong:
        return wrong
    text = without_weekday(cell)
    for pattern in (_ISO, _COMPACT):
        if match := pattern.fullmatch(text):
            return day_from_parts(int(match["y"]), int(match["m"]), int(match["d"]), match, moments)
    for pattern in (_DAY_NAME, _NAME_DAY):
        if (match := pattern.fullmatch(text)) and (month := month_named(match["name"])):
            return day_from_parts(full_year(match["y"]), month, int(match["d"]), match, moments)
    if _SERIAL.fullmatch(text):
        return _serial(float(text.replace(",", ".")), moments, from_1904)
    return not_a_day()


def _serial(number: float, moments: bool, from_1904: bool) -> np.datetime64 | Problem:
    """A spreadsheet's serial number: days since the end of 1899, or since 1904."""
    in_1900 = number + ((_1904 - _1900).days if from_1904 else 0)
    if not _SERIAL_FIRST <= in_1900 < _SERIAL_LAST + 1:
        return not_a_day()
    moment = datetime.combine(_1900, datetime.min.time()) + timedelta(
        seconds=round(in_1900 * 86400)
    )
    return real_day(moment, moments)


def day_from_parts(
    year: int, month: int, day: int, match: re.Match[str], moments: bool
) -> np.datetime64 | Problem:
    if not is_calendar_day(year, month, day):
        return no_day(year, month)
    if match["zone"] and moments:
        return Problem(_("has a time zone"), _("write the workshop's local time without it"))
    base = np.datetime64(f"{year:04d}-{month:02d}-{day:02d}", "ns")
    if match["h"] is None:
        return base
    hour, minute, second = int(match["h"]), int(match["min"]), int(match["s"] or 0)
    if match["half"]:
        if not 1 <= hour <= 12:
            return Problem(
                _("has a time of day that does not exist"), _("write it as 2026-03-01 14:30")
            )
        hour = hour % 12 + (12 if match["half"][0] in "pP" else 0)
    if hour > 23 or minute > 59 or second > 59:
        return Problem(
            _("has a time of day that does not exist"), _("write it as 2026-03-01 14:30")
        )
    if not moments:
        return base
    nanoseconds = int((match["f"] or "0").ljust(9, "0"))
    seconds = 3600 * hour + 60 * minute + second
    return base + np.timedelta64(seconds * 10**9 + nanoseconds, "ns")


def real_day(value: datetime, moments: bool) -> np.datetime64:
    """A real date cell; times are rounded to the second, for a workbook keeps them as fractions."""
    if not moments:
        return np.datetime64(value.date().isoformat(), "ns")
    rounded = value + timedelta(microseconds=500_000)
    return np.datetime64(rounded.replace(microsecond=0, tzinfo=None).isoformat(), "ns")


def full_year(text: str) -> int:
    return int(text) + 2000 if len(text) == 2 else int(text)


def is_calendar_day(year: int, month: int, day: int) -> bool:
    if year not in YEARS:
        return False
    try:
        date(year, month, day)
    except ValueError:
        return False
    return True
