"""How often a task is done, in words."""

from __future__ import annotations

import math
from collections.abc import Sequence

from tracker.language import N_, _
from tracker.say.numbers import figure
from tracker.say.phrases import listed

_NO_DIFFERENCE = 0.01  # one failure in a hundred years of a printer


def every(days: float) -> str:
    """An interval of days.

    >>> every(1), every(7), every(2.5)
    ('every day', 'every 7 days', 'every 2.5 days')
    """
    return _("every day") if days == 1 else _("every {days} days", days=_written(days))


def _written(days: float) -> str:
    return figure(days, 6)


def every_of(days: Sequence[float], most: int = 6) -> str:
    """Several intervals of days, those of many by their ends.

    >>> every_of([7]), every_of([7, 10, 30]), every_of([1, 2, 3, 4, 5, 6, 7])
    ('every 7 days', 'every 7, 10 and 30 days', 'every 1 to 7 days')
    """
    if len(days) == 1:
        return every(days[0])
    each = [_written(one) for one in days]
    if len(each) <= most:
        return _("every {days} days", days=listed(each))
    return _("every {first} to {last} days", first=each[0], last=each[-1])


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
        since = (
            _(" ({area_since_m2} since)", area_since_m2=f"{area_since_m2:.0f}")
            if area_since_m2 >= 0
            else ""
        )
        measures.append(_("every {area_m2} m²{since}", area_m2=f"{area_m2:g}", since=since))
    if len(measures) == 2:
        return _("{days} or {area}", days=measures[0], area=measures[1])
    return "".join(measures)


def fewer(mean: float, low: float, high: float, what: str) -> str:
    """How many fewer per printer and year: mean, 10 % and 90 % points.

    >>> fewer(1.31, 0.77, 1.88, "damper failures")
    '1.3 fewer damper failures per printer and year (0.77 to 1.9 in 8 of 10 cases)'
    >>> fewer(-0.2, -0.5, 0.1, "drop-outs")
    '0.2 more drop-outs per printer and year (0.5 more to 0.1 fewer in 8 of 10 cases)'
    >>> fewer(0.0057, -0.84, 0.69, "failures")
    'about as many failures per printer and year (0.84 more to 0.69 fewer in 8 of 10 cases)'
    """
    if low < 0 < high:
        between = _("{low} more to {high} fewer", low=figure(-low), high=figure(high))
    else:
        near, far = sorted((abs(low), abs(high)))
        between = _("{low} to {high}", low=figure(near), high=figure(far))
    if abs(mean) < _NO_DIFFERENCE:
        text = N_("about as many {what} per printer and year ({between} in 8 of 10 cases)")
    elif mean >= 0:
        text = N_("{number} fewer {what} per printer and year ({between} in 8 of 10 cases)")
    else:
        text = N_("{number} more {what} per printer and year ({between} in 8 of 10 cases)")
    return _(text, number=figure(abs(mean)), what=what, between=between)
