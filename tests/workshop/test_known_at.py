"""What was known on a day, asked for again and again."""

from __future__ import annotations

from datetime import date, timedelta

import pandas as pd

from tests.workshop.small_workshop import small_workshop
from tracker.workshop.contract import TABLES
from tracker.workshop.records import Records

DAY = date(2025, 12, 31)


def test_a_day_asked_for_twice_is_worked_out_once() -> None:
    records = small_workshop()
    known = records.known_at(DAY)
    assert records.known_at(DAY) is known
    assert known.known_at(DAY) is known


def test_many_days_asked_for_give_the_same_as_each_day_alone() -> None:
    """Only a few days are remembered; one that was dropped is worked out anew."""
    records = small_workshop()
    days = [DAY + timedelta(days=step) for step in (0, 10, 20, 30, 40, 50, 0, 10)]
    for day in days:
        alone, again = small_workshop().known_at(day), records.known_at(day)
        for table in TABLES:
            pd.testing.assert_frame_equal(again.table(table.name), alone.table(table.name))


def test_changed_records_do_not_answer_with_what_was_remembered() -> None:
    records = small_workshop()
    assert records.known_at(DAY).part_facts("damper").pack_size == 10
    parts = records.parts.assign(pack_size=[1.0, 4.0])
    changed = records.with_table("parts", parts)
    assert changed.part_facts("damper").pack_size == 4
    assert changed.known_at(DAY).part_facts("damper").pack_size == 4


def test_what_few_tables_tell_is_worked_out_again_only_where_these_differ() -> None:
    records = Records.of({"printers": pd.DataFrame({"printer": ["Ada"]})})
    asked: list[int] = []

    def printers(of: Records) -> int:
        asked.append(len(of.printers))
        return len(of.printers)

    assert records.once(printers) == 1
    other = records.but(stock=records.stock.copy())
    assert other.once(printers) == 1
    assert asked == [1]
    assert other.but(printers=records.printers.iloc[:0]).once(printers) == 0
    assert asked == [1, 0]
