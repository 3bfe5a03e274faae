"""What the reviews give to do: kept, changed, ticked off, dropped, undone, in both databases."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

import pandas as pd
import pytest
from pandas.testing import assert_frame_equal

from tests.hands import by
from tests.workshop.small_workshop import small_workshop
from tracker.errors import LoadRefused, RecordError
from tracker.intake.exchange import read_folder, write_folder
from tracker.store import acts
from tracker.store.acts.review_list import in_order
from tracker.store.database import Store
from tracker.workshop.contract import TABLES
from tracker.workshop.records import Records

MARCH, APRIL = date(2026, 3, 1), date(2026, 4, 1)
DAY = date(2026, 4, 2)


@dataclass(frozen=True)
class Proposed:
    what: str
    why: str = "Because."
    made_from: str = ""


FIRST, SECOND = Proposed("Order dampers.", made_from="order damper"), Proposed("Look.", "", "trend")


def listed(store: Store) -> list[str]:
    return in_order(store.records().actions)["action"].tolist()


def test_kept_proposals_stand_in_their_order_and_are_not_kept_twice(store: Store) -> None:
    acts.keep_actions(by(store, "Ana"), MARCH, [FIRST, SECOND], DAY)
    assert acts.keep_actions(store, MARCH, [SECOND, FIRST], DAY) is None
    rows = store.records().actions
    assert rows["action"].tolist() == ["Order dampers.", "Look."]
    assert rows["place"].tolist() == [1, 2]
    assert set(rows["month"]) == {pd.Timestamp(MARCH)}
    assert store.changes()[0].who == "Ana"


def test_an_edited_proposal_is_not_kept_a_second_time(store: Store) -> None:
    acts.write_action(
        store,
        MARCH,
        acts.NewAction("Order 20 dampers.", made_from="order damper", assigned_to="Ben"),
        DAY,
    )
    acts.keep_actions(store, MARCH, [FIRST, SECOND], DAY)
    assert listed(store) == ["Order 20 dampers.", "Look."]
    with pytest.raises(RecordError, match="is on the list of March 2026 already"):
        acts.write_action(store, MARCH, acts.NewAction("Again", made_from="order damper"), DAY)


def test_every_act_is_undone_as_a_whole(store: Store) -> None:
    acts.keep_actions(store, MARCH, [FIRST, SECOND], DAY)
    number = int(store.records().actions.index[0])
    acts.write_note(store, MARCH, "Ana is away.\nFewer checks.", DAY)
    every_act = (
        lambda: acts.edit_action(store, number, {"action": "Order 20.", "assigned_to": "Ben"}),
        lambda: acts.finish_action(store, number, DAY),
        lambda: acts.drop_action(store, number, DAY, APRIL),
        lambda: acts.move_action_up(store, number + 1),
        lambda: acts.write_action(store, APRIL, acts.NewAction("Buy gloves", state="done"), DAY),
        lambda: acts.write_note(store, MARCH, "Otherwise.", DAY),
        lambda: acts.write_note(store, MARCH, "  ", DAY),
    )
    before = store.records()
    for act in every_act:
        batch = act()
        assert batch is not None
        after = store.records()
        assert not (
            after.actions.equals(before.actions) and after.review_notes.equals(before.review_notes)
        )
        store.undo(batch)
        assert_frame_equal(store.records().actions, before.actions)
        assert_frame_equal(store.records().review_notes, before.review_notes)


def test_an_action_that_somebody_else_finished_is_refused_by_name(store: Store) -> None:
    acts.keep_actions(by(store, "Olga"), MARCH, [FIRST], DAY)
    [action] = map(int, store.records().actions.index)
    noon = datetime(2026, 4, 2, 12, 30)
    acts.finish_action(by(store, "Ana", noon), action, DAY)
    with pytest.raises(acts.LoggedAlready, match="Ana wrote that down on 2026-04-02 12:30") as told:
        acts.finish_action(by(store, "Tom"), action, DAY)
    assert not told.value.may_repeat
    with pytest.raises(acts.LoggedAlready, match="Ana wrote that down"):
        acts.drop_action(by(store, "Tom"), action, DAY, MARCH)


def test_what_is_done_or_dropped_cannot_be_done_again_but_opened(store: Store) -> None:
    acts.keep_actions(store, MARCH, [FIRST, SECOND], DAY)
    first, second = map(int, store.records().actions.index)
    acts.finish_action(store, first, DAY)
    acts.drop_action(store, second, DAY, MARCH)
    with pytest.raises(RecordError, match="was done on 2026-04-02 already"):
        acts.drop_action(store, first, DAY, MARCH)
    with pytest.raises(RecordError, match="was dropped on 2026-04-02 already"):
        acts.finish_action(store, second, DAY)
    acts.reopen_action(store, first)
    assert pd.isna(store.records().actions.loc[first, "done_on"])


def test_dropping_what_was_carried_over_drops_the_same_proposal_of_that_review(
    store: Store,
) -> None:
    acts.keep_actions(store, MARCH, [FIRST], DAY)
    number = int(store.records().actions.index[0])
    batch = acts.drop_action(store, number, date(2026, 5, 2), APRIL)
    rows = store.records().actions
    assert rows["month"].tolist() == [pd.Timestamp(MARCH), pd.Timestamp(APRIL)]
    assert rows["dropped_on"].tolist() == [pd.Timestamp("2026-05-02")] * 2
    assert batch is not None
    store.undo(batch)
    assert len(store.records().actions) == 1


def test_an_action_moves_up_within_what_is_listed(store: Store) -> None:
    for words in ("a", "b", "c"):
        acts.write_action(store, MARCH, acts.NewAction(words), DAY)
    a, b, c = map(int, store.records().actions.index)
    acts.drop_action(store, b, DAY, MARCH)
    acts.move_action_up(store, c)
    assert [name for name in listed(store) if name != "b"] == ["c", "a"]
    assert acts.move_action_up(store, c) is None
    assert a != c


def test_an_action_without_words_or_said_twice_is_refused_in_a_sentence(store: Store) -> None:
    with pytest.raises(RecordError, match="has no words; write what is to be done"):
        acts.write_action(store, MARCH, acts.NewAction("  "), DAY)
    acts.write_action(store, MARCH, acts.NewAction("Buy gloves"), DAY)
    with pytest.raises(RecordError, match="“buy gloves” is on the list of March 2026 already"):
        acts.write_action(store, MARCH, acts.NewAction("buy gloves "), DAY)
    with pytest.raises(RecordError, match="has no words"):
        acts.edit_action(store, int(store.records().actions.index[0]), {"action": ""})
    acts.write_action(store, APRIL, acts.NewAction("Buy gloves"), date(2026, 5, 2))
    assert listed(store) == ["Buy gloves", "Buy gloves"]


@pytest.mark.parametrize(
    ("values", "sentence"),
    [
        ({"month": "2026-03-15"}, "month: 2026-03-15 is not the first day of a month; write "
         "2026-03-01 for March 2026."),
        ({"done_on": "2026-02-27"}, "done_on: 2026-02-27 is before month 2026-03-01"),
        ({"written_on": "2026-02-27"}, "written_on: 2026-02-27 is before month 2026-03-01"),
        ({"done_on": "2026-04-03", "dropped_on": "2026-04-04"},
         "dropped_on: 2026-04-04 is given and so is done_on 2026-04-03; an action is done or "
         "dropped, not both"),
        ({"place": 0}, "place: 0 is less than 1"),
        ({"action": ""}, "action: is empty but every row needs it"),
        ({"done_on": "2026-08-01"}, "done_on: 2026-08-01 is in the future"),
    ],
)  # fmt: skip
def test_an_action_that_cannot_be_is_refused(
    store: Store, values: dict[str, str], sentence: str
) -> None:
    sound = {"month": "2026-03-01", "action": "Look", "written_on": "2026-04-02"}
    with pytest.raises(RecordError) as refused:
        by(store, now=datetime(2026, 5, 1)).add("actions", sound | values)
    assert sentence in str(refused.value)
    assert store.records().actions.empty


def test_a_month_has_one_note(store: Store) -> None:
    values = {"month": "2026-03-01", "note": "a", "written_on": "2026-04-02"}
    store.add("review_notes", values)
    with pytest.raises(RecordError, match="stands here a second time"):
        store.add("review_notes", values | {"note": "b"})
    acts.write_note(store, MARCH, "c", DAY)
    assert store.records().review_notes["note"].tolist() == ["c"]


def test_actions_and_notes_of_several_lines_survive_a_round_trip(
    store: Store, tmp_path: Path
) -> None:
    acts.keep_actions(store, MARCH, [FIRST, Proposed('=1+1; "x", ½', "a\nb", "k")], DAY)
    acts.drop_action(store, int(store.records().actions.index[0]), DAY, MARCH)
    acts.write_note(store, MARCH, "- Ana is away.\n\n- Fewer checks; “ok”?", DAY)
    kept = store.records()
    write_folder(kept, tmp_path)
    again = read_folder(tmp_path)
    for name in ("actions", "review_notes"):
        assert_frame_equal(again.table(name).set_axis(kept.table(name).index), kept.table(name))
    report = store.load(again, "the same")
    assert sum(report.added.values()) == sum(report.completed.values()) == 0


def test_a_sheet_of_actions_with_a_wrong_month_is_refused_with_its_row(tmp_path: Path) -> None:
    text = "month,action,written_on\n2026-03-01,Look,2026-04-02\n2026-03-02,Look,2026-04-02\n"
    (tmp_path / "actions.csv").write_text(text)
    with pytest.raises(
        LoadRefused, match=r"actions\.csv row 3, month: 2026-03-02 is not the first day"
    ):
        read_folder(tmp_path)


def test_what_was_written_or_done_later_is_not_known_yet() -> None:
    records = small_workshop()
    assert records.known_at(date(2026, 2, 1)).actions.empty
    assert records.known_at(date(2026, 2, 1)).review_notes.empty
    then = records.known_at(date(2026, 2, 4))
    assert then.actions["done_on"].isna().all()
    assert records.known_at(date(2026, 2, 5)).actions["done_on"].notna().tolist() == [True, False]
    dropped = pd.DataFrame(
        {"month": ["2026-01-01"], "action": ["x"], "written_on": ["2026-02-01"],
         "dropped_on": ["2026-02-09"]}
    )  # fmt: skip
    later = Records.of({"actions": dropped})
    assert pd.isna(later.known_at(date(2026, 2, 8)).actions["dropped_on"].iloc[0])


def test_writing_an_action_leaves_the_other_tables_the_very_same(workshop: Store) -> None:
    """The page keeps a review's figures as long as the tables are the same objects."""
    before = workshop.records()
    acts.keep_actions(workshop, MARCH, [FIRST], DAY)
    acts.write_note(workshop, MARCH, "Quiet.", DAY)
    after = workshop.records()
    for table in TABLES:
        same = after.table(table.name) is before.table(table.name)
        assert same is (table.name not in ("actions", "review_notes"))
