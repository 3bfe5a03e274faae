"""The question about ages: once per kind, for the parts in without a fitting day."""

from __future__ import annotations

import pandas as pd

from tracker.intake.ages import ages_to_ask, with_guessed_ages
from tracker.workshop.contract import FITTINGS
from tracker.workshop.records import shape_frame


def parts() -> pd.DataFrame:
    rows = pd.DataFrame(
        {
            "printer": "P1",
            "part_kind": ["damper", "damper", "head", "wiper", "cap"],
            "position": ["C", "M", "H1", "wiper", "cap"],
            "fitted_on": [None, None, "2026-01-05", None, None],
            "removed_on": [None, None, None, None, "2026-02-01"],
            "age_guess_days": [None, None, None, 40, None],
        }
    )
    return shape_frame(FITTINGS, rows)


def test_only_parts_in_without_day_and_guess_are_asked_about() -> None:
    # The head has its day, the wiper its guess, the cap is out already.
    assert ages_to_ask(parts()) == {"damper": 2}


def test_one_answer_serves_all_parts_of_the_kind_and_no_other() -> None:
    guessed = with_guessed_ages(parts(), {"damper": 120.0})["age_guess_days"]
    assert guessed.fillna(-1).tolist() == [120, 120, -1, 40, -1]


def test_no_idea_leaves_the_age_unknown() -> None:
    guessed = with_guessed_ages(parts(), {"damper": None})["age_guess_days"]
    assert guessed.notna().tolist() == [False, False, False, True, False]
