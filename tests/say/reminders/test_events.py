"""What a calendar reminds of, and the file that carries it, read back by its parser."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import icalendar
import pytest

from tests.decisions.workshops import rows, setting, workshop
from tracker.decisions.preorder import preorder
from tracker.paper.calendar_file import calendar_file, uid
from tracker.say.cautions import last_word
from tracker.say.reminders.events import Reminder, reminders
from tracker.workshop import vocabulary
from tracker.workshop.records import Records

TODAY = date(2025, 6, 11)  # a Wednesday
WRITTEN = datetime(2025, 6, 11, 7, 30, tzinfo=UTC)


def shaken(*days: str, name: str = "A") -> Records:
    """One printer whose dampers were shaken on these days, every ten days by the routine."""
    return workshop(
        1,
        routines=rows(
            "task every_days printer starts_on ends_on", ("shake_dampers", 10, "", None, None)
        ),
        maintenance=rows(
            "printer task done_on why", *(("A", "shake_dampers", day, "planned") for day in days)
        ),
        settings=setting(workshop="Weir & Sons", app_address="http://printroom:8501"),
    )


def tasks(records: Records, as_of: date = TODAY) -> list[Reminder]:
    return [one for one in reminders(records, as_of, 30) if one.kind == "task"]


def read(found: list[Reminder], written: datetime = WRITTEN) -> list[icalendar.Event]:
    data = calendar_file(found, "Weir", written, app_address="http://printroom:8501")
    return list(icalendar.Calendar.from_ical(data).events)


def test_an_event_is_a_whole_day_with_printer_task_cautions_and_a_link() -> None:
    (first, *_) = read(tasks(shaken("2025-06-09")))
    assert first["summary"] == "A: Shake dampers, draw off air"
    assert (first.start, first.end) == (date(2025, 6, 19), date(2025, 6, 20))
    said = str(first["description"])
    assert "About 25 minutes." in said  # common practice, no source
    assert "Last done 9 Jun 2025." in said
    for key in vocabulary.TASKS["shake_dampers"].cautions:
        assert vocabulary.CAUTIONS[key] in said
    assert said.endswith(last_word())
    assert first["url"] == "http://printroom:8501/log?printer=A"
    assert first["transp"] == "TRANSPARENT"


def test_a_done_task_moves_its_events_and_doubles_none() -> None:
    before = read(tasks(shaken("2025-06-09")))
    later = WRITTEN + timedelta(days=4)
    after = read(tasks(shaken("2025-06-09", "2025-06-15"), date(2025, 6, 15)), later)
    # Imported one after the other, as a calendar program does: the same UID is the same event.
    shelf = {str(event["uid"]): event for event in before}
    assert {str(event["uid"]) for event in after} == set(shelf)
    for event in after:
        old = shelf[str(event["uid"])]
        assert event.start - old.start == timedelta(days=6)
        assert event["sequence"] > old["sequence"]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r", "\x1b[31m", "\u2028", "\x00"])
def test_stored_words_begin_no_line_of_the_file(end: str) -> None:
    hostile = f"Weir{end}END:VCALENDAR{end}"
    (reminder, *_) = tasks(shaken("2025-06-09"))
    told = replace(reminder, printer=hostile, title=hostile, sentences=(hostile,))
    data = calendar_file(
        [told], hostile, WRITTEN, app_address=f"http://printroom:8501{end}"
    ).decode()
    lines = data.splitlines()
    assert [line for line in lines if line.startswith(("END:VCALENDAR", "END:VEVENT"))] == [
        "END:VEVENT", "END:VCALENDAR"
    ]  # fmt: skip
    assert all(line.isprintable() for line in lines)
    (event,) = icalendar.Calendar.from_ical(data).events
    assert str(event["summary"]).startswith("Weir")


def test_no_two_reminders_share_a_uid() -> None:
    found = reminders(shaken("2025-06-09"), TODAY, 60)
    assert len({uid(one) for one in found}) == len(found) > 5


def test_an_overdue_task_says_how_late_it_is() -> None:
    (first, *_) = tasks(shaken("2025-05-20"))
    assert first.title == "A: Shake dampers, draw off air (12 days late)"
    assert first.on == TODAY
    assert first.is_due


STOCKED = rows(
    "part_kind moved_on quantity reason",
    ("head", "2025-01-02", 1, "counted"),
    ("damper", "2025-01-02", 30, "counted"),
    ("wiper", "2025-01-02", 6, "counted"),
)


def orders(records: Records, as_of: date, days: int = 365) -> list[Reminder]:
    return [one for one in reminders(records, as_of, days) if one.kind == "order"]


def test_an_order_names_its_part_with_its_type_its_price_and_its_reason() -> None:
    fittings = workshop(1).fittings.assign(variant="")
    fittings.loc[fittings["part_kind"] == "head", "variant"] = "six-channel head"
    printers = rows("printer started_on channels", ("A", "2025-01-01", "C M Y K W1 W2"))
    found = orders(Records.of({"printers": printers, "fittings": fittings}), TODAY)
    (head,) = [one for one in found if "printhead" in one.title]
    assert head.title == "Order 1 × printhead (six-channel head)"
    assert head.on == TODAY
    assert head.is_due
    price, reason = head.sentences
    # The price is the trade's guess (common practice, no source).
    assert price == "To be ordered now, as seen on 11 Jun 2025, about 600 €."
    assert "hance of running out before it is here" in reason
    assert "today" not in head.description.lower(), "it is read on another day"


def test_an_order_date_on_closed_days_is_told_on_the_last_open_day_before_them() -> None:
    january = date(2025, 1, 10)
    closed = rows("began_on ended_on site printer", ("2025-06-18", "2025-07-12", "", ""))
    records = workshop(1, stock=STOCKED, closures=closed)
    (by,) = [day for day in preorder(records, january)["order_by"] if day is not None]
    assert date(2025, 6, 18) <= by <= date(2025, 7, 12), "else this tests nothing"
    (order,) = orders(records, january)
    assert order.on == date(2025, 6, 17)  # a Tuesday
    assert not order.is_due


def test_an_order_date_is_told_only_within_the_days_asked() -> None:
    january = date(2025, 1, 10)
    records = workshop(1, stock=STOCKED)
    (order,) = orders(records, january)
    ahead = (order.on - january).days
    assert orders(records, january, ahead - 7) == []


def test_a_name_with_the_marks_of_the_format_stays_inside_its_field() -> None:
    name = "Left; A, B: C"
    odd = Reminder("task", TODAY, ("x",), name, f"{name}: clean", ("END:VEVENT",), (), True)
    (event,) = read([odd])
    assert str(event["summary"]) == f"{name}: clean"
    assert str(event["description"]).startswith("END:VEVENT\n")


@pytest.mark.parametrize("days", [0, 400])
def test_every_day_named_lies_within_the_days_asked(days: int) -> None:
    for one in reminders(shaken("2025-06-09"), TODAY, days):
        assert TODAY <= one.on <= TODAY + timedelta(days=days)
