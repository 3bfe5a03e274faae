"""A file that comes again after corrections on the screen neither adds nor takes back anything."""

from __future__ import annotations

import pandas as pd
import pytest

from tests.store.test_loading import only
from tests.workshop.small_workshop import small_workshop
from tracker.errors import LoadRefused
from tracker.store.database import Store


def of(store: Store, table: str, question: str) -> int:
    return int(store.records().table(table).query(question).index[0])


def test_a_corrected_day_is_not_added_again(workshop: Store) -> None:
    """The day is part of the key: without the log's help the file's row would be new."""
    shaken = of(workshop, "maintenance", "task == 'shake_dampers'")
    workshop.correct("maintenance", shaken, {"done_on": "2025-12-02"})
    before = len(workshop.records().maintenance)
    report = workshop.load(small_workshop(), "folder")
    assert (report.batch, report.corrected["maintenance"]) == (None, 1)
    assert "1 row was corrected or taken out here since; it stays so" in report.sentence()
    assert len(workshop.records().maintenance) == before
    workshop.load(small_workshop(), "folder", on_conflict="file_wins")
    assert workshop.records().maintenance.loc[shaken, "done_on"] == pd.Timestamp("2025-12-01")
    assert len(workshop.records().maintenance) == before


def test_a_corrected_value_is_not_taken_back_nor_refused(workshop: Store) -> None:
    reading = of(workshop, "counters", "area_m2 == 388.25")
    workshop.correct("counters", reading, {"area_m2": 383.25})
    fitting = of(workshop, "fittings", "position == 'W1' and removed_on.isna()")
    workshop.correct("fittings", fitting, {"supplier": ""})
    report = workshop.load(small_workshop(), "folder")
    assert report.batch is None
    assert (report.corrected["counters"], report.corrected["fittings"]) == (1, 1)
    assert workshop.records().counters.loc[reading, "area_m2"] == 383.25
    assert workshop.records().fittings.loc[fitting, "supplier"] == "", "emptied on purpose"


def test_what_was_taken_out_here_stays_out_until_the_file_is_to_win(workshop: Store) -> None:
    clean = of(workshop, "maintenance", "task == 'head_clean'")
    workshop.remove("maintenance", clean)
    report = workshop.load(small_workshop(), "folder")
    assert (report.batch, report.corrected["maintenance"]) == (None, 1)
    report = workshop.load(small_workshop(), "folder", on_conflict="file_wins")
    assert report.added["maintenance"] == 1
    assert len(workshop.records().maintenance) == 4


def test_a_row_like_a_corrected_one_is_new_where_all_of_its_kind_are_told(store: Store) -> None:
    """By hand: cleans on the 8th and 9th; the first was corrected to the 9th. A file with one on
    the 8th and two on the 9th tells one more than there are."""
    one = {"printer": ["P1", "P1"], "task": ["head_clean"] * 2, "why": ["planned"] * 2,
           "done_on": ["2026-01-08", "2026-01-09"]}  # fmt: skip
    store.load(
        only(printers={"printer": ["P1"], "started_on": ["2025-06-01"]}, maintenance=one), "a"
    )
    store.correct("maintenance", of(store, "maintenance", "done_on < '2026-01-09'"),
                  {"done_on": "2026-01-09"})  # fmt: skip
    assert store.load(only(maintenance=one), "a").batch is None
    more = {name: [*values, values[1]] for name, values in one.items()}
    report = store.load(only(maintenance=more), "b")
    assert (report.added["maintenance"], report.unchanged["maintenance"]) == (1, 2)


def test_an_undone_correction_was_never_said(workshop: Store) -> None:
    shaken = of(workshop, "maintenance", "task == 'shake_dampers'")
    wrong = workshop.correct("maintenance", shaken, {"done_on": "2025-12-03"})
    workshop.correct("maintenance", shaken, {"done_on": "2025-12-02"})
    workshop.undo(workshop.changes()[0].batch)
    workshop.undo(wrong.batch or 0)
    workshop.undo(workshop.changes()[-1].batch)
    report = workshop.load(small_workshop(), "folder")
    assert report.added["maintenance"] == 4, "the load was undone too"


def test_a_contradiction_that_nobody_corrected_here_is_still_refused(workshop: Store) -> None:
    reading = of(workshop, "counters", "area_m2 == 388.25")
    workshop.correct("counters", reading, {"area_m2": 383.25})
    other = only(counters={"printer": ["P2"], "read_on": ["2026-01-10"], "area_m2": [390]})
    with pytest.raises(LoadRefused, match=r'which says "383\.25"'):
        workshop.load(other, "other")


def test_a_reason_not_known_contradicts_no_reason(workshop: Store) -> None:
    """A sheet that only tells days of change says "unknown" of why the old part came out."""
    head = {"printer": ["P1"], "part_kind": ["head"], "position": ["H1"],
            "fitted_on": ["2025-06-01"], "removed_on": ["2026-01-10"]}  # fmt: skip
    assert (
        workshop.load(only(fittings=head | {"removal_reason": ["unknown"]}), "days").batch is None
    )
    pump = head | {"part_kind": ["pump"], "position": ["pump"]}
    workshop.load(only(fittings=pump | {"removal_reason": ["unknown"]}), "days")
    report = workshop.load(only(fittings=pump | {"removal_reason": ["planned"]}), "reasons")
    assert report.completed == {"fittings": 1}


def test_a_folder_of_fittings_alone_is_judged_beside_the_database(workshop: Store) -> None:
    wiper = {"printer": ["P1"], "part_kind": ["wiper"], "position": ["wiper"],
             "fitted_on": ["2025-07-01"]}  # fmt: skip
    assert workshop.load(only(fittings=wiper), "wipers").added == {"fittings": 1}
    with pytest.raises(LoadRefused, match='"P9" is not in the list of printers'):
        workshop.load(only(fittings=wiper | {"printer": ["P9"]}), "wipers")
    early = wiper | {"part_kind": ["pump"], "position": ["pump"], "fitted_on": ["2025-05-01"]}
    with pytest.raises(LoadRefused, match="is before the printer's started_on 2025-06-01"):
        workshop.load(only(fittings=early), "pumps")


def test_a_stoppage_while_the_printer_still_stands_is_refused_in_a_later_file(
    workshop: Store,
) -> None:
    again = only(stoppages={"printer": ["P2"], "began_at": ["2026-02-03T09:00"]})
    with pytest.raises(LoadRefused, match="P2 still stands since 2026-02-01T13:00:30") as refused:
        workshop.load(again, "stoppages")
    assert "write when that stoppage ended" in str(refused.value)
