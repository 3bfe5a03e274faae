"""What a printer does, in a few words: its list, its headline."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from tracker.language import _
from tracker.lives.printer_state import CLOSED, LEFT, STANDS, PrinterState
from tracker.say import numbers, part_types
from tracker.workshop import vocabulary as words


def state(one: PrinterState) -> str:
    """What the printer does now, in a few words."""
    if one.state == STANDS:
        assert one.since is not None
        kind = words.part_label(one.part_kind).lower() if one.part_kind else ""
        why = " – ".join(filter(None, (_(one.cause), kind)))
        told = _(
            "stands still since {day}, {time}",
            day=numbers.day(one.since.date()),
            time=f"{one.since:%H:%M}",
        )
        return f"{told}: {why}" if why else told
    if one.state == CLOSED:
        return _("closed, the last closed day is {until}", until=numbers.day(one.until))
    if one.state == LEFT:
        assert one.since is not None
        return _("left the workshop on {since}", since=numbers.day(one.since.date()))
    return _("prints")


def list_answer(states: Mapping[str, PrinterState]) -> str:
    """How many printers there are and what they do."""
    here = [one for one in states.values() if one.state != LEFT]
    stand, closed = (sum(one.state == name for one in here) for name in (STANDS, CLOSED))
    counted = [numbers.count(len(here), "printer", "printers")]
    counted += [_("{stand} standing still", stand=stand)] if stand else []
    counted += [_("{closed} closed", closed=closed)] if closed else []
    return _("{counted}; pick one to see what is in it.", counted=", ".join(counted))


def worst(row: Any, within_days: int) -> str:
    """The part likeliest to fail; ``row`` of ``outlook``."""
    chance = numbers.chance(row.chance_of_failure)
    return _(
        "{part}: {chance} chance of failing within {within_days} days",
        part=part_types.named(row),
        chance=chance,
        within_days=within_days,
    )


def headline(one: PrinterState, tasks: int, as_of: date) -> str:
    """The printer's page in one sentence; ``tasks`` due today."""
    if one.state == LEFT:
        return f"{one.printer} {state(one)}."
    due = (
        _("{tasks} due", tasks=numbers.count(tasks, "task", "tasks")) if tasks else _("no task due")
    )
    does = _("is {state}", state=state(one)) if one.state == CLOSED else state(one)
    return f"{numbers.day(as_of)}: {one.printer} {does}; {due}."
