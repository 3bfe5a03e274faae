"""What was corrected since a month's review was first made, from a real database's log."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime

import pandas as pd
import pytest

from tests.hands import by
from tests.review.workshop_by_hand import by_hand
from tracker.language import speaking
from tracker.review.corrected import Corrections, corrected_since
from tracker.review.month import month_review
from tracker.say.monthly.corrections import corrections_sentence
from tracker.say.monthly.values import as_dict
from tracker.store.database import Store, open_store
from tracker.workshop.records import Records

MARCH = date(2026, 3, 1)
STOP = {
    "printer": "Ada", "began_at": "2026-03-20T09:00", "ended_at": "2026-03-20T12:00",
    "cause": "part failed",
}  # fmt: skip


@pytest.fixture
def store(database_url: str) -> Iterator[Store]:
    """The workshop written by hand, written down by the end of March."""
    with open_store(database_url) as opened:
        by(opened, now=datetime(2026, 3, 31, 18)).load(by_hand(), "first sheets")
        yield opened


def since(store: Store, month: date = MARCH) -> Corrections:
    return corrected_since(store, month)


def said(store: Store, month: date = MARCH) -> str:
    return corrections_sentence(corrected_since(store, month))


def test_nothing_is_said_where_nothing_was_written_later(store: Store) -> None:
    by(store, now=datetime(2026, 4, 3)).add("stoppages", STOP)  # within the first days of April
    assert said(store) == ""


def test_a_record_of_the_month_added_later_is_counted_in_words(store: Store) -> None:
    before = as_dict(month_review(store.records(), MARCH))
    by(store, now=datetime(2026, 4, 20)).add("stoppages", STOP)
    found = since(store)
    assert found.of_month == {("stoppages", "added"): 1}
    assert "after 5 Apr 2026: 1 record of March 2026 (1 stoppage added)" in corrections_sentence(
        found
    )
    assert as_dict(month_review(store.records(), MARCH)) != before


def test_the_same_is_said_in_spanish_and_closed_days_by_their_name(store: Store) -> None:
    closed = {"began_on": "2026-03-05", "ended_on": "2026-03-06"}
    by(store, now=datetime(2026, 4, 20)).add("closures", closed)
    by(store, now=datetime(2026, 4, 20)).add("stoppages", STOP)
    assert "(1 closure added, 1 stoppage added)" in said(store)
    with speaking("es"):
        assert (
            "Anotado o corregido después del 5 abr 2026: 2 registros de marzo de 2026 "
            "(añadido: 1 cierre, añadido: 1 parada)." in said(store)
        )


def test_a_record_of_a_later_month_does_not_concern_it(store: Store) -> None:
    before = as_dict(month_review(store.records(), MARCH))
    later = {**STOP, "began_at": "2026-04-10T09:00", "ended_at": "2026-04-10T12:00"}
    by(store, now=datetime(2026, 4, 20)).add("stoppages", later)
    head = store.records().fittings.query("printer == 'Ada' and part_kind == 'head'").index[0]
    by(store, now=datetime(2026, 4, 21)).correct(
        "fittings", int(head), {"removed_on": "2026-04-15", "removal_reason": "failed"}
    )
    assert said(store) == ""
    assert as_dict(month_review(store.records(), MARCH)) == before


def test_an_earlier_record_and_a_setting_are_told_apart_from_the_month(store: Store) -> None:
    stop = store.records().stoppages.query("began_at < '2026-02-01'").index[0]
    by(store, now=datetime(2026, 4, 20)).correct("stoppages", int(stop), {"scrap_cost": 7})
    rate = store.records().settings.query("name == 'labour_per_hour'").index[0]
    by(store, now=datetime(2026, 4, 21)).correct("settings", int(rate), {"value": "35"})
    found = since(store)
    assert found.earlier == {("stoppages", "corrected"): 1}
    assert found.undated == {("settings", "corrected"): 1}
    assert not found.of_month


def test_what_was_taken_back_counts_for_nothing(store: Store) -> None:
    done = by(store, now=datetime(2026, 4, 20)).add("stoppages", STOP)
    assert done.batch
    by(store, now=datetime(2026, 4, 22)).undo(done.batch)
    assert said(store) == ""


def test_a_removed_record_is_counted_once_however_often_it_was_touched(store: Store) -> None:
    stop = int(store.records().stoppages.query("printer == 'Bob'").index[0])
    by(store, now=datetime(2026, 4, 20)).correct("stoppages", stop, {"scrap_cost": 1})
    by(store, now=datetime(2026, 4, 21)).remove("stoppages", stop)
    assert since(store).of_month == {("stoppages", "removed"): 1}


def test_a_database_begun_after_the_month_had_no_earlier_review(store: Store) -> None:
    # The first load, at the end of March, is no correction of January.
    assert said(store, date(2026, 1, 1)) == ""


def test_the_rows_of_a_file_loaded_late_are_counted_by_their_day(store: Store) -> None:
    extra = by_hand().maintenance
    extra = pd.concat([extra, extra, extra]).assign(
        task="stir_ink",
        done_on=pd.to_datetime(
            ["2026-02-27", "2026-02-28", "2026-03-05", "2026-03-06", "2026-03-07", "2026-04-01"]
        ),
    )
    more = Records().with_table("maintenance", extra)
    loaded = by(store, now=datetime(2026, 5, 2)).load(more, "forgotten sheet")
    found = since(store)
    assert found.of_month == {("maintenance", "added"): 3}
    assert found.earlier == {("maintenance", "added"): 2}
    assert loaded.batch
    by(store, now=datetime(2026, 5, 3)).undo(loaded.batch)
    assert said(store) == ""


def test_a_file_of_the_time_that_was_taken_back_is_named(store: Store) -> None:
    more = Records().with_table(
        "maintenance", by_hand().maintenance.assign(task="stir_ink")
    )  # fmt: skip
    loaded = by(store, now=datetime(2026, 4, 2)).load(more, "second sheet")
    assert loaded.batch
    by(store, now=datetime(2026, 5, 3)).undo(loaded.batch)
    assert "Undid change 2: Loaded second sheet on 3 May 2026 (2 records)" in said(store)
