"""An answer is worked out again when, and only when, something changed that it hangs on."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import pandas as pd
import pytest

from tests.workshop.small_workshop import small_workshop
from tracker.errors import NotEnoughData
from tracker.workshop.records import Records
from tracker.workshop.remembered import reads
from tracker.workshop.remembered.answers import Answers
from tracker.workshop.remembered.reads import found_once

TODAY = date(2026, 3, 1)


class Asked:
    """Asks the same question of records, and counts how often it was worked out."""

    def __init__(self, work_out: object) -> None:
        self.answers, self.work_out, self.times = Answers(), work_out, 0

    def __call__(self, records: Records) -> object:
        return self.answers.ask("it", records, self._count, today=TODAY)

    def _count(self, records: Records) -> object:
        self.times += 1
        return self.work_out(records)


def one_more(records: Records, table: str, **values: object) -> Records:
    """The records after the last row of a table was written down once more, with other values."""
    frame = records.table(table)
    row = frame.iloc[-1:].assign(**values).set_axis([max(frame.index) + 1])
    return records.after(**{table: pd.concat([frame, row])})


def pieces(records: Records) -> float:
    return records.stock["quantity"].sum()


def busy_days(records: Records) -> int:
    return records.finding(_busy_days)


def _busy_days(records: Records) -> int:
    return records.maintenance["done_on"].nunique()


def test_an_answer_holds_while_only_other_tables_change() -> None:
    records, asked = small_workshop(), Asked(pieces)
    assert asked(records) == asked(one_more(records, "maintenance")) == 8
    assert asked.times == 1
    assert asked(one_more(records, "stock", quantity=5.0)) == 13
    assert asked.times == 2


def test_what_was_known_on_an_earlier_day_holds_whatever_is_logged_later() -> None:
    day = date(2025, 12, 31)
    asked = Asked(lambda records: len(records.known_at(day).maintenance))
    records = small_workshop()
    assert asked(records) == 1
    later = one_more(records, "maintenance", done_on=pd.Timestamp(TODAY))
    assert asked(later) == 1
    assert asked.times == 1
    assert asked(one_more(later, "maintenance", done_on=pd.Timestamp(day))) == 2


def test_an_answer_that_rests_on_a_finding_holds_while_the_same_is_found() -> None:
    asked = Asked(lambda records: f"{busy_days(records)} days")
    records = small_workshop()
    assert asked(records) == "2 days"
    same_day = one_more(records, "maintenance", task="head_clean")
    assert asked(same_day) == "2 days"
    assert asked.times == 1
    assert asked(one_more(same_day, "maintenance", done_on=pd.Timestamp(TODAY))) == "3 days"


def test_a_finding_of_changed_records_stands_for_the_tables_behind_it() -> None:
    """It can not be made again from what is written down, so its tables are what counts."""
    with reads.watching(small_workshop().written) as seen:
        small_workshop().but(stock=small_workshop().stock.iloc[:0]).finding(_busy_days)
    assert not seen.findings
    assert {read.table for read in seen.tables} >= {"maintenance"}


def test_what_was_kept_for_another_answer_is_noted_for_this_one_too() -> None:
    records = small_workshop()
    records.once(pieces)
    records.part_facts("head")
    records.setting("currency")
    with reads.watching(records.written) as seen:
        records.once(pieces)
        records.part_facts("head")
        records.setting("currency")
    assert {read.table for read in seen.tables} == {"stock", "parts", "settings"}


def test_a_property_found_once_is_noted_by_all_who_ask_for_it() -> None:
    @dataclass(frozen=True)
    class Shelf:
        records: Records

        @found_once
        def pieces(self) -> float:
            return pieces(self.records)

    shelf = Shelf(small_workshop())
    for _time in range(2):
        with reads.watching(shelf.records.written) as seen:
            assert shelf.pieces == 8
        assert {read.table for read in seen.tables} == {"stock"}


def test_an_answer_that_holds_records_hangs_on_all_their_tables() -> None:
    """It may look at any of them when it is asked something later."""
    asked = Asked(lambda records: [records.known_at(TODAY)])
    records = small_workshop()
    asked(records)
    asked(one_more(records, "closures"))
    assert asked.times == 2


def test_an_answer_that_failed_is_asked_again() -> None:
    def fails(records: Records) -> float:
        raise NotEnoughData(f"{len(records.stock)} rows")

    asked = Asked(fails)
    for _time in range(2):
        with pytest.raises(NotEnoughData, match="3 rows"):
            asked(small_workshop())
    assert asked.times == 2


def test_a_failed_finding_is_noted_by_whoever_goes_on_without_it() -> None:
    def fails(records: Records) -> float:
        raise NotEnoughData(f"{len(records.stock)} rows")

    records = small_workshop()
    with reads.watching(records.written) as seen:
        for ask in (records.once, records.finding):
            with pytest.raises(NotEnoughData):
                ask(fails)
    assert {read.table for read in seen.tables} == {"stock"}


def test_what_stays_is_handed_on_to_the_records_after_a_change() -> None:
    records = small_workshop()
    table = records.known_at(TODAY).once(pieces)
    after = one_more(records, "maintenance").known_at(TODAY)
    assert (pieces, ()) in after._worked_out
    assert after.once(pieces) == table
    changed = one_more(records, "stock", quantity=5.0).known_at(TODAY)
    assert (pieces, ()) not in changed._worked_out


def test_no_more_answers_are_kept_than_asked_for() -> None:
    answers, times = Answers(most=2), []
    for question in ("a", "b", "c", "c", "a"):
        answers.ask(question, small_workshop(), lambda _: times.append(1), today=TODAY)
    assert len(times) == 4  # the first was dropped for the third
    assert list(answers._kept) == ["c", "a"]
