"""A clock that cannot be right is asked about once, with one tap to go on."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

from tests.app.conftest import words_of
from tracker.commands import main
from tracker.store.connections import default_url
from tracker.store.database import open_store
from tracker.workshop.records import Records


def keep(newest: str, began: str = "2026-01-05") -> None:
    printer = pd.DataFrame({"printer": ["Left"], "started_on": [pd.Timestamp(began)]})
    read = pd.DataFrame(
        {"printer": ["Left"], "read_on": [pd.Timestamp(newest)], "area_m2": [120.0]}
    )
    with open_store(default_url()) as store:
        store.load(Records.of({"printers": printer, "counters": read}), "by hand")


def asked(at: AppTest) -> bool:
    return any(button.key == "clock-right" for button in at.button)


@pytest.mark.parametrize(
    ("newest", "says", "is_shown"),
    [
        ("2026-08-30", "nothing was written down since", True),  # 62 days before 31 October
        ("2026-11-02", "but the newest entry is of", False),
    ],
)
def test_one_tap_goes_on_and_it_is_not_asked_again(
    app: Callable[..., AppTest], newest: str, says: str, is_shown: bool
) -> None:
    keep(newest)
    at = app()
    assert asked(at)
    assert says in words_of(at)
    assert ("Who is at this device?" in words_of(at)) == is_shown, "no answer for a day in the past"
    at.button(key="clock-right").click().run()
    assert not asked(at)
    assert "Who is at this device?" in words_of(at)
    at = app("spares")
    assert not asked(at)
    assert at.session_state["device"]["clock"].endswith(newest), "kept on the device too"


def test_another_entry_from_the_future_is_asked_about_anew(app: Callable[..., AppTest]) -> None:
    keep("2026-11-02")
    at = app()
    at.button(key="clock-right").click().run()
    with open_store(default_url()) as store:
        store.add("counters", {"printer": "Left", "read_on": date(2026, 11, 5), "area_m2": 130})
    assert asked(at.run())


def test_a_clock_that_follows_on_the_log_is_not_asked_about(app: Callable[..., AppTest]) -> None:
    keep("2026-09-01")
    assert not asked(app())


@pytest.mark.usefixtures("folder")
def test_a_command_says_that_the_clock_may_be_wrong(capsys: pytest.CaptureFixture[str]) -> None:
    keep("2020-03-01", "2019-06-03")
    assert main(["outlook", "--database", default_url(), "--json"]) == 0
    told = capsys.readouterr()
    assert "nothing was written down since 1 Mar 2020" in told.err
    assert "--as-of" in told.err
    assert told.out.startswith("{")
    assert main(["outlook", "--database", default_url(), "--json", "--as-of", "2020-03-01"]) == 0
    assert "nothing was written down since" not in capsys.readouterr().err
