"""How long something took, written as a clock or in two units: 2:30, 2 h 30 min, 1h30."""

from __future__ import annotations

import re
from collections.abc import Iterable

from tracker.intake.cells.units import factor_to
from tracker.intake.questions import UNITS, Asker, Question
from tracker.language import N_, _
from tracker.workshop.declarations import Column

HOURS_MINUTES, MINUTES_SECONDS = N_("hours and minutes"), N_("minutes and seconds")
_CLOCK = re.compile(r"(?:(\d+) days?, )?(\d{1,4}):([0-5]\d)(?::([0-5]\d))?(?:\s*([^\W\d_]+)\.?)?")
_SHORT_CLOCK = re.compile(r"\d{1,4}:[0-5]\d")
_TWO_UNITS = re.compile(r"(\d{1,4})\s*([^\W\d_]+)\.?\s*(\d{1,2})\s*([^\W\d_]+)?\.?")
_IN_AN_HOUR = 60


def hours_told(text: str, column: Column, clock: str | None = HOURS_MINUTES) -> float | None:
    """Hours that a cell of a column of hours or minutes tells so; None where it tells none so.

    ``clock`` says what a clock of two figures shows. Days stand before one of three figures where a
    cell of a workbook tells more than a day.

    >>> from tracker.workshop.contract import MAINTENANCE
    >>> minutes = MAINTENANCE.column("minutes")
    >>> [hours_told(text, minutes) for text in ("2:30", "1h30", "1 Std 30 Min", "30 min", "1:75")]
    [2.5, 1.5, 1.5, None, None]
    """
    if column.unit not in ("h", "min"):
        return None
    whole_hour = factor_to(column, "h")
    if found := _CLOCK.fullmatch(text):
        days, first, second, third = (int(part or 0) for part in found.groups()[:4])
        if found[5] and factor_to(column, found[5]) != whole_hour:
            return None
        in_minutes = clock == MINUTES_SECONDS and _SHORT_CLOCK.fullmatch(text)
        hours = first + second / _IN_AN_HOUR + third / _IN_AN_HOUR**2
        return hours / _IN_AN_HOUR if in_minutes else 24 * days + hours
    if (found := _TWO_UNITS.fullmatch(text)) is None or int(found[3]) >= _IN_AN_HOUR:
        return None
    units = factor_to(column, found[2]), factor_to(column, found[4] or "min")
    is_length = units == (whole_hour, factor_to(column, "min"))
    return int(found[1]) + int(found[3]) / _IN_AN_HOUR if is_length else None


def clock_question(cells: Iterable[object], column: Column, asker: Asker) -> Question | None:
    """What 2:30 means in a column of minutes; None where nothing is open."""
    short = [cell for cell in cells if isinstance(cell, str) and _SHORT_CLOCK.fullmatch(cell)]
    if column.unit != "min" or not short:
        return None
    return Question(
        column.name,
        _("what does {cell} mean?", cell=short[0]),
        (HOURS_MINUTES, MINUTES_SECONDS),
        topic=UNITS,
        source=asker.source,
        filed=f"{asker.source}:{column.name}:clock",
    )
