"""The words of the paper log: headings that stand on the printed page and in the sheet alike."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from tracker.say import numbers
from tracker.say.cautions import cautions_in_short
from tracker.workshop import vocabulary as vocab

DAY, WHY, HEAD = "Day", "Why", "Head"
PLANNED = "planned"
# The headings of each table below the calendar.
OTHER_WORK = ("Day", "Task", "Why", "Note", "Done by")
PART_CHANGES = ("Fitted on", "Part", "Position", "Removal reason", "Failure mode", "Lot", "Note")
STOPPAGES = ("Began at", "Ended at", "Cause", "Part", "Note")
COUNTER_TITLE = "Counter at the month's end"
COUNTER = ("Read on", "Counter m²")

EITHER_WHY = "planned / symptom"
PLANNED_HINT = (
    "– write initials (not NO or NA) or X; ○ due; grey closed; what a symptom asked for: below"
)
MISSING_HINT = "none: 0"
OTHER_HINT = "– no column above, or because of a symptom: ring which"
CHANGE_HINT = (
    "– position: H1, W1, wiper …; why the old one went: failed, accident, planned, with other, "
    "unknown"
)
STOP_HINT = "– day and time"


def title(month: date) -> str:
    """The month in words, as the titles of the page say it."""
    return f"{month:%B %Y}"


def log_of(printer: str) -> str:
    return f"Log of {printer}"


def missing_nozzles(position: str) -> str:
    return f"Missing nozzles, {position}"


def cautions(tasks: Iterable[str]) -> str:
    """The cautions of these tasks in one line, and what comes before them."""
    known = [vocab.TASKS[task] for task in tasks if task in vocab.TASKS]
    line = cautions_in_short(key for task in known for key in task.cautions)
    last = "local codes, the maker, qualified people first"
    whole = f"{line} · {last}" if line else last
    return f"{whole[0].upper()}{whole[1:]}."


def other_work(printer: str) -> str:
    return f"Other work at {printer}"


def part_changes(printer: str) -> str:
    return f"Parts put into {printer}"


def stoppages(printer: str) -> str:
    return f"Times {printer} stood still"


def counter(printer: str) -> str:
    return f"Counter of {printer}"


def weekday(day: date) -> str:
    """A day of the page: "Mon 2"."""
    return f"{day:%a} {day.day}"


def printed_for(month: date, as_of: date) -> str:
    return f"due days as known on {numbers.day(as_of)}, for {title(month)}"
