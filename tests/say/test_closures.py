"""Closed days, silent stretches and what a failure costs, in words."""

from __future__ import annotations

from datetime import date

from tests.decisions.workshops import rows, setting, workshop
from tracker.decisions.due import due_list
from tracker.decisions.failure_cost import FailureCosts
from tracker.lives.open_days import quiet_gaps
from tracker.say.maintenance.closures import gap_notices, gap_question
from tracker.say.maintenance.due import task_line
from tracker.say.maintenance.failure_cost import cost_line, cost_sentence, cost_table, source
from tracker.workshop.records import Records

SHUT = rows("began_on ended_on", ("2025-08-04", "2025-08-15"))


def test_a_silent_stretch_is_asked_about_in_one_sentence() -> None:
    assert gap_question(date(2026, 8, 3), date(2026, 8, 14)) == (
        "Nothing was written down from 3 to 14 Aug 2026: were you closed?"
    )


def test_the_notice_says_what_to_write_in_either_case() -> None:
    log = rows(
        "printer task done_on why",
        *(("A", "stir_ink", day, "planned")
          for day in ("2025-07-30", "2025-07-31", "2025-08-18", "2025-08-19")),
    )  # fmt: skip
    records = workshop(1, maintenance=log)
    (told,) = gap_notices(quiet_gaps(records, date(2025, 8, 31)))
    assert "from 1 to 17 Aug 2025" in told
    assert "began_on 2025-08-01, ended_on 2025-08-17" in told
    worked = setting(worked_through="2025-08-01/2025-08-17")
    assert quiet_gaps(records.with_table("settings", worked), date(2025, 8, 31)).empty


def lines(day: date) -> list[str]:
    routine = rows("task every_days starts_on", ("stir_ink", 1, "2025-06-02"))
    log = rows("printer task done_on why", ("A", "stir_ink", "2025-08-01", "planned"))
    records = workshop(1, routines=routine, maintenance=log, closures=SHUT)
    return [task_line(row) for row in due_list(records, day).itertuples()]


def test_the_due_list_says_why_it_asks_around_a_shutdown() -> None:
    before, after = lines(date(2025, 8, 1)), lines(date(2025, 8, 18))
    assert "before the closed days from 4 to 15 Aug 2025" in before[0]
    assert "leave the cap wet" in before[0]
    assert after[0].startswith("Nozzle check")
    assert "first of all after the closed days" in after[0]


def costs() -> FailureCosts:
    """Work 0.5 h at 30, the part 9, spoiled 12, nothing else stated or lost."""
    parts = rows(
        "part_kind unit_cost hours_to_change recovery_minutes refill_ml spoiled_per_failure",
        ("wiper", 9.0, 0.5, 0.0, 0.0, 12.0),
    )
    told = setting(labour_per_hour=30, margin_per_hour=0)
    records: Records = workshop(1, parts=parts, settings=told)
    return FailureCosts.of(records, date(2025, 12, 31))


def test_every_term_stands_with_its_source() -> None:
    cost = costs().of_kind("wiper", spare_on_shelf=True)
    table = cost_table(cost, "EUR")
    assert table["What"].tolist() == [
        "Part", "Work to change it", "Spoiled film and garments", "Together",
    ]  # fmt: skip
    assert table["Amount"].tolist() == ["9.00 €", "15 €", "12 €", "36 €"]
    assert set(table["From"][:3]) == {"your parts catalogue"}
    assert cost_line(cost, "EUR") == (
        "One wiper blade failure with a spare on the shelf costs 36 €: part 9.00 €, work to change "
        "it 15 €, spoiled film and garments 12 €."
    )


def test_a_sum_of_stated_figures_has_no_range_and_a_guess_is_called_one() -> None:
    stated = cost_sentence(costs().of_kind("wiper", spare_on_shelf=True), "EUR")
    assert "about 36 €; every figure is stated" in stated
    guessed = costs().of_kind("pump", spare_on_shelf=True)
    assert source(guessed.term("work")) == "guess (common practice, no source)"
    assert "in 8 of 10 cases)" in cost_sentence(guessed, "EUR")
