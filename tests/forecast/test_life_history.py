"""Records as the whole life model reads them: every number by hand."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from tests.decisions.workshops import rows, setting
from tracker.forecast.life_history import LifeHistory, date_of, day_number, life_history
from tracker.models.life_model.whole import History
from tracker.workshop.records import Records

LAST = date(2025, 6, 30)
ADA = rows("printer started_on head_type", ("Ada", "2025-01-01", "six-channel head"))


def records(*fittings: tuple[object, ...], **tables: object) -> Records:
    names = (
        "printer part_kind position fitted_on removed_on removal_reason supplier batch variant "
        "last_ok_on age_guess_days"
    )
    blank = (None, None, "", "", "", "", None, None)
    filled = [(*row, *blank[len(row) - 3 :]) for row in fittings]
    frames = {"printers": ADA, "fittings": rows(names, *filled), **tables}
    return Records.of(frames)  # type: ignore[arg-type]


def told(records: Records) -> LifeHistory:
    found = life_history(records, LAST)
    assert found is not None
    return found


def history(records: Records) -> History:
    return told(records).history


def test_without_a_life_there_is_no_history() -> None:
    assert life_history(Records(), LAST) is None
    only_a_tank = records(("Ada", "waste_tank", "waste_tank", "2025-01-01"))
    assert life_history(only_a_tank, LAST) is None, "a tank is emptied by its level"


def test_a_life_is_counted_from_its_fitting_to_its_failure_or_to_the_day_looked_at() -> None:
    found = history(
        records(
            ("Ada", "wiper", "wiper", "2025-01-01", "2025-03-02", "failed"),
            ("Ada", "wiper", "wiper", "2025-03-02"),
            ("Ada", "cap", "cap", "2025-01-01", "2025-01-11", "accident"),
            ("Ada", "pump", "pump", "2025-06-30"),
        )
    )
    # January and February have 59 days, so 1 January to 2 March is 60; from there to 30 June 120.
    assert found.lives.age.tolist() == [60.0, 120.0, 10.0, 0.5]
    assert found.lives.failed.tolist() == [True, False, False, False]
    assert found.lives.accident.tolist() == [False, False, True, False]
    assert date_of(found.lives.began_on[1]) == date(2025, 3, 2)
    assert found.as_of == day_number(LAST) + 1


def test_groups_are_kinds_by_ink_and_type_with_the_catalogues_beliefs() -> None:
    found = history(
        records(
            ("Ada", "damper", "W1", "2025-01-01"),
            ("Ada", "damper", "K", "2025-01-01"),
            ("Ada", "damper", "C", "2025-01-01"),
            ("Ada", "head", "H1", "2025-01-01"),
            ("Ada", "head", "H2", "2025-01-01", None, "", "", "", "eight-channel head"),
            parts=rows(
                "part_kind variant typical_life_days belief_failures",
                ("damper", "", 200.0, 2.0),
                ("head", "eight-channel head", 500.0, 1.0),
                ("head", "", 400.0, 1.0),
            ),
        )
    )
    # In order of their names: damper colour, damper white, head eight-, head six-channel.
    assert found.lives.group.tolist() == [1, 0, 0, 3, 2]
    assert found.groups.kind.tolist() == [0, 0, 1, 1]
    assert found.groups.told("typical_life").tolist() == [200, 200, 500, 400]
    assert found.groups.told("worth_failures").tolist() == [2, 2, 1, 1]


def test_a_lot_is_what_one_supplier_delivered_under_one_number() -> None:
    found = history(
        records(
            ("Ada", "wiper", "wiper", "2025-01-01", "2025-02-01", "failed", "Harbour", "7"),
            ("Ada", "wiper", "wiper", "2025-02-01", "2025-03-01", "failed", "Mill", "7"),
            ("Ada", "wiper", "wiper", "2025-03-01", "2025-04-01", "failed", "Mill", "7"),
            ("Ada", "wiper", "wiper", "2025-04-01", None, "", "Mill", ""),
        )
    )
    assert found.lives.lot.tolist() == [0, 1, 1, -1]
    assert found.n_lots == 2


def test_closed_days_are_not_counted() -> None:
    bob = rows("printer started_on", ("Ada", "2025-01-01"), ("Bob", "2025-01-01"))
    found = history(
        records(
            ("Ada", "wiper", "wiper", "2025-01-01", "2025-02-10", "failed"),
            ("Bob", "wiper", "wiper", "2025-01-01", "2025-02-10", "failed"),
            printers=bob,
            closures=rows(
                "began_on ended_on site printer",
                ("2025-01-06", "2025-01-10", "", ""),
                ("2025-02-01", "2025-02-04", "", "Bob"),
            ),
        )
    )
    # 40 days, less five for both and four more for Bob.
    assert found.lives.age.tolist() == [35.0, 31.0]


def test_watching_that_began_later_and_a_check_before_the_failure_are_kept() -> None:
    found = history(
        records(
            ("Ada", "wiper", "wiper", "2025-01-01", "2025-03-02", "failed", "", "", "",
             "2025-02-20"),
            settings=setting(log_began_on="2025-01-21"),
        )
    )  # fmt: skip
    assert (found.lives.entry[0], found.lives.last_ok[0], found.lives.age[0]) == (20, 50, 60)
    assert date_of(found.lives.began_on[0]) == date(2025, 1, 21)


def test_a_part_of_unknown_age_is_watched_from_the_logs_first_day_with_possible_ages() -> None:
    old = rows("printer started_on", ("Ada", "2024-10-23"))
    found = history(
        records(
            ("Ada", "wiper", "wiper", None, "2025-03-02", "failed"),
            ("Ada", "cap", "cap", None, None, "", "", "", "", None, 50.0),
            ("Ada", "pump", "pump", None, "2024-12-01", "failed"),
            printers=old,
            settings=setting(log_began_on="2025-01-01"),
        )
    )
    assert len(found.lives) == 2, "a part that came out before the log began tells nothing"
    by_group = dict(zip(found.lives.group.tolist(), found.lives.age.tolist(), strict=True))
    assert by_group == {0: 180.0, 1: 60.0}, "days watched; cap before wiper"
    assert found.guesses is not None
    ages = found.guesses.age[found.lives.guess]
    assert ages[0].max() <= 70, "no older than the printer has been here"
    # The middle of a lognormal law about the guess is the guess.
    assert np.exp(np.log(ages[1]).mean()) == pytest.approx(50, rel=1e-6)
    assert found.guesses.chance.sum(axis=1) == pytest.approx([1, 1])


def test_names_and_fittings_stand_beside_the_numbers() -> None:
    found = told(
        records(
            ("Ada", "waste_tank", "waste_tank", "2025-01-01"),
            ("Ada", "wiper", "wiper", "2025-01-01", "2025-02-01", "failed", "Harbour", "7"),
            ("Ada", "wiper", "wiper", "2025-02-01"),
            ("Ada", "cap", "cap", "2025-01-01", "2025-07-05", "failed"),
        )
    )
    assert found.printers == ("Ada",)
    assert found.groups == (("cap", "", ""), ("wiper", "", ""))
    assert found.lots == (("wiper", "Harbour", "7"),)
    assert found.fitting.tolist() == [1, 2, 3]
    assert found.running.tolist() == [False, True, True], "what came out later was still in"
    assert found.exposures == ()
