"""Why maintenance was done, put right: one change each, undone as a whole."""

from __future__ import annotations

from datetime import datetime

import pandas as pd

from tests.hands import by
from tracker.store import acts
from tracker.store.database import Store
from tracker.workshop.vocabulary import CONFIRMED_PLANNED

NOW = datetime(2026, 9, 1, 8, 0)


def planned(workshop: Store) -> pd.DataFrame:
    log = workshop.records().maintenance
    return log[log["why"] == "planned"]


def test_entries_called_symptoms_are_one_change_and_taken_back_as_one(workshop: Store) -> None:
    before, rows = workshop.records().maintenance, [int(row) for row in planned(workshop).index]
    assert rows
    number = acts.call_symptom(by(workshop, "Ada", NOW), rows)
    assert (workshop.records().maintenance.loc[rows, "why"] == "symptom").all()
    change = workshop.changes(1)[0]
    entries = "1 entry" if len(rows) == 1 else f"{len(rows)} entries"
    assert change.what == f"Because of a symptom, not planned: {entries} of maintenance"
    workshop.undo(number or 0)
    assert workshop.records().maintenance.equals(before)


def test_the_same_work_is_not_written_down_twice(workshop: Store) -> None:
    row = planned(workshop).iloc[0]
    with by(workshop, now=NOW).change("twice") as change:
        again = {**row[["printer", "task", "done_on", "position"]], "why": "symptom"}
        change.add("maintenance", again)
    count = len(workshop.records().maintenance)
    acts.call_symptom(by(workshop, now=NOW), [int(str(row.name))])
    log = workshop.records().maintenance
    assert len(log) == count - 1
    assert int(str(row.name)) not in log.index


def test_what_was_planned_is_remembered_in_the_note_once(workshop: Store) -> None:
    row = int(planned(workshop).index[0])
    note = str(workshop.records().maintenance.loc[row, "note"])
    number = acts.confirm_planned(by(workshop, now=NOW), [row])
    told = str(workshop.records().maintenance.loc[row, "note"])
    assert told == (f"{note}; {CONFIRMED_PLANNED}" if note else CONFIRMED_PLANNED)
    acts.confirm_planned(by(workshop, now=NOW), [row])
    assert workshop.records().maintenance.loc[row, "note"] == told
    workshop.undo(number or 0)
    assert workshop.records().maintenance.loc[row, "note"] == note
