"""How often fell a task due on each printer, and was each occasion kept? All printers at once."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import numpy as np

from tracker.arrays import Bools, Ints
from tracker.decisions.due_days.task_clock import TaskClock, Turn
from tracker.workshop.columns.day_numbers import NO_DAY, day_number, day_of
from tracker.workshop.columns.days_done import DaysDone


def occasions(
    clock: TaskClock, task: str, printers: Sequence[tuple[str, date]], start: date, end: date
) -> tuple[Ints, Ints, Ints]:
    """Occasions of the task with a day in the time, and how many of them were late and missed: of
    each printer, which stands there with its first day.
    """
    done = DaysDone.since(clock.known, start)
    first, until = day_number(start), day_number(end)
    pairs = done.pairs([name for name, _began in printers], task)
    due_count, late, missed = np.zeros((3, len(printers)), dtype=np.int64)
    if not len(printers):
        return due_count, late, missed
    turns = _Turns(clock, task, printers)
    day = done.before.of([name for name, _began in printers], [task])[:, 0]
    is_done = day != NO_DAY
    day = np.where(is_done, day, turns.began)
    # From occasion to occasion, of all printers that have a further one.
    on = np.arange(len(printers))
    while len(on):
        goes_on, base, due, limit, roll = turns.after(on, day[on], is_done[on])
        action = done.next_after(pairs[on], base)
        kept = (action != NO_DAY) & (action < roll)
        is_due = due != NO_DAY
        ends = np.where(is_due, ~kept & ((due > until) | (limit > until)), goes_on > until)
        ends |= ~is_due & (goes_on == NO_DAY)
        counts = is_due & ~ends & (np.where(kept, np.minimum(action, due), due) >= first)
        due_count[on] += counts
        late[on] += counts & kept & (action > limit)
        missed[on] += counts & ~kept
        day[on] = np.where(is_due, np.where(kept, action, due), goes_on)
        is_done[on] = is_due
        on = on[~ends]
    return due_count, late, missed


class _Turns:
    """What follows a day on each of these printers: asked once for all that have the same rules,
    closed days and days.
    """

    def __init__(self, clock: TaskClock, task: str, printers: Sequence[tuple[str, date]]) -> None:
        self.clock, self.task, self.printers = clock, task, printers
        self.known: dict[tuple[int, ...], Turn] = {}
        self.began = np.array([day_number(began) for _name, began in printers], dtype=np.int64)
        self.like = clock.alike(task, [name for name, _began in printers])

    def after(self, on: Ints, day: Ints, is_done: Bools) -> Ints:
        """The turns that follow these days of these printers: (5, printers)."""
        anchors = np.where(is_done, NO_DAY, self.began[on])
        states = np.stack((self.like[on], day, anchors), axis=1)
        each, example, which = np.unique(states, axis=0, return_index=True, return_inverse=True)
        found = []
        for state, at in zip(map(tuple, each.tolist()), example, strict=True):
            if state not in self.known:
                self.known[state] = self.clock.turn(
                    *self._asked(on[at]), day_of(day[at]), is_done=bool(is_done[at])
                )
            found.append(self.known[state])
        return np.array(found, dtype=np.int64)[which.ravel()].T

    def _asked(self, printer: int) -> tuple[str, str, date]:
        name, began = self.printers[printer]
        return name, self.task, began
