"""History loaded after set-up: it takes the place of parts that were "in there already"."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

import pandas as pd
import pytest

from tests.hands import by
from tests.store.test_loading import only
from tracker.errors import LoadRefused
from tracker.store.acts import NewPrinter, PartPosition, Removal, add_printer, change_part
from tracker.store.database import FirstDays, Store
from tracker.store.loading import earlier_first_days
from tracker.workshop.records import Records

NOW = datetime(2026, 11, 2, 9)
WIPER = PartPosition("Left", "wiper", "wiper")


def set_up(store: Store) -> None:
    """A workshop that begins its log today, with a printer of unknown parts since 2024."""
    new = NewPrinter("Left", date(2024, 1, 8), channels="C W1", usual_parts="unknown",
                     age_guess_days={"wiper": 120})  # fmt: skip
    add_printer(by(store, now=NOW), new)


def fittings(*rows: Sequence[object], **more: Sequence[object]) -> Records:
    """Wipers of Left: (fitted_on, removed_on, removal_reason), the first in row 2."""
    fitted, removed, reason = zip(*rows, strict=True)
    one = {"printer": "Left", "part_kind": "wiper", "position": "wiper"}
    frame = {name: [value] * len(rows) for name, value in one.items()}
    return only(fittings=frame | {"fitted_on": list(fitted), "removed_on": list(removed),
                                  "removal_reason": list(reason)} | {k: list(v) for k, v in
                                                                     more.items()})  # fmt: skip


def wipers(store: Store) -> list[tuple[str, str, str]]:
    """Days in and out and the reason of the wipers of Left, the oldest first."""
    rows = store.records().fittings.query("part_kind == 'wiper'")
    rows = rows.sort_values(["fitted_on", "removed_on"], na_position="first")
    days = [rows[name].dt.strftime("%Y-%m-%d").fillna("") for name in ("fitted_on", "removed_on")]
    return list(zip(*days, rows["removal_reason"], strict=True))


def placeholder(store: Store) -> int:
    return int(store.records().fittings.query("part_kind == 'wiper'").index[0])


def test_the_running_part_takes_the_place_and_number_of_the_one_in_there_already(
    store: Store,
) -> None:
    set_up(store)
    was = placeholder(store)
    history = fittings(
        ("2025-01-10", "2026-02-03", "failed"), ("2026-02-03", None, ""), supplier=["", "North"]
    )
    report = by(store, now=NOW).load(history, "wipers")
    assert (report.added, report.completed) == ({"fittings": 1}, {"fittings": 1})
    assert wipers(store) == [("2025-01-10", "2026-02-03", "failed"), ("2026-02-03", "", "")]
    now = store.records().fittings.loc[was]
    assert (now["fitted_on"], now["supplier"]) == (pd.Timestamp("2026-02-03"), "North")
    assert pd.isna(now["age_guess_days"]), "a guess of the age is no longer needed"
    assert (
        "took the place of 1 part that was in there already (Wiper blade of Left)"
        in report.sentence()
    )
    assert by(store, now=NOW).load(history, "again").batch is None
    store.undo(report.batch or 0)
    assert wipers(store) == [("", "", "")]
    assert store.records().fittings.loc[was, "age_guess_days"] == 120


def test_what_came_out_before_the_log_began_stands_before_the_part_in_there(store: Store) -> None:
    set_up(store)
    by(store, now=NOW).load(fittings(("2025-01-10", "2026-02-03", "failed")), "wipers")
    assert wipers(store) == [("", "", ""), ("2025-01-10", "2026-02-03", "failed")]
    undated = fittings((None, "2024-12-24", "failed"))
    by(store, now=NOW).load(undated, "an older one")
    assert ("", "2024-12-24", "failed") in wipers(store)
    assert ("", "", "") in wipers(store)
    assert by(store, now=NOW).load(undated, "an older one").batch is None


def test_an_end_logged_since_is_matched_by_its_day(store: Store) -> None:
    set_up(store)
    was = placeholder(store)
    change_part(
        by(store, now=datetime(2026, 11, 20, 12)),
        WIPER,
        Removal(date(2026, 11, 20), "failed", mode="edge cut"),
    )
    history = fittings(
        ("2025-01-10", "2026-02-03", "planned"), ("2026-02-03", "2026-11-20", "failed"),
        ("2026-11-20", None, ""), batch=["", "", "L7"],
    )  # fmt: skip
    later = datetime(2026, 11, 25, 9)
    report = by(store, now=later).load(history, "wipers")
    assert (report.added, report.completed) == ({"fittings": 1}, {"fittings": 2})
    record = store.records().fittings.loc[was]
    assert (record["fitted_on"], record["failure_mode"]) == (pd.Timestamp("2026-02-03"), "edge cut")
    assert wipers(store)[-1] == ("2026-11-20", "", "")
    assert by(store, now=later).load(history, "wipers").batch is None


def test_a_file_older_than_the_removal_gives_the_fitting_day_only(store: Store) -> None:
    set_up(store)
    change_part(
        by(store, now=datetime(2026, 11, 20, 12)), WIPER, Removal(date(2026, 11, 20), "planned")
    )
    by(store, now=datetime(2026, 11, 25, 9)).load(fittings(("2026-02-03", None, "")), "wipers")
    assert wipers(store) == [("2026-02-03", "2026-11-20", "planned"), ("2026-11-20", "", "")]


def test_two_different_ends_are_refused_with_both_days_and_the_mend(store: Store) -> None:
    set_up(store)
    change_part(
        by(store, now=datetime(2026, 11, 20, 12)), WIPER, Removal(date(2026, 11, 20), "failed")
    )
    told = fittings(("2026-02-03", "2026-11-18", "failed"), ("2026-11-20", None, ""))
    later = datetime(2026, 11, 25, 9)
    before = wipers(store)
    with pytest.raises(LoadRefused) as refused:
        by(store, now=later).load(told, "wipers")
    (one,) = refused.value.refusals
    assert (one.table, one.row, one.column, one.value) == (
        "fittings",
        2,
        "removed_on",
        "2026-11-18",
    )
    assert 'the part that was in there already, which says "2026-11-20"' in one.sentence()
    assert wipers(store) == before
    by(store, now=later).load(told, "wipers", on_conflict="file_wins")
    assert wipers(store)[0] == ("2026-02-03", "2026-11-18", "failed")


def test_a_change_after_set_up_ends_the_part_that_was_in_there(store: Store) -> None:
    """Of a change on a later day the sheet says nothing about the part that came out."""
    set_up(store)
    changed = fittings(("2026-11-20", None, ""))
    report = by(store, now=datetime(2026, 11, 25, 9)).load(changed, "changes")
    assert wipers(store) == [("", "2026-11-20", "unknown"), ("2026-11-20", "", "")]
    assert "Wiper blade of Left: the part that was in there already came out on 2026-11-20" in (
        report.sentence()
    )
    assert by(store, now=datetime(2026, 11, 25, 9)).load(changed, "changes").batch is None
    store.undo(report.batch or 0)
    assert wipers(store) == [("", "", "")]


def test_a_part_that_came_and_went_after_set_up_ends_the_one_that_was_in_there(
    store: Store,
) -> None:
    """One place holds one part: what was in there at set-up was out when the next went in."""
    set_up(store)
    later = datetime(2026, 11, 25, 9)
    told = fittings(("2025-01-10", "2026-02-03", "failed"), ("2026-11-10", "2026-11-20", "failed"))
    report = by(store, now=later).load(told, "wipers")
    assert wipers(store) == [
        ("", "2026-11-10", "unknown"),
        ("2025-01-10", "2026-02-03", "failed"),
        ("2026-11-10", "2026-11-20", "failed"),
    ]
    assert "in there already came out on 2026-11-10" in report.sentence()
    assert by(store, now=later).load(told, "wipers").batch is None


def test_a_part_that_was_still_in_there_when_the_logged_one_came_out_is_refused(
    store: Store,
) -> None:
    set_up(store)
    store.correct("fittings", placeholder(store), {"removed_on": "2026-11-15"})
    with pytest.raises(
        LoadRefused, match="differs from the part that was in there already"
    ) as refused:
        by(store, now=datetime(2026, 11, 25, 9)).load(
            fittings(("2026-11-10", "2026-11-20", "failed")), "wipers"
        )
    assert [refusal.row for refusal in refused.value.refusals] == [2]


def test_an_older_copy_that_still_has_the_part_as_in_there_adds_nothing(store: Store) -> None:
    store.load(
        only(
            printers={"printer": ["Left"], "started_on": ["2024-01-08"]},
            settings={"name": ["log_began_on"], "value": ["2026-11-02"]},
        ),
        "printers",
    )
    store.load(fittings(("2025-01-10", "2026-02-03", "failed"), ("2026-02-03", None, "")), "known")
    older = fittings((None, None, ""), age_guess_days=[90], supplier=["North"])
    report = store.load(older, "older copy")
    assert (report.added, report.completed) == ({"fittings": 0}, {"fittings": 1})
    assert store.records().fittings.query("removed_on.isna()")["supplier"].tolist() == ["North"]
    assert store.load(older, "older copy").batch is None


def test_the_logs_first_day_moves_earlier_where_it_is_agreed(store: Store) -> None:
    set_up(store)
    history = _every_part("2025-03-01")
    offered = earlier_first_days(store.records(), history)
    assert offered == FirstDays({}, date(2025, 6, 1))
    without = by(store, now=NOW).load(history, "all parts")
    assert store.records().log_began_on == date(2026, 11, 2), "nobody agreed to it"
    store.undo(without.batch or 0)
    report = by(store, now=NOW).load(history, "all parts", agreed=offered)
    assert store.records().log_began_on == date(2025, 6, 1)
    assert "The log's first day is now 2025-06-01 (it was 2026-11-02)." in report.notes
    store.undo(report.batch or 0)
    assert store.records().log_began_on == date(2026, 11, 2)


def test_the_file_itself_may_say_that_the_log_began_earlier(store: Store) -> None:
    set_up(store)
    told = {"name": ["log_began_on"], "value": ["2025-05-01"]}
    history = _every_part("2025-03-01").with_table("settings", only(settings=told).settings)
    report = by(store, now=NOW).load(history, "folder")
    assert report.completed["settings"] == 1
    assert store.records().log_began_on == date(2025, 5, 1)
    assert by(store, now=NOW).load(history, "folder").batch is None
    row_id = int(store.records().settings.index[0])
    store.correct("settings", row_id, {"value": "2026-11-02"})
    assert by(store, now=NOW).load(history, "folder").batch is None, "corrected here since"


def test_a_part_whose_day_is_not_known_keeps_the_logs_first_day(store: Store) -> None:
    """On the earlier day it may not have been in there: its life would look too long."""
    set_up(store)
    told = only(settings={"name": ["log_began_on"], "value": ["2025-05-01"]},
                maintenance={"printer": ["Left"], "task": ["stir_ink"], "done_on": ["2025-06-01"],
                             "why": ["planned"]})  # fmt: skip
    report = by(store, now=NOW).load(told, "folder")
    assert store.records().log_began_on == date(2026, 11, 2)
    assert "stays 2026-11-02: nobody wrote down when H1 of Left, C of Left" in report.notes[0]
    assert by(store, now=NOW).load(told, "folder").batch is None


def test_a_printers_first_day_moves_earlier_where_it_is_agreed(store: Store) -> None:
    set_up(store)
    old = fittings(("2023-05-02", "2024-02-01", "failed"))
    offered = earlier_first_days(store.records(), old)
    assert offered == FirstDays({"Left": date(2023, 5, 2)}, date(2024, 2, 1))
    with pytest.raises(LoadRefused, match="is before the printer's started_on 2024-01-08"):
        by(store, now=NOW).load(old, "old")
    report = by(store, now=NOW).load(old, "old", agreed=FirstDays(offered.printers))
    assert store.records().printers["started_on"].tolist() == [pd.Timestamp("2023-05-02")]
    assert report.notes[0].startswith("The first day of Left is now 2023-05-02 (it was 2024-01-08)")


def _every_part(fitted_on: str) -> Records:
    """A part in every place of Left since that day, and a task done on 2025-06-01."""
    places = [("head", "H1"), ("damper", "C"), ("damper", "W1"), ("wiper", "wiper"),
              ("cap", "cap"), ("pump", "pump")]  # fmt: skip
    kinds, positions = zip(*places, strict=True)
    return only(
        fittings={"printer": ["Left"] * 6, "part_kind": list(kinds), "position": list(positions),
                  "fitted_on": [fitted_on] * 6},
        maintenance={"printer": ["Left"], "task": ["stir_ink"], "done_on": ["2025-06-01"],
                     "why": ["planned"]},
    )  # fmt: skip
