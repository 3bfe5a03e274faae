"""What cannot be true is refused in one sentence; what can be true passes."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest

from tracker.workshop.checks import Refusal, failed_before_log, notices, refusals
from tracker.workshop.records import Records


def frame(*rows: dict[str, object], start: int = 2) -> pd.DataFrame:
    return pd.DataFrame(list(rows), index=range(start, start + len(rows)))


def workshop(**tables: pd.DataFrame) -> Records:
    printers = frame(
        {"printer": "P1", "started_on": "2025-01-01", "channels": "C M Y K W1 W2"},
        {"printer": "P2", "started_on": "2025-06-01", "retired_on": "2026-06-01"},
    )
    return Records.of({"printers": printers, **tables})


def fitting(fitted: str | None, removed: str | None = None, **more: object) -> dict[str, object]:
    reason = {"removal_reason": "failed"} if removed else {}
    return {
        "printer": "P1",
        "part_kind": "damper",
        "position": "W1",
        "fitted_on": fitted,
        "removed_on": removed,
        **reason,
        **more,
    }


def only_one(records: Records, today: date | None = None) -> Refusal:
    found = refusals(records, today=today)
    assert len(found) == 1, [refusal.sentence() for refusal in found]
    return found[0]


def test_a_workshop_without_mistakes_is_not_refused() -> None:
    records = workshop(
        fittings=frame(
            fitting(None, "2025-03-01"),
            fitting("2025-03-01", "2025-08-01", last_ok_on="2025-07-30"),
            fitting("2025-08-01"),
        ),
        counters=frame(
            {"printer": "P1", "read_on": "2025-02-01", "area_m2": 10},
            {"printer": "P1", "read_on": "2025-03-01", "area_m2": 10},
            {"printer": "P2", "read_on": "2025-07-01", "area_m2": 3},
        ),
    )
    assert refusals(records, today=date(2026, 10, 1)) == []


def test_an_empty_workshop_is_not_refused_and_raises_no_notice() -> None:
    assert refusals(Records()) == []
    assert notices(Records()) == []


def test_removed_before_fitted_is_told_in_the_words_of_the_trade() -> None:
    found = only_one(workshop(fittings=frame(fitting("2026-04-02", "2026-03-01"))))
    assert found.sentence() == (
        "fittings row 2, removed_on: 2026-03-01 is before fitted_on 2026-04-02; "
        "swap or correct them."
    )


def test_two_parts_in_one_position_are_refused_on_the_later_row() -> None:
    found = only_one(
        workshop(fittings=frame(fitting("2025-03-01"), fitting("2025-05-01", "2025-08-01")))
    )
    assert (found.row, found.column) == (3, "fitted_on")
    assert "W1 of P1 still holds the part fitted 2025-03-01 (row 2)" in found.problem
    assert found.mend == "write that part's removed_on, or correct the position"


def test_the_part_that_covers_a_whole_later_life_is_found_behind_a_short_one() -> None:
    records = workshop(
        fittings=frame(
            fitting("2025-03-01", "2026-01-01"),
            fitting("2025-04-01", "2025-05-01"),
            fitting("2025-06-01", "2025-07-01"),
        )
    )
    assert [refusal.row for refusal in refusals(records)] == [3, 4]
    assert all("(row 2)" in refusal.problem for refusal in refusals(records))


def test_a_handover_on_one_day_and_a_part_that_failed_on_its_first_day_are_fine() -> None:
    records = workshop(
        fittings=frame(
            fitting("2025-03-01", "2025-05-01"),
            fitting("2025-05-01", "2025-05-01"),
            fitting("2025-05-01", "2025-05-01"),
            fitting("2025-05-01", "2025-06-01"),
        )
    )
    assert refusals(records) == []


def test_a_part_of_no_days_inside_the_time_of_another_is_refused() -> None:
    records = workshop(
        fittings=frame(fitting("2025-03-01", "2025-05-01"), fitting("2025-04-01", "2025-04-01"))
    )
    assert only_one(records).row == 3


def test_two_parts_in_before_the_log_began_share_a_position_only_once() -> None:
    records = workshop(fittings=frame(fitting(None, "2025-05-01"), fitting(None, "2025-08-01")))
    found = only_one(records)
    assert found.column == "fitted_on"
    assert found.sentence().startswith("fittings row 3, fitted_on: is empty (in before the log")


def test_the_same_position_of_another_kind_or_printer_is_another_place() -> None:
    records = workshop(
        fittings=frame(
            fitting("2025-07-01"),
            fitting("2025-07-01", part_kind="line"),
            fitting("2025-07-01", printer="P2"),
        )
    )
    assert refusals(records) == []


@pytest.mark.parametrize(
    ("last_ok", "problem"),
    [
        ("2025-02-01", "is before fitted_on 2025-03-01"),
        ("2025-06-01", "is after removed_on 2025-05-01"),
    ],
)
def test_the_last_good_day_lies_within_the_life(last_ok: str, problem: str) -> None:
    found = only_one(
        workshop(fittings=frame(fitting("2025-03-01", "2025-05-01", last_ok_on=last_ok)))
    )
    assert (found.column, found.problem) == ("last_ok_on", problem)


def test_a_reason_without_a_removal_day_is_refused_and_the_other_way_round_is_a_notice() -> None:
    found = only_one(workshop(fittings=frame(fitting("2025-03-01", removal_reason="failed"))))
    assert found.column == "removal_reason"
    assert "write the day it came out in removed_on" in found.mend

    records = workshop(fittings=frame(fitting("2025-03-01", "2025-05-01", removal_reason="")))
    assert refusals(records) == []
    assert any("without a removal_reason" in notice for notice in notices(records))


def test_a_day_that_has_not_come_yet_is_refused_only_when_today_is_known() -> None:
    records = workshop(fittings=frame(fitting("2025-03-01", "2026-05-01")))
    assert refusals(records) == []
    assert refusals(records, today=date(2026, 5, 1)) == []
    found = only_one(records, today=date(2026, 4, 30))
    assert found.problem == "is in the future (today is 2026-04-30)"


def test_promised_and_use_by_days_may_lie_ahead() -> None:
    records = workshop(
        orders=frame(
            {
                "part_kind": "head",
                "quantity": 1,
                "ordered_on": "2026-01-01",
                "expected_on": "2026-03-01",
            }
        ),
        stock=frame(
            {
                "part_kind": "cap",
                "moved_on": "2026-01-01",
                "quantity": 1,
                "best_before": "2027-01-01",
            }
        ),
        routines=frame({"task": "shake_dampers", "every_days": 15, "starts_on": "2026-06-01"}),
    )
    assert refusals(records, today=date(2026, 1, 2)) == []


def test_a_printer_nobody_listed_is_refused_with_the_likely_name() -> None:
    found = only_one(workshop(fittings=frame(fitting("2025-03-01", printer="p1"))))
    assert (found.column, found.value, found.mend) == ("printer", "p1", "did you mean P1?")


def test_a_part_fitted_before_the_printer_came_is_refused_and_after_it_went_too() -> None:
    before = only_one(workshop(fittings=frame(fitting("2024-12-31"))))
    assert before.problem == "is before the printer's started_on 2025-01-01"
    assert "leave fitted_on empty" in before.mend
    after = only_one(workshop(fittings=frame(fitting("2026-06-02", printer="P2"))))
    assert after.problem == "is after the printer's retired_on 2026-06-01"


def test_a_printers_first_day_moved_past_a_fitting_is_refused_on_the_printer() -> None:
    records = workshop(fittings=frame(fitting("2024-12-31")))
    found = refusals(records, only={"printers": pd.Index([2])})
    assert [(refusal.table, refusal.column) for refusal in found] == [("printers", "started_on")]
    assert found[0].problem == "is after a part was fitted in it on 2024-12-31"


def test_a_printer_renamed_under_its_rows_is_refused() -> None:
    records = workshop(counters=frame({"printer": "P9", "read_on": "2026-01-01", "area_m2": 1}))
    assert refusals(records, only={"fittings": pd.Index([])}) == []
    found = refusals(records, only={"printers": pd.Index([3])})
    assert [(refusal.table, refusal.value) for refusal in found] == [("counters", "P9")]


def test_a_lost_digit_in_a_counter_is_refused_where_it_stands() -> None:
    readings = [100, 110, 12, 130]
    days = ["2025-02-01", "2025-03-01", "2025-04-01", "2025-05-01"]
    records = workshop(
        counters=pd.DataFrame({"printer": "P1", "read_on": days, "area_m2": readings})
    )
    found = only_one(records)
    assert (found.row, found.value) == (2, "12")
    assert found.problem == "is below the earlier reading 110 of 2025-03-01"
    assert "write 122 and go on from there" in found.mend


def test_a_digit_too_many_in_a_counter_is_refused_where_it_stands() -> None:
    records = workshop(
        counters=pd.DataFrame(
            {
                "printer": "P1",
                "read_on": ["2025-02-01", "2025-03-01", "2025-04-01", "2025-05-01"],
                "area_m2": [100, 1100, 120, 130],
            }
        )
    )
    found = only_one(records)
    assert (found.row, found.value) == (1, "1100")
    assert found.problem == "is above the later reading 120 of 2025-04-01"


def test_two_different_readings_of_one_day_are_refused_and_the_same_twice_is_not() -> None:
    rows = [{"printer": "P1", "read_on": "2025-02-01", "area_m2": area} for area in (7, 7, 8)]
    assert refusals(workshop(counters=frame(*rows[:2]))) == []
    found = only_one(workshop(counters=frame(*rows)))
    assert found.row == 4
    assert "is the second reading of 2025-02-01" in found.problem


@pytest.mark.parametrize(
    ("table", "row", "column", "problem", "mend"),
    [
        (
            "maintenance",
            {"task": "shake_dampers", "done_on": "2026-01-02", "why": "planned", "minutes": -5},
            "minutes",
            "is below zero",
            "write it without the minus sign, or correct it",
        ),
        (
            "maintenance",
            {"task": "shake_dampers", "done_on": "2026-01-02", "why": "planed"},
            "why",
            "is not a known word for “why”",
            "did you mean planned?",
        ),
        (
            "maintenance",
            {"task": "shake_damper", "done_on": "2026-01-02", "why": "planned"},
            "task",
            "is not a known word for “task”",
            "did you mean shake_dampers? If it is one of its own, list it in “routines” beside "
            "shake_dampers.",
        ),
        (
            "maintenance",
            {"task": "shake_dampers", "done_on": None, "why": "planned"},
            "done_on",
            "is empty but every row needs it",
            "fill it in (day it was done)",
        ),
        (
            "parts",
            {"part_kind": "pump", "lead_days": 20_000},
            "lead_days",
            "is more than 1825 days",
            "write at most 1825 days",
        ),
        (
            "conditions",
            {"noted_on": "2026-01-02", "humidity_percent": 140},
            "humidity_percent",
            "is more than 100 % RH",
            "write at most 100 % RH",
        ),
        (
            "nozzle_checks",
            {
                "checked_on": "2026-01-02",
                "position": "H1",
                "channel": "K",
                "missing_nozzles": 2.5,
            },
            "missing_nozzles",
            "is not a whole number",
            "write whole pieces, e.g. 3",
        ),
        (
            "stoppages",
            {"began_at": "2026-01-02T10:00", "ended_at": "2026-01-02T09:00"},
            "ended_at",
            "is before began_at 2026-01-02T10:00",
            "swap or correct them",
        ),
        (
            "counters",
            {"read_on": "1925-01-02", "area_m2": 4},
            "read_on",
            "is before 1990",
            "correct the year",
        ),
        (
            "orders",
            {
                "part_kind": "head",
                "quantity": 1,
                "ordered_on": "2026-03-01",
                "received_on": "2026-02-01",
            },
            "received_on",
            "is before ordered_on 2026-03-01",
            "swap or correct them",
        ),
        (
            "stock",
            {"part_kind": "head", "quantity": 2, "moved_on": "2026-03-01", "reason": "used"},
            "quantity",
            "is positive but the reason is used",
            "pieces that leave the shelf have a minus: write -2",
        ),
        (
            "parts",
            {"part_kind": "head", "lead_days": 20, "lead_days_late": 10},
            "lead_days_late",
            "is less than lead_days 20",
            "it is the time by which nine in ten deliveries arrive; write at least lead_days",
        ),
        (
            "parts",
            {"part_kind": "damper", "replaced_with": "haed"},
            "replaced_with",
            "is not a known word for “part_kind”",
            "did you mean head?",
        ),
        (
            "parts",
            {"part_kind": "head", "replaced_with": "damper"},
            "replaced_with",
            "goes round in a circle (head → damper → head)",
            "leave it empty for one of them",
        ),
        (
            "routines",
            {"task": "shake_dampers", "printer": ""},
            "every_days",
            "is empty and so is every_m2",
            "write how many days or how many m² lie between two times",
        ),
        (
            "closures",
            {"began_on": "2026-08-14", "ended_on": "2026-08-03"},
            "ended_on",
            "is before began_on 2026-08-14",
            "swap or correct them",
        ),
        (
            "closures",
            {"printer": "P 1", "began_on": "2026-08-03", "ended_on": "2026-08-14"},
            "printer",
            "is not in the list of printers",
            "did you mean P1?",
        ),
        (
            "closures",
            {"printer": "", "site": "Hall", "began_on": "2026-08-03", "ended_on": "2026-08-14"},
            "site",
            "is not the site of any printer",
            "leave it empty for the whole workshop",
        ),
        (
            "fittings",
            fitting("2025-03-01", claim="sent"),
            "claim",
            "is given but removed_on is empty",
            "write the day it came out in removed_on, or clear claim if it is still in",
        ),
        (
            "fittings",
            fitting("2025-03-01", "2025-04-01", claim_amount=90),
            "claim_amount",
            "is given but “claim” is empty",
            "write one of sent, credited, refused in “claim”, or clear the amount",
        ),
        (
            "fittings",
            fitting("2025-03-01", "2025-04-01", claim="credited", claim_amount=-90),
            "claim_amount",
            "is below zero",
            "write it without the minus sign, or correct it",
        ),
        (
            "fittings",
            fitting("2025-03-01", age_guess_days=120),
            "age_guess_days",
            "is given and so is fitted_on 2025-03-01",
            "an age is guessed only where the fitting day is not known: clear one of them",
        ),
        (
            "settings",
            {"name": "taken_over_share", "value": "50"},
            "value",
            "is not between 0 and 1 (taken_over_share)",
            "correct it",
        ),
        (
            "settings",
            {"name": "service_level", "value": "95"},
            "value",
            "is not between 0 and 1 (service_level)",
            "write 0.95 for 95 %",
        ),
        (
            "settings",
            {"name": "labour_per_hour", "value": "cheap"},
            "value",
            "is not a number (labour_per_hour)",
            "write one, e.g. 25",
        ),
        (
            "settings",
            {"name": "log_began_on", "value": "spring"},
            "value",
            "is not a day (log_began_on)",
            "write it as 2024-03-01",
        ),
        (
            "settings",
            {"name": "servicelevel", "value": "0.9"},
            "name",
            "is not a known setting",
            "did you mean service_level?",
        ),
    ],
)
def test_each_impossible_row_is_refused_with_its_mend(
    table: str, row: dict[str, object], column: str, problem: str, mend: str
) -> None:
    found = only_one(workshop(**{table: frame({"printer": "P1", **row})}))
    assert (found.table, found.row, found.column) == (table, 2, column)
    assert (found.problem, found.mend) == (problem, mend)


def test_a_key_that_must_stand_once_is_refused_the_second_time() -> None:
    twice = frame(
        {"part_kind": "head", "unit_cost": 500},
        {"part_kind": "cap"},
        {"part_kind": "head", "unit_cost": 510},
    )
    found = only_one(workshop(parts=twice))
    assert (found.row, found.column) == (4, "part_kind")
    assert found.problem == "stands here a second time (first in row 2)"
    # When an old row was touched so that it doubles another, the touched one is refused.
    touched = refusals(workshop(parts=twice), only={"parts": pd.Index([2])})
    assert [refusal.row for refusal in touched] == [2]


def test_the_catalogue_may_hold_a_line_for_each_type_of_a_kind() -> None:
    lines = frame(
        {"part_kind": "head", "variant": "six-channel head", "unit_cost": 500},
        {"part_kind": "head", "variant": "eight-channel head", "unit_cost": 700},
        {"part_kind": "head", "variant": "", "lead_days": 20},
    )
    assert refusals(workshop(parts=lines)) == []
    found = only_one(workshop(parts=pd.concat([lines, lines[:1]], ignore_index=True)))
    assert found.problem.startswith("stands here a second time")


def test_a_word_like_a_known_kind_is_refused_and_a_word_like_none_is_the_workshops_own() -> None:
    found = only_one(workshop(fittings=frame(fitting("2025-03-01", part_kind="dampr"))))
    assert found.mend.startswith("did you mean damper?")
    own = workshop(fittings=frame(fitting("2025-03-01", part_kind="heating_bed")))
    assert refusals(own) == []
    assert any('"heating_bed" is a part kind of your own' in notice for notice in notices(own))


def test_a_kind_listed_beside_the_one_it_resembles_is_meant() -> None:
    records = workshop(
        fittings=frame(fitting("2025-03-01", part_kind="liner")),
        parts=frame({"part_kind": "line"}, {"part_kind": "liner"}),
    )
    assert refusals(records) == []


def test_a_kind_in_use_before_the_change_is_known_to_the_change() -> None:
    records = workshop(
        fittings=frame(
            fitting("2025-03-01", part_kind="heating_bed"),
            fitting("2025-03-01", part_kind="heating_bd", position="x"),
        )
    )
    found = refusals(records, only={"fittings": pd.Index([3])})
    assert found[0].mend.startswith("did you mean heating_bed?")


def test_only_the_rows_of_the_change_are_refused() -> None:
    records = workshop(
        fittings=frame(fitting("2026-04-02", "2026-03-01"), fitting("2025-09-01", "2025-08-01"))
    )
    found = refusals(records, only={"fittings": pd.Index([3])})
    assert [refusal.row for refusal in found] == [3]
    assert refusals(records, only={"counters": pd.Index([1])}) == []


def test_an_overlap_is_refused_on_the_row_that_was_touched() -> None:
    records = workshop(
        fittings=frame(fitting("2025-03-01", "2025-09-01"), fitting("2025-05-01", "2025-10-01"))
    )
    found = refusals(records, only={"fittings": pd.Index([2])})
    assert [(refusal.row, refusal.column) for refusal in found] == [(2, "removed_on")]
    assert "falls while W1 of P1 holds the part fitted 2025-05-01 (row 3)" in found[0].problem


def test_overlaps_found_are_those_a_plain_comparison_of_all_pairs_finds() -> None:
    rng = np.random.default_rng(7)
    for _ in range(60):
        count = 8
        start = rng.integers(0, 40, count)
        end = start + rng.integers(0, 12, count)
        days = pd.Timestamp("2025-02-01") + pd.to_timedelta(np.r_[start, end], unit="D")
        rows = [
            fitting(str(days[at].date()), str(days[count + at].date()), position=f"W{at % 2}")
            for at in range(count)
        ]
        found = {refusal.row for refusal in refusals(workshop(fittings=frame(*rows)))}
        in_order = sorted(range(count), key=lambda at: (start[at], end[at], at))
        expected = set()
        for place, later in enumerate(in_order):
            for earlier in in_order[:place]:
                if later % 2 == earlier % 2 and start[later] < end[earlier]:
                    expected.add(later + 2)
        assert found == expected


def test_every_refusal_is_one_sentence() -> None:
    records = workshop(
        fittings=frame(fitting("2026-04-02", "2026-03-01", printer="", part_kind="heads"))
    )
    for refusal in refusals(records):
        text = refusal.sentence()
        assert text.startswith("fittings row 2, ")
        assert text.endswith((".", "?"))
        assert "\n" not in text


def test_parts_fitted_before_the_first_entry_raise_a_notice_until_the_log_has_a_beginning() -> None:
    tables = {
        "fittings": frame(fitting("2025-02-01"), fitting("2025-09-01", position="W2")),
        "counters": frame({"printer": "P1", "read_on": "2025-09-01", "area_m2": 3}),
    }
    told = [notice for notice in notices(workshop(**tables)) if "log_began_on" in notice]
    assert len(told) == 1
    assert told[0].startswith("fittings row 2: fitted before the first entry of the log (2025-09")
    settings = frame({"name": "log_began_on", "value": "2025-09-01"})
    assert notices(workshop(**tables, settings=settings)) == []


def two_sites(**tables: pd.DataFrame) -> Records:
    printers = frame(
        {"printer": "P1", "started_on": "2025-01-01", "site": "Hall", "head_type": "six-channel"},
        {"printer": "P2", "started_on": "2025-01-01", "site": "Loft", "head_type": "six-channel"},
    )
    return Records.of({"printers": printers, **tables})


def closed(**where: object) -> pd.DataFrame:
    return frame({"began_on": "2026-08-03", "ended_on": "2026-08-14", **where})


def test_days_may_be_closed_ahead_for_the_workshop_a_site_or_a_printer() -> None:
    for where in ({}, {"site": "Hall"}, {"printer": "P2"}, {"printer": "P2", "site": "Loft"}):
        assert refusals(two_sites(closures=closed(**where)), today=date(2026, 6, 1)) == []


def test_a_site_nearly_spelt_is_asked_about_and_a_wrong_one_is_told_which_there_are() -> None:
    assert only_one(two_sites(closures=closed(site="hal"))).mend == "did you mean Hall?"
    assert only_one(two_sites(closures=closed(site="Cellar"))).mend == (
        "write one of Hall, Loft, or leave it empty for the whole workshop"
    )


def test_a_printer_is_not_closed_at_a_site_where_it_does_not_stand() -> None:
    found = only_one(two_sites(closures=closed(printer="P2", site="Hall")))
    assert found.problem == "is not where P2 stands"
    assert found.mend == "write Loft, or leave the printer empty"


def test_a_suppliers_closed_days_are_no_sites_or_printers() -> None:
    assert refusals(two_sites(closures=closed(supplier="North")), today=date(2026, 6, 1)) == []
    for where in ({"site": "Hall"}, {"printer": "P2"}):
        found = only_one(two_sites(closures=closed(supplier="North", **where)))
        assert (found.column, found.problem, found.mend) == (
            "supplier", "is a supplier's, and closes no site or printer", "write a row for each",
        )  # fmt: skip


def test_closed_days_of_who_sold_nothing_are_told() -> None:
    order = {"part_kind": "head", "quantity": 1, "ordered_on": "2026-01-05"}
    bought = frame({**order, "supplier": "Quay Printheads"})

    def told(name: str) -> list[str]:
        found = notices(two_sites(orders=bought, closures=closed(supplier=name)))
        return [sentence for sentence in found if "nothing was bought" in sentence]

    assert told("Quay Printheads") == []
    assert told("Quay Printhead") == [
        "closures row 2: nothing was bought from “Quay Printhead”; did you mean Quay Printheads?"
    ]
    assert told("Elsewhere") == [
        "closures row 2: nothing was bought from “Elsewhere”; its closed days change nothing until "
        "something is."
    ]


def test_a_spare_of_a_type_that_no_printer_has_is_told() -> None:
    stock = {"part_kind": "head", "moved_on": "2026-01-05", "quantity": 1, "reason": "counted"}
    records = two_sites(
        stock=frame({**stock, "variant": "eight-channel"}, {**stock, "variant": "six-channel"})
    )
    assert notices(records) == [
        'stock row 2: no printer has any printhead of the type "eight-channel" (those in use are '
        "six-channel); it counts as a spare for none of them."
    ]


def test_failures_before_the_log_s_first_day_are_told_with_the_way_to_count_them() -> None:
    settings = frame({"name": "log_began_on", "value": "2025-09-01"})
    early = workshop(fittings=frame(fitting("2025-02-01", "2025-05-01")), settings=settings)
    assert notices(early) == []
    left_out = failed_before_log(early)
    assert left_out is not None
    assert left_out.notice() == (
        "fittings row 2: failed before the log's first day (2025-09-01), so the models leave it "
        "out; if every failure since 2025-05-01 is written down, load those files again with "
        "--earlier-days."
    )
    later = frame({"name": "log_began_on", "value": "2025-05-01"})
    assert failed_before_log(early.with_table("settings", later)) is None


def test_doubtful_but_possible_things_are_told_with_their_rows() -> None:
    records = workshop(
        fittings=frame(
            fitting("2025-03-01", position="W9"),
            fitting("2025-03-01", position="H1", part_kind="head"),
            fitting("2025-03-01", position="h1", part_kind="cap"),
        ),
        maintenance=frame(
            {"printer": "P2", "task": "dust", "done_on": "2025-03-01", "why": "planned"}
        ),
        stock=frame(
            {"part_kind": "cap", "moved_on": "2026-01-05", "quantity": -1, "reason": "used"},
            {"part_kind": "cap", "moved_on": "2026-01-04", "quantity": -2, "reason": "used"},
            {"part_kind": "cap", "moved_on": "2026-01-05", "quantity": 5, "reason": "counted"},
        ),
        routines=frame(
            {"task": "shake_dampers", "every_days": 15, "starts_on": "2025-01-01"},
            {"task": "shake_dampers", "every_days": 7, "starts_on": "2025-05-01"},
        ),
        settings=frame({"name": "favourite_colour", "value": "cyan"}),
    )
    assert refusals(records) == []
    told = "\n".join(notices(records))
    for part in (
        'fittings row 2: position "W9" is not among the channels of P1',
        "fittings: P1 has positions H1 and h1",
        "maintenance row 2: done_on is before the printer's started_on",
        '"dust" is a task of your own',
        "stock row 3: more capping station pieces left the shelf",
        "routines row 3: shake_dampers on all printers has two intervals at once",
        'settings row 2: "favourite_colour" is not a setting this program uses',
    ):
        assert part in told, part


def stoppages_of(*rows: tuple[str, str, str | None]) -> Records:
    printers, began, ended = zip(*rows, strict=True)
    return Records.of(
        {
            "printers": pd.DataFrame({"printer": ["P1", "P2"], "started_on": "2026-01-01"}),
            "stoppages": pd.DataFrame(
                {"printer": printers, "began_at": began, "ended_at": ended},
                index=range(2, 2 + len(rows)),
            ),
        }
    )


def test_a_printer_that_still_stands_cannot_stop_again() -> None:
    """Ticks of a calendar once became so many stoppages that none of them ended."""
    (refusal,) = refusals(
        stoppages_of(("P1", "2026-01-02", None), ("P1", "2026-01-05", "2026-01-06"))
    )
    assert (refusal.row, refusal.column) == (3, "began_at")
    assert refusal.problem == "falls while P1 still stands since 2026-01-02 (row 2)"
    assert refusal.mend == "write when that stoppage ended, or take one of them out"


def test_a_new_stoppage_before_one_that_is_there_is_refused_for_its_open_end() -> None:
    records = stoppages_of(("P1", "2026-01-05", "2026-01-06"), ("P1", "2026-01-02", None))
    (refusal,) = refusals(records, only={"stoppages": pd.Index([3])})
    assert (refusal.row, refusal.column) == (3, "ended_at")
    assert refusal.problem == "is empty, and P1 stopped again 2026-01-05 (row 2)"


def test_stoppages_of_one_printer_that_overlap_are_refused_also_once_they_ended() -> None:
    """The second begins within the first; the third, which the second touches, may stand."""
    (refusal,) = refusals(
        stoppages_of(
            ("P1", "2026-01-02", "2026-01-06"),
            ("P1", "2026-01-03", "2026-01-04"),
            ("P2", "2026-01-03", "2026-01-04"),
            ("P1", "2026-01-06", "2026-01-07"),
        )
    )
    assert (refusal.row, refusal.column) == (3, "began_at")
    assert refusal.problem == "falls while P1 stands from 2026-01-02 to 2026-01-06 (row 2)"
    assert refusal.mend == "correct the times, or take one of the two out"


def test_a_new_stoppage_that_runs_into_a_known_one_is_refused_for_its_end() -> None:
    records = stoppages_of(("P1", "2026-01-05", "2026-01-06"), ("P1", "2026-01-02", "2026-01-08"))
    (refusal,) = refusals(records, only={"stoppages": pd.Index([3])})
    assert (refusal.row, refusal.column) == (3, "ended_at")
    assert refusal.problem == "is after P1 stopped again 2026-01-05 (row 2)"


def test_stoppages_that_ended_and_those_of_other_printers_may_stand() -> None:
    assert not refusals(
        stoppages_of(
            ("P1", "2026-01-02", "2026-01-03"),
            ("P2", "2026-01-02", None),
            ("P1", "2026-01-05", None),
        )
    )


def test_a_part_that_failed_on_the_printers_first_day_is_asked_about() -> None:
    def told(fitted: str, removed: str, reason: str = "failed") -> list[str]:
        records = workshop(fittings=frame(fitting(fitted, removed, removal_reason=reason)))
        asked = "If it was in there before, leave fitted_on empty"
        return [notice for notice in notices(records) if asked in notice]

    # The printer's first day is 1 January.
    assert len(told("2025-01-01", "2025-01-02")) == 1
    assert not told("2025-01-01", "2025-01-12")
    assert not told("2025-01-01", "2025-01-01", "with_other")
    assert not told("2025-03-05", "2025-03-05")


@pytest.mark.parametrize(
    ("removed", "reason", "times"),
    [("2025-03-06", "failed", 1), ("2025-03-07", "failed", 0), ("2025-03-06", "planned", 0)],
)
def test_a_part_that_failed_within_a_day_may_be_one_change_written_down_twice(
    removed: str, reason: str, times: int
) -> None:
    records = workshop(fittings=frame(fitting("2025-03-05", removed, removal_reason=reason)))
    told = [note for note in notices(records) if "one change was written down twice" in note]
    assert len(told) == times
