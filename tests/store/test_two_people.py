"""Two people correct one record: untouched fields stay, what both changed is asked about."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from typing import Any

import pytest

from tests.decisions.workshops import rows
from tests.hands import by
from tracker.errors import RecordError
from tracker.store import acts
from tracker.store.acts import LoggedAlready, PartPosition, Removal
from tracker.store.database import Store
from tracker.store.meanwhile.as_read import ChangedMeanwhile
from tracker.workshop.records import Records

DAY = date(2026, 3, 4)
NINE, TEN = datetime(2026, 3, 4, 9, 42), datetime(2026, 3, 4, 10, 42)
W1 = PartPosition("P1", "damper", "W1")


def task_of(store: Store) -> tuple[int, dict[str, Any]]:
    """A task of today, its number and how it reads."""
    acts.log_tasks(by(store, "Ana", NINE), "P1", ["flush_in_place"], DAY)
    rows = store.records().maintenance
    return int(rows.index[-1]), rows.iloc[-1].to_dict()


def in_now(store: Store, at: PartPosition) -> int:
    rows = store.records().fittings
    rows = rows[(rows["printer"] == at.printer) & (rows["part_kind"] == at.part_kind)]
    rows = rows[(rows["position"] == at.position) & rows["removed_on"].isna()]
    return int(rows.index[-1])


# -- one record corrected by two


def test_what_the_second_did_not_touch_keeps_what_the_first_wrote(workshop: Store) -> None:
    row_id, read = task_of(workshop)
    by(workshop, "Ana").correct(
        "maintenance", row_id, {**read, "note": "white 8 opened"}, as_read=read
    )
    by(workshop, "Ben").correct("maintenance", row_id, {**read, "minutes": 40}, as_read=read)
    row = workshop.records().maintenance.loc[row_id]
    assert (row["note"], row["minutes"]) == ("white 8 opened", 40)


def test_without_the_row_as_read_the_last_one_wins_as_a_program_may_want(workshop: Store) -> None:
    row_id, read = task_of(workshop)
    workshop.correct("maintenance", row_id, {"note": "one"})
    workshop.correct("maintenance", row_id, {**read, "minutes": 40})
    assert workshop.records().maintenance.loc[row_id, "note"] == ""


def test_a_field_that_both_changed_is_asked_about_and_nothing_is_written(workshop: Store) -> None:
    row_id, read = task_of(workshop)
    by(workshop, "Ben", TEN).correct("maintenance", row_id, {"note": "X"}, as_read=read)
    before = workshop.version()
    mine = {"note": "Y", "minutes": 40}
    with pytest.raises(
        ChangedMeanwhile, match=r"Ben changed note of P1 .* on 2026-03-04 10:42"
    ) as told:
        by(workshop, "Cleo").correct("maintenance", row_id, mine, as_read=read)
    assert workshop.version() == before
    (one,) = told.value.disagreements
    assert (one.column, one.theirs, one.mine) == ("note", "X", "Y")
    assert one.author is not None
    assert (one.author.who, one.author.when) == ("Ben", TEN)
    # Answered: mine is to stay.
    by(workshop, "Cleo").correct("maintenance", row_id, mine, as_read={**read, "note": "X"})
    row = workshop.records().maintenance.loc[row_id]
    assert (row["note"], row["minutes"]) == ("Y", 40)
    cells = workshop.changes(1)[0].rows[0].cells
    assert cells["note"] == ("X", "Y"), "what Ben wrote stays in the log"


def test_both_writing_the_same_is_no_disagreement(workshop: Store) -> None:
    row_id, read = task_of(workshop)
    workshop.correct("maintenance", row_id, {"note": "same"}, as_read=read)
    again = workshop.correct("maintenance", row_id, {"note": "same"}, as_read=read)
    assert again.batch is None


def test_who_wrote_a_field_is_who_changed_it_last_and_not_who_touched_the_record_last(
    workshop: Store,
) -> None:
    row_id, read = task_of(workshop)
    by(workshop, "Ben").correct("maintenance", row_id, {"note": "X"}, as_read=read)
    by(workshop, "Cleo").correct("maintenance", row_id, {"minutes": 12})
    with pytest.raises(ChangedMeanwhile, match="Ben changed note"):
        by(workshop, "Dan").correct("maintenance", row_id, {"note": "Y"}, as_read=read)


def test_a_record_changed_since_it_was_read_is_not_removed_unseen(workshop: Store) -> None:
    row_id, read = task_of(workshop)
    by(workshop, "Ben", TEN).correct("maintenance", row_id, {"note": "X"})
    with pytest.raises(RecordError, match=r"was changed by Ben on 2026-03-04 10:42, after you"):
        by(workshop, "Ana").remove("maintenance", row_id, as_read=read)
    workshop.remove(
        "maintenance", row_id, as_read=workshop.records().maintenance.loc[row_id].to_dict()
    )
    assert row_id not in workshop.records().maintenance.index


def test_a_record_taken_out_meanwhile_says_by_whom(workshop: Store) -> None:
    row_id, read = task_of(workshop)
    gone = by(workshop, "Ben", TEN).remove("maintenance", row_id)
    with pytest.raises(RecordError, match=f"Ben took it out on 2026-03-04 10:42; .*{gone.batch}"):
        workshop.correct("maintenance", row_id, {"note": "X"}, as_read=read)


def test_an_undo_of_what_changed_since_says_who_changed_it_and_when(workshop: Store) -> None:
    row_id, _ = task_of(workshop)
    logged = workshop.changes(1)[0].batch
    by(workshop, "Ben", TEN).correct("maintenance", row_id, {"note": "X"})
    with pytest.raises(RecordError, match="by Ben on 2026-03-04 10:42, came later"):
        by(workshop, "Ana").undo(logged)


def test_settings_merge_field_by_field_too(workshop: Store) -> None:
    read = {"currency": workshop.records().setting("currency"), "labour_per_hour": ""}
    with by(workshop, "Ben", TEN).change("Settings") as batch:
        acts.put_setting(batch, "labour_per_hour", "31", as_read=read)
    with by(workshop, "Ana").change("Settings") as batch:
        acts.put_setting(batch, "labour_per_hour", "", as_read=read)
        acts.put_setting(batch, "margin_per_hour", "45", as_read=read)
    assert workshop.records().number("labour_per_hour") == 31
    with (
        pytest.raises(
            ChangedMeanwhile, match="Ben changed value of labour_per_hour on 2026-03-04 10:42"
        ),
        by(workshop, "Ana").change("Settings") as batch,
    ):
        acts.put_setting(batch, "labour_per_hour", "29", as_read=read)
    assert workshop.records().number("labour_per_hour") == 31


# -- the same happening told by two


def test_the_same_failure_told_by_two_counts_once(workshop: Store) -> None:
    seen = in_now(workshop, W1)
    acts.change_part(by(workshop, "Ana", TEN), W1, Removal(DAY, "failed", fitting=seen))
    parts, shelf = len(workshop.records().fittings), len(workshop.records().stock)
    later = Removal(date(2026, 3, 5), "failed", "air leak", fitting=seen)
    with pytest.raises(LoggedAlready, match=r"2026-03-04 10:42 by Ana already .Changed Damper W1"):
        acts.change_part(by(workshop, "Ben"), W1, later)
    assert (len(workshop.records().fittings), len(workshop.records().stock)) == (parts, shelf)
    acts.change_part(by(workshop, "Ben"), W1, later, again=True)
    assert len(workshop.records().fittings) == parts + 1, "a second real change is recorded"


def test_a_part_that_went_in_today_is_asked_about_before_it_comes_out_today(
    workshop: Store,
) -> None:
    acts.change_part(by(workshop, "Ana"), W1, Removal(DAY, "failed"))
    with pytest.raises(LoggedAlready, match="by Ana already"):
        acts.change_part(by(workshop, "Ben"), W1, Removal(DAY, "failed"))
    event = acts.Breakdown("P1", DAY, acts.PartChange(W1, Removal(DAY, "failed")))
    with pytest.raises(LoggedAlready, match="by Ana already"):
        acts.something_broke(by(workshop, "Ben"), event)


@pytest.mark.parametrize(("days", "asked"), [(1, True), (3, True), (4, False)])
def test_a_failure_told_by_two_with_different_days_is_asked_about(
    workshop: Store, days: int, asked: bool
) -> None:
    parts = len(workshop.records().fittings)
    acts.change_part(by(workshop, "Tom"), W1, Removal(DAY, "failed"))
    later = Removal(DAY + timedelta(days=days), "failed")
    if asked:
        with pytest.raises(LoggedAlready, match="by Tom already") as told:
            acts.change_part(by(workshop, "Ana"), W1, later)
        assert told.value.may_repeat
        assert told.value.found[0].other_day
        assert len(workshop.records().fittings) == parts + 1
    acts.change_part(by(workshop, "Ana"), W1, later, again=asked)
    assert len(workshop.records().fittings) == parts + 2


def test_a_record_removed_and_brought_back_is_still_by_who_loaded_it(workshop: Store) -> None:
    done = rows("printer task done_on why", ("P1", "stir_ink", "2026-03-04", "planned"))
    by(workshop, "Ana").load(Records.of({"maintenance": done}), "her sheet")
    row_id = int(workshop.records().maintenance.index[-1])
    removed = by(workshop, "Ben").remove("maintenance", row_id)
    by(workshop, "Ben").undo(removed.batch)
    assert workshop.who_added("maintenance", row_id) == "Ana"
    with pytest.raises(LoggedAlready, match="by Ana already"):
        acts.log_tasks(by(workshop, "Cleo"), "P1", ["stir_ink"], DAY)


def test_what_was_taken_back_may_be_logged_again_without_a_question(workshop: Store) -> None:
    number = acts.log_tasks(by(workshop, "Ana"), "P1", ["stir_ink"], DAY)
    workshop.undo(number or 0)
    assert acts.log_tasks(by(workshop, "Ben"), "P1", ["stir_ink"], DAY)


NOON = datetime(2026, 3, 4, 12)
TWICE: list[Callable[[Store, bool], int | None]] = [
    lambda store, again: acts.log_tasks(store, "P1", ["stir_ink"], DAY, again=again),
    lambda store, again: acts.log_nozzle_check(store, "P1", "H1", DAY, {"C": 0}, again=again),
    lambda store, again: acts.place_order(store, acts.Order("cap", 2, DAY), again=again),
    lambda store, again: acts.move_stock(
        store, acts.Movement("cap", DAY, 2, "received"), again=again
    ),
    lambda store, again: acts.begin_stoppage(
        store,
        acts.Stoppage("P1", NOON.replace(hour=12 + again), NOON.replace(hour=12 + again, minute=5)),
        again=again,
    ),
    lambda store, again: acts.something_broke(
        store, acts.Breakdown("P1", DAY, tasks=("head_clean",)), again=again
    ),
]


@pytest.mark.parametrize("act", TWICE)
def test_the_same_of_one_day_is_written_once_unless_it_happened_twice(
    workshop: Store, act: Callable[[Store, bool], int | None]
) -> None:
    assert act(workshop, False)
    before = workshop.version()
    with pytest.raises(LoggedAlready) as told:
        act(workshop, False)
    assert told.value.may_repeat
    assert workshop.version() == before
    assert act(workshop, True)


def test_what_is_not_the_same_is_written_without_a_question(workshop: Store) -> None:
    acts.log_tasks(workshop, "P1", ["head_clean"], DAY)
    acts.log_tasks(workshop, "P2", ["head_clean"], DAY)
    acts.log_tasks(workshop, "P1", ["head_clean"], date(2026, 3, 5))
    because = acts.TaskDetails(why="symptom", position="H1")
    acts.log_tasks(workshop, "P1", ["head_clean"], DAY, details=because)
    other = acts.TaskDetails(why="symptom", position="H2")
    acts.log_tasks(workshop, "P1", ["head_clean"], DAY, details=other)
    acts.log_nozzle_check(workshop, "P1", "H1", DAY, {"C": 3, "K": 0})
    acts.log_nozzle_check(workshop, "P1", "H1", DAY, {"C": 0, "K": 0})
    acts.place_order(workshop, acts.Order("cap", 2, DAY, supplier="Quay"))
    assert acts.place_order(workshop, acts.Order("cap", 2, DAY, supplier="Loft"))


def test_of_several_tasks_those_done_already_are_named(workshop: Store) -> None:
    acts.log_tasks(by(workshop, "Ana"), "P1", ["stir_ink"], DAY)
    with pytest.raises(LoggedAlready) as told:
        acts.log_tasks(by(workshop, "Ben"), "P1", ["stir_ink", "wipe_encoder"], DAY)
    assert [one.values["task"] for one in told.value.found] == ["stir_ink"]
    assert told.value.found[0].author is not None
    assert told.value.found[0].author.who == "Ana"


def test_an_order_that_arrived_and_a_stop_that_ended_say_who_told(workshop: Store) -> None:
    acts.place_order(workshop, acts.Order("cap", 2, date(2026, 3, 1)))
    order = int(workshop.records().orders.index[-1])
    acts.receive_order(by(workshop, "Ana", TEN), order, acts.Delivery(DAY))
    with pytest.raises(LoggedAlready, match=r"arrived on 2026-03-04 already.*Ana wrote that down "
                                            r"on 2026-03-04 10:42") as told:  # fmt: skip
        acts.receive_order(by(workshop, "Ben"), order, acts.Delivery(DAY))
    assert not told.value.may_repeat
    acts.begin_stoppage(by(workshop, "Ana", NINE), acts.Stoppage("P1", NINE))
    stop = int(workshop.records().stoppages.index[-1])
    with pytest.raises(LoggedAlready, match=r"stands still since.*Ana wrote that down"):
        acts.begin_stoppage(by(workshop, "Ben"), acts.Stoppage("P1", TEN))
    acts.end_stoppage(by(workshop, "Ana", TEN), stop, TEN)
    with pytest.raises(LoggedAlready, match=r"ended at.*Ana wrote that down"):
        acts.end_stoppage(by(workshop, "Ben"), stop, TEN)


def test_the_same_counter_reading_says_who_read_it_and_a_later_one_is_taken(
    workshop: Store,
) -> None:
    acts.read_counter(by(workshop, "Ana", TEN), "P1", DAY, 5000)
    with pytest.raises(LoggedAlready, match=r"5000 m².*Ana wrote that down") as told:
        acts.read_counter(by(workshop, "Ben"), "P1", DAY, 5000)
    assert not told.value.may_repeat
    assert acts.read_counter(by(workshop, "Ben"), "P1", DAY, 5010)


def test_a_task_that_came_with_a_file_is_known_by_the_load(workshop: Store) -> None:
    row = workshop.records().maintenance.iloc[0]
    with pytest.raises(LoggedAlready, match="Loaded folder"):
        acts.log_tasks(
            workshop, row["printer"], [row["task"]], row["done_on"].date(),
            details=acts.TaskDetails(why=row["why"]),
        )  # fmt: skip
