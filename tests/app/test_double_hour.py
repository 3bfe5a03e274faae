"""A stoppage in the hour that comes twice: which one is asked, and it lasts as long as it did."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, time

import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

from tests.app.conftest import as_read, words_of
from tests.app.test_log_page import choose
from tests.copied import Copies
from tracker.lives.stood_hours import stood_hours
from tracker.store import acts
from tracker.store.connections import default_url
from tracker.store.database import Store
from tracker.workshop.records import Records

NIGHT = date(2026, 10, 25)


def fill(store: Store) -> None:
    """A workshop that names no time zone."""
    printer = pd.DataFrame({"printer": ["Ada"], "started_on": [pd.Timestamp("2026-01-05")]})
    read = pd.DataFrame({"printer": ["Ada"], "read_on": [pd.Timestamp(NIGHT)], "area_m2": [120.0]})
    hours = pd.DataFrame({"name": ["hours_per_day"], "value": ["24"]})
    store.load(Records.of({"printers": printer, "counters": read, "settings": hours}), "by hand")


@pytest.fixture
def own(folder: object, copies: Copies, monkeypatch: pytest.MonkeyPatch) -> Store:
    """The same on a computer in Berlin."""
    monkeypatch.setenv("TZ", "Europe/Berlin")
    return copies.opened(default_url(), fill)


def stopped(at: AppTest, began: time, ended: time, night: date = NIGHT) -> AppTest:
    """The stoppage form, filled in for that night."""
    choose(at, "log-what", "Stoppage")
    at.toggle(key="stop-over").set_value(True).run()
    for field, hour in (("stop-begin", began), ("stop-over-at", ended)):
        at.date_input(key=f"{field}-day").set_value(night).run()
        at.time_input(key=f"{field}-time").set_value(hour).run()
    return at


def test_it_is_asked_which_one_and_forty_minutes_are_kept(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = stopped(app("log"), time(2, 30), time(2, 10))
    at.button(key="stop-save").click().run()
    assert "02:30 came twice on 25 Oct 2026" in as_read(words_of(at))
    choose(at, "stop-begin-pass", "second")
    choose(at, "stop-over-at-pass", "second")
    at.button(key="stop-save").click().run()
    assert "which is not after it stopped" in words_of(at).replace("\\", "")
    assert own.records().stoppages.empty
    choose(at, "stop-begin-pass", "first")
    at.button(key="stop-save").click().run()
    records = own.records()
    (row,) = records.stoppages.itertuples()
    assert (row.began_at, row.ended_at) == (
        pd.Timestamp(2026, 10, 25, 2, 30), pd.Timestamp(2026, 10, 25, 2, 10),
    )  # fmt: skip
    assert (row.began_pass, row.ended_pass) == ("first", "second")
    assert records.setting("time_zone") == "Europe/Berlin", "kept, now that it matters"
    assert stood_hours(records, date(2026, 10, 31))["hours"].tolist() == pytest.approx([40 / 60])


def test_a_time_that_never_was_is_told(app: Callable[..., AppTest], own: Store) -> None:
    at = stopped(app("log"), time(2, 30), time(3, 10), date(2026, 3, 29))
    at.button(key="stop-save").click().run()
    assert "there was no 02:30 on 29 Mar 2026" in as_read(words_of(at))
    assert own.records().stoppages.empty


def test_an_ordinary_night_asks_nothing_and_keeps_no_time_zone(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = stopped(app("log"), time(2, 10), time(2, 30), date(2026, 10, 24))
    assert "came twice" not in words_of(at)
    at.button(key="stop-save").click().run()
    records = own.records()
    assert len(records.stoppages) == 1
    assert records.setting("time_zone") == ""


def test_a_printer_that_ran_again_in_the_second_pass_stood_that_much_longer(own: Store) -> None:
    batch = acts.begin_stoppage(
        own, acts.Stoppage("Ada", datetime(2026, 10, 25, 2, 30), time_zone="Europe/Berlin")
    )
    assert batch is not None
    row = int(own.records().stoppages.index[0])
    ended = datetime(2026, 10, 25, 2, 10, fold=1)
    acts.end_stoppage(own, row, ended, time_zone="Europe/Berlin")
    records = own.records()
    assert records.stoppages[["began_pass", "ended_pass"]].iloc[0].tolist() == ["first", "second"]
    assert stood_hours(records, date(2026, 10, 31))["hours"].tolist() == pytest.approx([40 / 60])
