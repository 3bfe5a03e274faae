"""Due tasks and order dates as a file that calendar programs read (iCalendar, RFC 5545)."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from uuid import NAMESPACE_URL, uuid5

from icalendar import Calendar, Event

from tracker.errors import legible
from tracker.language import N_, _
from tracker.paper.addresses import page_address
from tracker.say.reminders.events import Kind, Reminder
from tracker.workshop.limits import LONGEST_TEXT

_FAMILY = uuid5(NAMESPACE_URL, "printhead-and-consumables-tracker")
_CATEGORIES: dict[Kind, str] = {"task": N_("Maintenance"), "order": N_("Order")}
_ASK_AGAIN = timedelta(hours=6)
_LONGEST_SEQUENCE = 2**31 - 1  # many programs keep it in 32 bits


def calendar_file(
    found: Sequence[Reminder], name: str, written_at: datetime, *, app_address: str = ""
) -> bytes:
    """The reminders as whole days of a calendar called ``name``.

    A thing to do keeps its UID while its day moves, and a file written later has the higher
    SEQUENCE: importing it again moves what is there instead of adding it once more (RFC 5546,
    section 2.1.4). ``written_at``: this moment with its time zone. ``app_address``: the app's own
    address ("" where nobody set it), for a link to where the thing is logged.
    """
    calendar = Calendar()
    calendar.add("prodid", "-//Printhead and consumables tracker//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("name", _one_line(name))
    calendar.add("x-wr-calname", _one_line(name))  # what programs from before RFC 7986 show
    calendar.add("refresh-interval", _ASK_AGAIN, parameters={"VALUE": "DURATION"})
    calendar.add("x-published-ttl", "PT6H")
    sequence = int(written_at.timestamp() // 60) % _LONGEST_SEQUENCE
    for one in found:
        event = Event()
        event.add("uid", uid(one))
        event.add("dtstamp", written_at)
        event.add("sequence", sequence)
        event.add("dtstart", one.on)
        event.add("dtend", one.on + timedelta(days=1))
        event.add("summary", _one_line(one.title))
        event.add("description", "\n".join(map(_one_line, one.description.splitlines())))
        event.add("categories", [_(_CATEGORIES[one.kind])])
        event.add("transp", "TRANSPARENT")  # a reminder does not make the day a busy one
        if app_address:
            event.add("url", _link(one, _one_line(app_address)))
        calendar.add_component(event)
    return calendar.to_ical()


def _one_line(text: str) -> str:
    """Stored words as a property takes them: no control characters (RFC 5545, section 3.1)."""
    return legible(" ".join(text.splitlines()), LONGEST_TEXT)


def uid(reminder: Reminder) -> str:
    """The same for the same thing to do, whenever and wherever it is written."""
    return str(uuid5(_FAMILY, "\x1f".join(reminder.key)))


def _link(reminder: Reminder, base: str) -> str:
    if reminder.kind == "order":
        return page_address(base, "spares")
    return page_address(base, "log", printer=reminder.printer)
