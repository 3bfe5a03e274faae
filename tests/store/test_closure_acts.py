"""Closed days and the workshop's own figures: one change each, undone as a whole."""

from __future__ import annotations

from datetime import date, datetime

import pytest

from tests.hands import by
from tracker.errors import RecordError
from tracker.store import acts
from tracker.store.database import Store

NOW = datetime(2026, 9, 1, 8, 0)
AUGUST = acts.Closure(date(2026, 8, 3), date(2026, 8, 14), note="holiday")


def test_closed_days_are_written_changed_and_taken_back(workshop: Store) -> None:
    before = workshop.records().closures
    number = acts.write_closure(by(workshop, now=NOW), AUGUST)
    row_id = int(workshop.records().closures.index[-1])
    longer = acts.Closure(date(2026, 8, 3), date(2026, 8, 21))
    changed = acts.change_closure(by(workshop, now=NOW), row_id, longer)
    assert str(workshop.records().closures["ended_on"].iloc[-1].date()) == "2026-08-21"
    workshop.undo(changed or 0)
    assert str(workshop.records().closures["ended_on"].iloc[-1].date()) == "2026-08-14"
    workshop.undo(number or 0)
    assert workshop.records().closures.equals(before)


def test_closed_days_may_lie_ahead(workshop: Store) -> None:
    acts.write_closure(by(workshop, now=NOW), acts.Closure(date(2026, 12, 24), date(2027, 1, 3)))
    assert str(workshop.records().closures["began_on"].max().date()) == "2026-12-24"
    last = workshop.records().last_day()
    assert last is not None
    assert last < date(2026, 12, 24)


def test_an_end_before_the_beginning_is_refused_in_one_sentence(workshop: Store) -> None:
    with pytest.raises(RecordError, match=r"ended_on.*is before began_on"):
        acts.write_closure(by(workshop, now=NOW), acts.Closure(date(2026, 8, 14), date(2026, 8, 3)))


def test_stretches_worked_are_added_to_those_before_and_taken_back(workshop: Store) -> None:
    acts.worked_through(by(workshop, now=NOW), date(2026, 5, 1), date(2026, 5, 9))
    number = acts.worked_through(by(workshop, now=NOW), date(2026, 8, 3), date(2026, 8, 14))
    both = "2026-05-01/2026-05-09 2026-08-03/2026-08-14"
    assert workshop.records().setting("worked_through") == both
    workshop.undo(number or 0)
    assert workshop.records().setting("worked_through") == "2026-05-01/2026-05-09"


def test_days_closed_again_are_written_for_each_they_held_for_and_taken_back_at_once(
    workshop: Store,
) -> None:
    before = workshop.records().closures
    whom = [("", ""), ("", "North Parts")]
    again = [
        acts.Closure(date(2026, 12, 21), date(2027, 1, 1), site=site, supplier=supplier)
        for site, supplier in whom
    ]
    number = acts.write_closure(by(workshop, now=NOW), *again)
    added = workshop.records().closures.iloc[len(before) :]
    assert list(zip(added["site"], added["supplier"], strict=True)) == whom
    workshop.undo(number or 0)
    assert workshop.records().closures.equals(before)


def test_days_that_stay_open_are_remembered(workshop: Store) -> None:
    number = acts.open_again(by(workshop, now=NOW), date(2026, 12, 21), date(2027, 1, 1))
    assert workshop.records().setting("open_again") == "2026-12-21/2027-01-01"
    workshop.undo(number or 0)
    assert workshop.records().setting("open_again") == ""


@pytest.mark.parametrize("name", ["worked_through", "open_again"])
def test_a_stretch_that_cannot_be_read_is_refused(workshop: Store, name: str) -> None:
    with pytest.raises(RecordError, match="write first and last day as 2026-08-03/2026-08-14"):
        by(workshop, now=NOW).add("settings", {"name": name, "value": "August"})


def test_figures_of_a_part_and_settings_go_in_together_and_come_back_together(
    workshop: Store,
) -> None:
    before = workshop.records()
    number = acts.state_figures(
        by(workshop, now=NOW),
        "roller",
        {"hours_to_change": 1.5, "refill_ml": None},
        {"taken_over_share": "0.25"},
    )
    after = workshop.records()
    assert after.part_facts("roller").hours_to_change == 1.5
    assert "refill_ml" in after.part_facts("roller").guessed
    assert after.number("taken_over_share") == 0.25
    workshop.undo(number or 0)
    assert workshop.records().parts.equals(before.parts)
    assert workshop.records().settings.equals(before.settings)


def test_figures_that_say_nothing_new_are_no_change(workshop: Store) -> None:
    assert (
        acts.state_figures(by(workshop, now=NOW), "roller", {"hours_to_change": None}, {}) is None
    )


def test_a_suppliers_closed_days_are_written_changed_and_taken_back(workshop: Store) -> None:
    before = workshop.records().closures
    shut = acts.Closure(date(2027, 2, 5), date(2027, 2, 26), supplier="Quay Printheads")
    number = acts.write_closure(by(workshop, now=NOW), shut)
    row = workshop.records().closures.iloc[-1]
    assert (row["supplier"], row["printer"], row["site"]) == ("Quay Printheads", "", "")
    assert "Quay Printheads" in workshop.changes()[0].what
    acts.change_closure(by(workshop, now=NOW), int(str(row.name)), AUGUST)
    assert workshop.records().closures.iloc[-1]["supplier"] == ""
    workshop.undo((number or 0) + 1)
    workshop.undo(number or 0)
    assert workshop.records().closures.equals(before)
