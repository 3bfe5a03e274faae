"""In words: since when lives are longer or shorter, and what else changed then."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from tracker.forecast.drift import Drift, Event, LogChange
from tracker.lives.lots_in_use import LOTS
from tracker.say import numbers
from tracker.workshop import vocabulary as words

_MOST = 2  # of one sort told by name
# In the order told: what people decide first, what comes and goes by itself last.
_EVENTS: tuple[Event, ...] = (
    "routine_begun", "routine_ended", "printer_joined", "printer_left", "supplier",
    "ink_lot", "closed", "film_lot", "powder_lot",
)  # fmt: skip
_SORTS: dict[Event, str] = {
    "routine_begun": "routine",
    "routine_ended": "routine",
    "printer_joined": "printer",
    "printer_left": "printer",
    "supplier": "new supplier",
    "ink_lot": "ink lot",
    "closed": "closure",
    "film_lot": "film lot",
    "powder_lot": "powder lot",
}


def drift_sentence(found: Drift) -> str:
    """The change with its limits, and what else changed at that time."""
    then = changes_words(found.at_that_time)
    return f"{_since(found)}; at that time: {then}. {_NO_CAUSE}" if then else f"{_since(found)}."


def drift_line(found: Drift) -> str:
    """The change alone, in one line."""
    return f"{_since(found)}."


_NO_CAUSE = "What changed then need not be the cause."


def since_words(found: Drift) -> str:
    """Since when parts last longer or shorter, without the limits."""
    month = found.changed_since + timedelta(days=15)  # the month whose first day is nearest
    return f"Since about {month:%B %Y} parts last {factor_words(found.factor)}"


def _since(found: Drift) -> str:
    low, high = numbers.figure(found.lower), numbers.figure(found.upper)
    return f"{since_words(found)} (95 %: {low} to {high} times)"


def factor_words(factor: float) -> str:
    """How long lives are against what they were.

    >>> factor_words(0.52), factor_words(0.7), factor_words(1.9), factor_words(1.4)
    ('half as long as before', '0.7 times as long as before', 'twice as long as before', \
'1.4 times as long as before')
    """
    for plain, told in ((1 / 3, "a third"), (0.5, "half"), (2.0, "twice"), (3.0, "three times")):
        if abs(factor / plain - 1) < 0.08:
            return f"{told} as long as before"
    return f"{numbers.figure(factor)} times as long as before"


def changes_words(changes: Sequence[LogChange]) -> str:
    """What changed, sort by sort, at most two of each by name; "" where nothing did."""
    told = []
    for event in _EVENTS:
        own = [change for change in changes if change.what == event]
        more = len(own) - _MOST
        if event in LOTS and len(own) > 1:
            named = [f"{lot.name} ({numbers.day(lot.on)})" for lot in own[:_MOST]]
            named += [f"{more} more"] if more > 0 else []
            listed = f"{', '.join(named[:-1])} and {named[-1]}"
            told.append(f"{_SORTS[event]}s {listed} were opened")
            continue
        told += [_worded(change) for change in own[:_MOST]]
        if more > 0:
            told.append(numbers.count(more, f"further {_SORTS[event]}"))
    return "; ".join(told)


def _worded(change: LogChange) -> str:
    on = numbers.day(change.on)
    if change.what in LOTS:
        return f"{_SORTS[change.what]} {change.name} was opened ({on})"
    if change.what == "closed":
        where = f" of {change.of}" if change.of else ""
        note = f", {change.name}" if change.name else ""
        return f"a closure{where} began ({on}{note})"
    if change.what in ("routine_begun", "routine_ended"):
        where = f" on {change.of}" if change.of else ""
        verb = "began" if change.what == "routine_begun" else "ended"
        return f"a routine for “{words.task_label(change.name)}”{where} {verb} ({on})"
    if change.what == "supplier":
        kind = words.part_label(change.of).lower()
        return f"the first {kind} from {change.name} was fitted ({on})"
    return f"{change.name} {'joined' if change.what == 'printer_joined' else 'left'} ({on})"
