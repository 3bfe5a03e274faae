"""One cell that a person typed into a field: read as a column of a sheet is, alone.

A cell alone has no other cells that show its decimal mark: it is that of the numbers on screen.
Where those are written 1.5, "12.345" is read and "12,345" told with both ways to write it; where
they are written 1,5 it is the other way round.
"""

from __future__ import annotations

from datetime import date

from tracker.intake.cells.days import both_ways, read_days
from tracker.intake.cells.numbers import COMMA, POINT, read_numbers
from tracker.intake.cells.typed import CellReading, Problem, is_nothing
from tracker.language import _, decimal_sign
from tracker.workshop.declarations import Column
from tracker.workshop.refusal import written


def number_typed(text: str, column: Column, *, header_unit: str = "") -> float | Problem | None:
    """Which number, in the contract's unit, was typed; None for an empty field.

    ``header_unit`` is the unit that stands beside the field.

    >>> from tracker.language import speaking
    >>> from tracker.workshop.contract import COUNTERS
    >>> area = COUNTERS.column("area_m2")
    >>> number_typed("1250,5", area), number_typed("1000", area, header_unit="ft²")
    (1250.5, 92.90304)
    >>> number_typed("12,345", area)
    Problem(problem='reads both ways', mend='write 12345 or 12.345 as you mean')
    >>> with speaking("es"):
    ...     number_typed("12,345", area), number_typed("2.400", area).mend
    (12.345, 'escriba 2400 o 2,4, según lo que quiera decir')
    """
    typed = text.strip()
    if is_nothing(typed):
        return None
    by_comma = decimal_sign() == ","

    def read(answer: str) -> CellReading:
        return read_numbers(
            [typed],
            column,
            header_unit=header_unit,
            answers={column.name: answer} if answer else None,
            contract_dialect=not by_comma,
        )

    reading = read(COMMA if by_comma and "," in typed else "")
    if reading.problems:
        return reading.problems[0]
    if reading.question is not None:
        marks = (COMMA, POINT) if by_comma else (POINT, COMMA)
        ways = [as_typed(float(read(mark).values[0])) for mark in marks]
        return Problem(
            _("reads both ways"), _("write {ways} as you mean", ways=_(" or ").join(ways))
        )
    return float(reading.values[0])


def read_otherwise(
    text: str, column: Column, number: float, *, header_unit: str = ""
) -> float | None:
    """What a text read as ``number`` says where its mark stands between thousands; None where it
    reads one way.

    >>> from tracker.workshop.contract import COUNTERS
    >>> area = COUNTERS.column("area_m2")
    >>> read_otherwise("1.000", area, 1), read_otherwise("1.5", area, 1.5)
    (1000.0, None)
    """
    ways = {
        float(way.values[0])
        for mark in (COMMA, POINT)
        if not (
            way := read_numbers(
                [text.strip()], column, header_unit=header_unit, answers={column.name: mark}
            )
        ).problems
    }
    return next(iter(ways - {number}), None)


def as_typed(number: float) -> str:
    """The number as a person would type it: by the decimal sign in use, nothing between thousands.

    >>> as_typed(1250.5), as_typed(4000.0)
    ('1250.5', '4000')
    """
    return written(number).replace(".", decimal_sign())


def day_typed(text: str, name: str) -> date | Problem | None:
    """Which day was typed, in any writing that reads one way only; None for an empty field.

    >>> day_typed("31.12.2025", "log_began_on")
    datetime.date(2025, 12, 31)
    >>> day_typed("3/4/2025", "log_began_on").mend
    'write 2025-04-03 or 2025-03-04'
    """
    typed = text.strip()
    if is_nothing(typed):
        return None
    reading = read_days([typed], name)
    if reading.problems:
        return reading.problems[0]
    if reading.question is not None:
        return Problem(_("reads both ways"), _("write {both}", both=both_ways(typed)))
    return date.fromisoformat(str(reading.values[0])[:10])
