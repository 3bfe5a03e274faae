"""A workshop begins: one change with its printers, parts, prices and routine, undone as a whole."""

from __future__ import annotations

from datetime import date, datetime

import pandas as pd
import pytest

from tests.hands import by
from tracker.decisions.due import due_list
from tracker.errors import RecordError
from tracker.store import acts
from tracker.store.database import Store
from tracker.workshop.first_run.routine import FirstTask
from tracker.workshop.variants import PartType

TODAY = date(2026, 10, 31)
NOW = datetime(2026, 10, 31, 9, 0)
HEAD = PartType("head", "six-channel head")


def printer(name: str, **said: object) -> acts.NewPrinter:
    first = {
        "channels": "C M Y K W1 W2", "head_type": "six-channel head", "usual_parts": "unknown",
        "age_guess_days": {"head": 365.0, "damper": 0.0},
    }  # fmt: skip
    return acts.NewPrinter(name, TODAY, **{**first, **said})  # type: ignore[arg-type]


def first_records() -> acts.FirstRecords:
    return acts.FirstRecords(
        printers=[printer("Left"), printer("Right")],
        figures={HEAD: {"unit_cost": 480.0}, PartType("damper"): {"lead_days": 5.0}},
        currency="USD",
        routine=[
            FirstTask("stir_ink", 1, "Today"),
            FirstTask("shake_dampers", 14, "This week"),
            FirstTask("flush_in_place", 30),
        ],
    )


def begin(store: Store, first: acts.FirstRecords) -> int | None:
    return acts.begin_workshop(by(store, "Ada", NOW), first, TODAY)


def test_everything_goes_in_as_one_change_and_out_again_as_one(store: Store) -> None:
    number = begin(store, first_records())
    records = store.records()
    assert records.printers["printer"].tolist() == ["Left", "Right"]
    assert len(records.fittings) == 2 * (1 + 6 + 3)
    assert records.part_facts(*HEAD).unit_cost == 480
    assert records.part_facts("damper").lead_days == 5
    assert records.setting("currency") == "USD"
    assert records.log_began_on == TODAY
    assert len(store.changes(10)) == 1

    assert number is not None
    store.undo(number)
    after = store.records()
    assert after.is_empty
    assert all(after.table(name).empty for name in ("parts", "routines", "settings", "maintenance"))


def test_parts_carry_the_age_that_was_guessed_and_new_ones_their_day(store: Store) -> None:
    begin(store, first_records())
    fittings = store.records().fittings
    head = fittings[fittings["part_kind"] == "head"]
    assert head["age_guess_days"].tolist() == [365, 365]
    assert head["fitted_on"].isna().all()
    dampers = fittings[fittings["part_kind"] == "damper"]
    assert (dampers["fitted_on"] == pd.Timestamp(TODAY)).all()
    pumps = fittings[fittings["part_kind"] == "pump"]
    assert pumps["fitted_on"].isna().all()
    assert pumps["age_guess_days"].isna().all()


def test_a_printer_with_two_heads_has_two_positions_for_them(store: Store) -> None:
    two = printer("Left", heads=2, channels="C M Y K W1 W2 W3 W4", head_type="four-channel head")
    begin(store, acts.FirstRecords([two]))
    heads = store.records().fittings.query("part_kind == 'head'")
    assert heads["position"].tolist() == ["H1", "H2"]


def test_what_was_done_today_is_in_the_log_and_nothing_else_is_invented(store: Store) -> None:
    begin(store, first_records())
    done = store.records().maintenance
    assert sorted(done["printer"]) == ["Left", "Right"]
    assert set(done["task"]) == {"stir_ink"}
    assert (done["done_on"] == pd.Timestamp(TODAY)).all()
    assert set(done["why"]) == {"planned"}


def test_each_task_is_due_an_interval_after_it_was_done_as_far_as_that_is_known(
    store: Store,
) -> None:
    begin(store, first_records())
    starts = store.records().routines.set_index("task")["starts_on"]
    # Shaken 1 to 7 days ago, so 4: due in 10. Flushed nobody knows when: half of 30 days.
    assert starts["shake_dampers"] == pd.Timestamp(2026, 11, 10)
    assert starts["flush_in_place"] == pd.Timestamp(2026, 11, 15)
    for day, due in (
        (date(2026, 10, 31), set()),
        (date(2026, 11, 1), {"stir_ink"}),
        (date(2026, 11, 10), {"stir_ink", "shake_dampers"}),
        (date(2026, 11, 15), {"stir_ink", "shake_dampers", "flush_in_place"}),
    ):
        listed = due_list(store.records(), day)
        assert set(listed.loc[listed["days_late"] >= 0, "task"]) == due, day


def test_a_task_that_is_in_the_log_is_due_by_its_last_day_there(store: Store) -> None:
    acts.add_printer(by(store, now=NOW), printer("Left"))
    acts.log_tasks(by(store, now=NOW), "Left", ["flush_in_place"], date(2026, 9, 20))
    acts.begin_routine(by(store, now=NOW), [FirstTask("flush_in_place", 30)], TODAY)
    listed = due_list(store.records(), TODAY)
    assert listed["task"].tolist() == ["flush_in_place"]
    assert listed["days_late"].tolist() == [0], "due on the first day of its routine"


@pytest.mark.parametrize(
    ("printers", "told"),
    [
        ([], "No printer is named"),
        (["Left", "Left"], "There is a printer Left already"),
        ([" "], "has no name"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(
    store: Store, printers: list[str], told: str
) -> None:
    with pytest.raises(RecordError, match=told):
        begin(store, acts.FirstRecords([printer(name) for name in printers]))
    assert store.records().is_empty
    assert store.records().settings.empty


def test_a_workshop_begins_once(store: Store) -> None:
    begin(store, first_records())
    with pytest.raises(RecordError, match="has printers already"):
        begin(store, acts.FirstRecords([printer("Third")]))
    assert len(store.records().printers) == 2
