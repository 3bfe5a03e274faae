"""How often a task is done, in words."""

from __future__ import annotations

import math
from collections.abc import Sequence

from tracker.say.numbers import figure
from tracker.say.phrases import listed

_NO_DIFFERENCE = 0.01  # one failure in a hundred years of a printer


def every(days: float) -> str:
    """An interval of days.

    >>> every(1), every(7), every(2.5)
    ('every day', 'every 7 days', 'every 2.5 days')
    """
    return "every day" if days == 1 else f"every {days:g} days"


def every_of(days: Sequence[float], most: int = 6) -> str:
    """Several intervals of days, those of many by their ends.

    >>> every_of([7]), every_of([7, 10, 30]), every_of([1, 2, 3, 4, 5, 6, 7])
    ('every 7 days', 'every 7, 10 and 30 days', 'every 1 to 7 days')
    """
    if len(days) == 1:
        return every(days[0])
    each = [f"{one:g}" for one in days]
    return f"every {listed(each) if len(each) <= most else f'{each[0]} to {each[-1]}'} days"


def due_every(days: float, area_m2: float, *, area_since_m2: float = math.nan) -> str:
    """When a routine wants a task done: by days, by printed area or by both; "" by neither.

    ``area_since_m2``: what was printed since it was last done, told where known.

    >>> due_every(7, math.nan), due_every(1, 100), due_every(math.nan, 100, area_since_m2=42)
    ('every 7 days', 'every day or every 100 m²', 'every 100 m² (42 since)')
    """
    measures = []
    if math.isfinite(days):
        measures.append(every(days))
    if math.isfinite(area_m2):
        since = f" ({area_since_m2:.0f} since)" if area_since_m2 >= 0 else ""
        measures.append(f"every {area_m2:g} m²{since}")
    return " or ".join(measures)


def fewer(half: float, low: float, high: float, what: str) -> str:
    """How many fewer per printer and year: median, 10 % and 90 % points.

    >>> fewer(1.31, 0.77, 1.88, "damper failures")
    '1.3 fewer damper failures per printer and year (80 % range 0.77 to 1.9)'
    >>> fewer(-0.2, -0.5, 0.1, "drop-outs")
    '0.2 more drop-outs per printer and year (80 % range 0.5 more to 0.1 fewer)'
    >>> fewer(0.0057, -0.84, 0.69, "failures")
    'about as many failures per printer and year (80 % range 0.84 more to 0.69 fewer)'
    """
    if low < 0 < high:
        between = f"{figure(-low)} more to {figure(high)} fewer"
    else:
        between = " to ".join(figure(abs(end)) for end in sorted((low, high), key=abs))
    many = f"{figure(abs(half))} {'fewer' if half >= 0 else 'more'}"
    if abs(half) < _NO_DIFFERENCE:
        many = "about as many"
    return f"{many} {what} per printer and year (80 % range {between})"
