"""The words of the paper log: headings that stand on the printed page and in the sheet alike."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from babel.dates import format_date

from tracker.language import N_, _, month_name, voice
from tracker.say import numbers
from tracker.say.cautions import cautions_in_short
from tracker.workshop import vocabulary as vocab

DAY, WHY, HEAD = N_("Day"), N_("Why"), N_("Head")
PLANNED = N_("planned")
# The headings of each table below the calendar.
OTHER_WORK = (N_("Day"), N_("Task"), N_("Why"), N_("Note"), N_("Done by"))
PART_CHANGES = (
    N_("Fitted on"),
    N_("Part"),
    N_("Position"),
    N_("Removal reason"),
    N_("Failure mode"),
    N_("Lot"),
    N_("Note"),
)
STOPPAGES = (N_("Began at"), N_("Ended at"), N_("Cause"), N_("Part"), N_("Note"))
COUNTER_TITLE = N_("Counter at the month's end")
COUNTER = (N_("Read on"), N_("Counter m²"))

EITHER_WHY = N_("planned / symptom")
PLANNED_HINT = N_(
    "– write initials (not NO or NA) or X; ○ due; grey closed; what a symptom asked for: below"
)
MISSING_HINT = N_("none: 0")
OTHER_HINT = N_("– no column above, or because of a symptom: ring which")
CHANGE_HINT = N_(
    "– position: H1, W1, wiper …; why the old one went: failed, accident, planned, with other, "
    "unknown"
)
STOP_HINT = N_("– day and time")


def title(month: date) -> str:
    """The month in words, as the titles of the page say it."""
    return month_name(month)


def log_of(printer: str) -> str:
    return _("Log of {printer}", printer=printer)


def missing_nozzles(position: str) -> str:
    return _("Missing nozzles, {position}", position=position)


def cautions(tasks: Iterable[str]) -> str:
    """The cautions of these tasks in one line, and what comes before them."""
    known = [vocab.TASKS[task] for task in tasks if task in vocab.TASKS]
    line = cautions_in_short(key for task in known for key in task.cautions)
    last = _("local codes, the maker, qualified people first")
    whole = f"{line} · {last}" if line else last
    return f"{whole[0].upper()}{whole[1:]}."


def other_work(printer: str) -> str:
    return _("Other work at {printer}", printer=printer)


def part_changes(printer: str) -> str:
    return _("Parts put into {printer}", printer=printer)


def stoppages(printer: str) -> str:
    return _("Times {printer} stood still", printer=printer)


def counter(printer: str) -> str:
    return _("Counter of {printer}", printer=printer)


def weekday(day: date) -> str:
    """A day of the page: "Mon 2"."""
    return f"{format_date(day, 'EEE', voice().days)} {day.day}"


def printed_for(month: date, as_of: date) -> str:
    return _(
        "due days as known on {as_of}, for {month}", as_of=numbers.day(as_of), month=title(month)
    )
