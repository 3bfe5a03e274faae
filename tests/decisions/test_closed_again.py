"""What was closed a year ago is asked about in time, once, and of whom it held."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from tests.decisions.workshops import rows, setting, workshop
from tracker.decisions.due_days.closed_again import ClosedAgain, closed_again
from tracker.say.maintenance.closures import again_notices, again_question
from tracker.workshop.records import Records

WINTER = ("2025-12-22", "2026-01-02")
AGAIN = (date(2026, 12, 21), date(2027, 1, 1))
IN_TIME = date(2026, 11, 2)
WHOLE = ("", "", "")


def closed(*closures: tuple[str, ...], **settings: str) -> Records:
    """A workshop with these closures: first and last day, site, printer, supplier."""
    shut = rows("began_on ended_on site printer supplier", *closures)
    return workshop(1, closures=shut, settings=setting(**settings))


def test_a_shutdown_of_a_year_ago_is_asked_about_on_the_same_weekdays() -> None:
    (one,) = closed_again(closed((*WINTER, *WHOLE)), IN_TIME)
    assert (one.began_on, one.ended_on) == AGAIN
    assert [day.weekday() for day in AGAIN] == [date.fromisoformat(day).weekday() for day in WINTER]


@pytest.mark.parametrize(
    ("days_before", "asked"), [(91, False), (90, True), (1, True), (0, False), (-20, False)]
)
def test_it_is_asked_from_ninety_days_before_until_it_begins(days_before: int, asked: bool) -> None:
    day = AGAIN[0] - timedelta(days=days_before)
    assert bool(closed_again(closed((*WINTER, *WHOLE)), day)) is asked


def test_workshop_and_supplier_shut_on_the_same_days_are_one_question() -> None:
    records = closed((*WINTER, *WHOLE), (*WINTER, "", "", "North Parts"))
    (one,) = closed_again(records, IN_TIME)
    assert one.whom == (("", ""), ("", "North Parts"))
    assert again_question(one) == (
        "Closed a year ago from 22 Dec 2025 to 2 Jan 2026: the whole workshop and supplier North "
        "Parts. Again from 21 Dec 2026 to 1 Jan 2027?"
    )


def test_what_is_written_down_about_that_time_for_the_same_is_not_asked() -> None:
    moved = ("2026-12-28", "2027-01-05")
    own = (*WINTER, *WHOLE), (*moved, *WHOLE)
    assert closed_again(closed(*own), IN_TIME) == []
    (one,) = closed_again(closed(*own, (*WINTER, "", "", "North Parts")), IN_TIME)
    assert one.whom == (("", "North Parts"),)


def test_a_long_weekend_and_a_printer_out_of_use_are_no_holiday() -> None:
    short = ("2025-12-24", "2025-12-27", *WHOLE)
    alone = (*WINTER, "", "A", "")
    assert closed_again(closed(short, alone), IN_TIME) == []


def test_open_then_is_remembered() -> None:
    records = closed((*WINTER, *WHOLE), open_again="2026-12-21/2027-01-01")
    assert closed_again(records, IN_TIME) == []


def test_the_notice_says_what_to_write_in_either_case() -> None:
    one = ClosedAgain(date(2025, 8, 4), date(2025, 8, 15), (("Hall", ""),))
    (told,) = again_notices([one])
    assert told == (
        "Closed a year ago from 4 to 15 Aug 2025: site Hall. Again from 3 to 14 Aug 2026? If so, "
        "write it in closures (began_on 2026-08-03, ended_on 2026-08-14, or other days); if not, "
        "write 2026-08-03/2026-08-14 in the setting open_again."
    )
