"""What a printer does, in a word and on its tile."""

from __future__ import annotations

from tracker.language import N_, _
from tracker.say import numbers

_STATE_WORDS = {"prints": N_("prints"), "stands": N_("stands still"), "closed": N_("closed")}
_STATE_SHAPES = {"prints": "●", "stands": "■", "closed": "○"}


def state_word(state: str) -> str:
    """What a printer does."""
    return _(_STATE_WORDS[state])


def printer_tile(printer: str, state: str, tasks: int) -> str:
    """A printer's tile: its name, how it stands in shape and word, how much is due.

    >>> printer_tile("Left", "stands", 2).splitlines()
    ['**Left**  ', '■ stands still  ', '2 tasks due']
    """
    due = _("{tasks} due", tasks=numbers.count(tasks, "task", "tasks"))
    return f"**{printer}**  \n{_STATE_SHAPES[state]} {state_word(state)}  \n{due}"
