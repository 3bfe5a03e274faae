"""The calendar file on the command line, written once and kept up to date."""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Callable
from pathlib import Path

import icalendar
import pandas as pd
import pytest

from tests.decisions.workshops import rows, workshop
from tests.hands import by
from tracker.commands import main
from tracker.commands.handouts.calendar_file import keep_up
from tracker.store import acts
from tracker.store.database import open_store

DEMO = ("--data", "sample_data", "--as-of", "2026-10-30")


def test_every_event_of_the_file_is_in_the_answer(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "due.ics"
    assert main(["calendar", *DEMO, "--days", "30", "--out", str(out), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    events = icalendar.Calendar.from_ical(out.read_bytes()).events
    assert [str(event["uid"]) for event in events] == [one["uid"] for one in told["events"]]
    assert [event.start.isoformat() for event in events] == [one["on"] for one in told["events"]]
    assert any("Order" in one["title"] and "printhead" in one["title"] for one in told["events"])
    assert list(tmp_path.iterdir()) == [out], "nothing is left beside it"


def test_the_same_day_asked_again_gives_the_same_events(tmp_path: Path) -> None:
    found = []
    for name in ("one.ics", "two.ics"):
        assert main(["calendar", *DEMO, "--out", str(tmp_path / name)]) == 0
        events = icalendar.Calendar.from_ical((tmp_path / name).read_bytes()).events
        found.append({(str(event["uid"]), event.start, str(event["summary"])) for event in events})
    assert found[0] == found[1]


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (("--keep",), "--keep follows a database"),
        (("--days", "-3"), "is no whole number of days from 1 to 731"),
        (("--days", "36500"), "is no whole number of days from 1 to 731"),
    ],
)
def test_what_cannot_be_is_said_in_one_line(
    given: tuple[str, ...], said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["calendar", *DEMO, *given, "--out", str(tmp_path / "due.ics")]) == 2
    problem = capsys.readouterr().err
    assert said in problem
    assert problem.count("\n") == 1
    assert not list(tmp_path.iterdir())


def test_a_file_that_cannot_be_written_is_said_in_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["calendar", *DEMO, "--out", str(tmp_path / "none" / "due.ics")]) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_a_kept_file_follows_what_is_logged(database_url: str, tmp_path: Path) -> None:
    out = tmp_path / "due.ics"
    plan = rows("task every_days printer starts_on ends_on", ("shake_dampers", 10, "", None, None))
    goes_on = threading.Event()
    goes_on.set()
    with open_store(database_url) as store:
        store.load(workshop(1, routines=plan), "by hand")
        kept = threading.Thread(
            target=keep_up, args=(out, database_url, 30), kwargs={"look_every": 0.1,
                                                         "goes_on": goes_on.is_set}
        )  # fmt: skip
        kept.start()
        try:
            before = first_day(out, lambda _: True)
            today = pd.Timestamp.now().date()
            acts.log_tasks(by(store, "Ada"), "A", ("shake_dampers",), today)
            after = first_day(out, lambda day: day != before)
        finally:
            goes_on.clear()
            kept.join(60)
    assert before >= today.isoformat()
    assert after > before


def first_day(file: Path, wanted: Callable[[str], bool]) -> str:
    """The day of the first shaking in the file, once it is what is waited for."""
    for _ in range(600):
        if file.exists():
            events = icalendar.Calendar.from_ical(file.read_bytes()).events
            days = [one.start.isoformat() for one in events if "Shake" in str(one["summary"])]
            if days and wanted(min(days)):
                return min(days)
        time.sleep(0.1)
    raise AssertionError("the file was not written anew")
