"""The question about ages: once per type, for the parts in without a fitting day."""

from __future__ import annotations

import pandas as pd

from tracker.intake.ages import ages_to_ask, with_guessed_ages
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType

DAMPER, SIX, EIGHT = PartType("damper"), PartType("head", "six"), PartType("head", "eight")


def parts() -> Records:
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
    return Records.of({"fittings": rows})


def test_only_parts_in_without_day_and_guess_are_asked_about() -> None:
    # The head has its day, the wiper its guess, the cap is out already.
    assert ages_to_ask(parts()) == {DAMPER: 2}


def test_one_answer_serves_all_parts_of_the_kind_and_no_other() -> None:
    guessed = with_guessed_ages(parts(), {DAMPER: 120.0}).fittings["age_guess_days"]
    assert guessed.fillna(-1).tolist() == [120, 120, -1, 40, -1]


def test_heads_of_two_types_are_asked_about_apart() -> None:
    head = {"part_kind": "head", "position": "H1", "fitted_on": None}
    records = Records.of(
        {
            "printers": pd.DataFrame({"printer": ["A", "B"], "head_type": ["six", "eight"]}),
            "fittings": pd.DataFrame([{**head, "printer": name} for name in ("A", "B")]),
        }
    )
    assert ages_to_ask(records) == {SIX: 1, EIGHT: 1}
    guessed = with_guessed_ages(records, {SIX: 21.0, EIGHT: None}).fittings["age_guess_days"]
    assert guessed.fillna(-1).tolist() == [21, -1]


def test_no_idea_leaves_the_age_unknown() -> None:
    guessed = with_guessed_ages(parts(), {DAMPER: None}).fittings["age_guess_days"]
    assert guessed.notna().tolist() == [False, False, False, True, False]
