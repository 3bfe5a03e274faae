"""One printer in words."""

from __future__ import annotations

from datetime import date
from types import SimpleNamespace as Row

import pandas as pd
import pytest

from tests.decisions.workshops import rows
from tests.lives.test_printer_history import TODAY, by_hand, stops
from tracker.lives.printer_history import printer_history
from tracker.lives.printer_state import CLOSED, LEFT, PRINTS, STANDS, PrinterState, printer_states
from tracker.models.life_model.life_forecast import Limits
from tracker.review.printer_levels import PrinterLevel, StoppageLevel
from tracker.say.lives import remaining
from tracker.say.printer_page import level as say_level
from tracker.say.printer_page import parts as say_parts
from tracker.say.printer_page import past as say_past
from tracker.say.printer_page import state as say_state

STOPPED = pd.Timestamp("2026-10-30 09:15")


@pytest.mark.parametrize(
    ("one", "told"),
    [
        (PrinterState("Left", "", PRINTS), "prints"),
        (
            PrinterState("Left", "", STANDS, STOPPED, "waits for delivery", "head"),
            "stands still since 30 Oct 2026, 09:15: waits for delivery – printhead",
        ),
        (PrinterState("Left", "", STANDS, STOPPED), "stands still since 30 Oct 2026, 09:15"),
        (
            PrinterState("Left", "", CLOSED, until=date(2027, 1, 3)),
            "closed, the last closed day is 3 Jan 2027",
        ),
        (
            PrinterState("Left", "", LEFT, pd.Timestamp("2026-05-04")),
            "left the workshop on 4 May 2026",
        ),
    ],
)
def test_what_a_printer_does_is_told_in_a_few_words(one: PrinterState, told: str) -> None:
    assert say_state.state(one) == told


def test_the_headline_holds_state_and_work() -> None:
    prints = PrinterState("Left", "", PRINTS)
    closed = PrinterState("Left", "", CLOSED, until=date(2026, 11, 2))
    assert say_state.headline(prints, 2, TODAY) == "31 Oct 2026: Left prints; 2 tasks due."
    assert say_state.headline(closed, 0, TODAY) == (
        "31 Oct 2026: Left is closed, the last closed day is 2 Nov 2026; no task due."
    )


def test_the_list_counts_printers_at_work_only() -> None:
    records = by_hand(stoppages=stops(("Left", "2026-10-30 09:15", None, "film")))
    told = say_state.list_answer(printer_states(records, TODAY))
    assert told == "2 printers, 1 standing still; pick one to see what is in it."


@pytest.mark.parametrize(
    ("days", "told"),
    [
        (
            (20, 131, 400),
            "even chance it lasts until 11 Mar 2027 (8 in 10: from 20 Nov 2026 to 5 Dec 2027)",
        ),
        (
            (20, 131, float("inf")),
            "even chance it lasts until 11 Mar 2027 (8 in 10: from 20 Nov 2026 to more than ten "
            "years from now)",
        ),
        ((900, 5000, 9000), "even chance it lasts for more than ten years"),
    ],
)
def test_a_remaining_life_is_told_as_days_of_the_calendar(
    days: tuple[float, float, float], told: str
) -> None:
    row = Row(days_p10=days[0], days_p50=days[1], days_p90=days[2])
    assert remaining.lasts(row, TODAY) == told


def test_thin_evidence_is_told_and_enough_is_not() -> None:
    assert say_parts.evidence(Row(failures=1), guessed=True) == (
        "1 failure of its type so far: mostly the trade's starting guess"
    )
    assert "your own estimate" in say_parts.evidence(Row(failures=0), guessed=False)
    assert say_parts.evidence(Row(failures=2), guessed=True) == ""


def test_what_happened_is_one_sentence_with_its_counts() -> None:
    records = by_hand(
        stoppages=stops(("Left", "2026-05-04 06:00", "2026-05-04 09:00", "film")),
        closures=rows("began_on ended_on printer", ("2026-08-03", "2026-08-14", "Left")),
    )
    assert say_past.happened(printer_history(records, TODAY, "Left", 365)) == (
        "2 parts came out since 1 Nov 2025, 1 of them broken; it stood still "
        "once, 3 hours in all by the clock; 12 closed days."
    )
    assert say_past.happened(printer_history(by_hand(), TODAY, "Right", 365)) == (
        "No parts came out since 1 Nov 2025; it stood still at no time."
    )


def test_the_tables_hold_what_the_picture_shows() -> None:
    records = by_hand(stoppages=stops(("Left", "2026-10-31 06:00", None, "film")))
    history = printer_history(records, TODAY, "Left", 365)
    parts = say_past.history_table(history).rows
    assert ("Printhead H1", "before the log", "2 Mar 2026", "not known", "failed: electrical") in (
        parts
    )
    assert parts[0][4] == "in it now"
    assert say_past.work_table(history).rows == (
        ("Flush the head in place", "1", "1", "1 Feb 2026"),
    )
    assert say_past.stops_table(history).rows == (
        ("Stood still", "31 Oct 2026", "18 hours so far", "film"),
    )


def test_nozzles_of_a_head_that_was_changed_since_are_not_told() -> None:
    records = by_hand()
    told = say_past.nozzles(printer_history(records, TODAY, "Left", 365))
    assert told == "3 nozzles missing, as last checked on 1 Oct 2026: W1 3."
    before = say_past.nozzles(printer_history(records, date(2026, 3, 2), "Left", 365))
    assert before == "Not checked since the new head went in on 2 Mar 2026."


def test_the_level_is_told_with_its_limits_and_what_they_mean() -> None:
    shorter = PrinterLevel("Left", Limits(0.78, 0.61, 0.93, 0.8), 9, None)
    assert say_level.level(shorter) == [
        "Parts last about 0.78 times as long here as in the other printers (80 %: 0.61 to 0.93 "
        "times; 9 failures here so far). It is harder on its parts than the others."
    ]
    alike = PrinterLevel("Left", Limits(1.004, 0.93, 1.08, 0.8), 1, None)
    assert say_level.level(alike) == [
        "Parts last about as long here as in the other printers (80 %: 0.93 to 1.1 times; 1 "
        "failure here so far). That is no more than chance explains."
    ]
    stops_more = PrinterLevel("Left", None, 0, StoppageLevel(6, 2.1, Limits(2.9, 1.2, 7.0, 0.8)))
    assert say_level.level(stops_more) == [
        "It stood still 6 times in the last twelve months, where the other printers' rate gives "
        "2.1: 2.9 times as often (80 %: 1.2 to 7 times). It stops more often than the others."
    ]
    nothing = say_level.level(PrinterLevel("Left", None, 0, None))
    assert nothing[0].startswith("There is nothing to compare yet")


def test_no_other_printer_that_stood_still_gives_no_factor() -> None:
    alone = StoppageLevel(2, 0.0, Limits(float("inf"), 1.1, float("inf"), 0.8))
    (told,) = say_level.level(PrinterLevel("Left", None, 0, alone))
    assert told == (
        "It stood still twice in the last twelve months; no other printer stood still, so there is "
        "no factor to tell."
    )
