"""What a picture shows, decided once: ``screen`` draws it in the app, ``paper/svg`` for print.

A picture is a value: its marks in the order they are drawn, its two axes with their units, its
title. Colours stand for meanings (see ``colours``); a dash, a hatching or a form always goes along,
so that it reads in black and white. ``says`` is what a mark tells under a pointer, with ``{x}`` and
``{y}`` in Python's number formats (``{x:.0f}``), "" for nothing; on paper nothing hides there.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, TypeAlias

import pandas as pd
from numpy.typing import NDArray

from tracker.say import numbers

_STEPS = (0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.25, 0.5)  # between the marks of chances
_DAYS_OF_MONTHS = 150  # from then on every mark of an axis is a month of its own
# Numbers, days, or labels of an axis.
Values: TypeAlias = Sequence[Any] | pd.Series | pd.Index | NDArray[Any]


@dataclass(frozen=True, eq=False, kw_only=True)
class Axis:
    """An axis: what it counts, in which unit, and how it is marked.

    ``labels`` names its rows from the bottom up instead of numbers. ``limits`` are both ends, else
    they follow the marks, with 0 where ``from_zero``. ``step`` is the distance of two numbers,
    ``whole`` allows whole ones only, ``ticks`` gives the marks with their words. ``form`` is how a
    number is written (".0%", ",.0f", for days ``day_form``). ``most_ticks``: no more than that.
    """

    title: str = ""
    labels: tuple[str, ...] = ()
    limits: tuple[float, float] | None = None
    from_zero: bool = False
    log: bool = False
    whole: bool = False
    step: int | None = None
    ticks: tuple[tuple[float, str], ...] = ()
    form: str = ""
    most_ticks: int | None = None


@dataclass(frozen=True, eq=False, kw_only=True)
class Line:
    """Points joined by a line; ``steps``: it stays until the next point. ``dots`` shows each."""

    name: str
    x: Values
    y: Values
    colour: str
    dash: str = "solid"
    width: float = 2.5
    steps: bool = False
    dots: bool = False
    in_legend: bool = True
    says: str | None = None
    names_itself: bool = False  # under a pointer too


@dataclass(frozen=True, eq=False, kw_only=True)
class Band:
    """The area between two lines: what else may well be true, or a part of a whole."""

    name: str
    x: Values
    low: Values
    high: Values
    colour: str
    opacity: float = 0.2
    hatch: str = ""
    steps: bool = False


@dataclass(frozen=True, eq=False, kw_only=True)
class Spans:
    """A thick pale bar from ``low`` to ``high`` in each row; ``colour`` of all or of each."""

    name: str
    low: Values
    high: Values
    rows: Values
    colour: str | tuple[str, ...]
    says: str | None = None

    @property
    def colours(self) -> tuple[str, ...]:
        """A colour for every bar."""
        return self.colour if isinstance(self.colour, tuple) else (self.colour,) * len(self.rows)


@dataclass(frozen=True, eq=False, kw_only=True)
class Points:
    """Single marks; ``form`` a name of ``colours.MARKERS``, "star", "upright" (a short line that
    stands out on a bar) or "tick" (a thin one, many of which may stand close together)."""

    name: str
    x: Values
    y: Values
    colour: str
    form: str
    size: float = 13
    says: str | None = None


@dataclass(frozen=True, eq=False, kw_only=True)
class Bars:
    """Bars of ``length`` at the places ``at``; ``across``: lying, from the left.

    ``colour`` and ``hatch`` are those of all of them or of each. ``texts`` stand at their ends.
    """

    name: str
    at: Values
    length: Values
    colour: str | tuple[str, ...]
    hatch: str | tuple[str, ...] = ""
    texts: tuple[str, ...] = ()
    across: bool = False
    in_legend: bool = True
    says: str | None = None

    def each(self, value: str | tuple[str, ...]) -> tuple[str, ...]:
        """A colour or hatching for every bar."""
        return value if isinstance(value, tuple) else (value,) * len(self.at)


@dataclass(frozen=True, eq=False, kw_only=True)
class Rule:
    """An upright line from 0 to 0.9 of the axis with its words above it; ``x`` a number or day."""

    x: Any
    top: float
    text: str
    colour: str


@dataclass(frozen=True, eq=False, kw_only=True)
class Note:
    """Words to the right of a point: the first line in bold."""

    x: float
    y: Any
    head: str
    text: str


Mark = Line | Band | Spans | Points | Bars | Rule | Note


@dataclass(frozen=True, eq=False, kw_only=True)
class Picture:
    """A picture: ``marks`` in the order they are drawn; ``height`` in pixels of a screen.

    ``stacked``: bars of one place stand on each other. ``gap`` is the share of a place that its
    bar leaves free. ``legend_room``: pixels kept under the axis for a legend of several lines.
    """

    title: str
    x: Axis
    y: Axis
    marks: tuple[Mark, ...]
    height: int = 360
    stacked: bool = False
    gap: float = 0.2
    legend_room: int = 0


def day_form(first: date, last: date) -> str:
    """How the days between two are marked: by month and year where they are many, so that a phone
    has room for the words; by day and month else.

    >>> day_form(date(2026, 1, 1), date(2026, 12, 31)), day_form(date(2026, 1, 1), date(2026, 3, 1))
    ('%b %y', '%d %b')
    """
    return "%b %y" if (last - first).days > _DAYS_OF_MONTHS else "%d %b"


def whole_steps(top: float) -> int:
    """The distance between the marks of an axis that counts: whole numbers, at most nine.

    >>> whole_steps(3.0), whole_steps(30.0)
    (1, 4)
    """
    return max(1, math.ceil(top / 8))


def chance_marks(most: float) -> tuple[tuple[float, str], ...]:
    """The marks of an axis of chances, up to ``most`` and none beyond 100 %: four at most beside 0.

    >>> chance_marks(0.93)
    ((0.0, '0 %'), (0.25, '25 %'), (0.5, '50 %'), (0.75, '75 %'), (1.0, '100 %'))
    >>> chance_marks(0.018)
    ((0.0, '0.0 %'), (0.005, '0.5 %'), (0.01, '1.0 %'), (0.015, '1.5 %'), (0.02, '2.0 %'))
    """
    step = next((step for step in _STEPS if most <= 4 * step), _STEPS[-1])
    count = min(math.ceil(most / step - 1e-9), round(1 / step))
    places = 0 if step >= 0.01 else 1
    values = [round(number * step, 3) for number in range(count + 1)]
    return tuple((value, numbers.percent(value, places)) for value in values)
