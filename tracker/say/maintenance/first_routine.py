"""The first routine in words: the question about a task, and what is due when."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from tracker.language import _, ngettext
from tracker.say import numbers
from tracker.say.maintenance.frequency import every
from tracker.workshop.first_run.routine import FirstTask
from tracker.workshop.vocabulary import task_label


def last_done(first: FirstTask) -> str:
    """The task whose last day is asked for, with its interval.

    >>> last_done(FirstTask("stir_ink", 1)), last_done(FirstTask("shake_dampers", 15))
    ('Stir or shake the white ink (every day)', 'Shake dampers, draw off air (every 15 days)')
    """
    return f"{task_label(first.task)} ({every(first.every_days)})"


def first_days(due: Mapping[str, date], today: date) -> str:
    """What is due on the first day, and until when the others follow.

    >>> first_days({"stir_ink": date(2026, 3, 2), "empty_waste": date(2026, 3, 6)},
    ...            date(2026, 3, 2))
    'Due today on each printer: stir or shake the white ink. 1 more task follows by 6 Mar 2026.'
    """
    now = [_inside(task) for task, day in due.items() if day <= today]
    later = [day for day in due.values() if day > today]
    first = (
        _("Due today on each printer: {now}.", now=", ".join(now))
        if now
        else _("Nothing is due today.")
    )
    if not later:
        return first
    follows = ngettext(
        "{count} more task follows by {day}.",
        "{count} more tasks follow by {day}.",
        len(later),
        count=numbers.decimal(len(later)),
        day=numbers.day(max(later)),
    )
    return f"{first} {follows}"


def _inside(task: str) -> str:
    label = task_label(task)
    return label[:1].lower() + label[1:]
