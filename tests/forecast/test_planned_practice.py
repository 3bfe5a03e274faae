"""Which kinds the workshop changes by plan, learned from its own changes."""

from __future__ import annotations

from datetime import date
from typing import Any

import pandas as pd
import pytest

from tests.decisions.workshops import rows, workshop
from tracker.forecast.fitted_lives import FittedLives, fit_lives
from tracker.forecast.futures import fitted_positions, play_futures
from tracker.forecast.outlook import outlook
from tracker.forecast.planned_practice import planned_practice
from tracker.say.spares.stock import planned_practice as planned_practice_sentence
from tracker.workshop.records import Records

TODAY = date(2025, 6, 1)
WATCHED = rows("printer started_on", ("A", "2023-01-01"))


def wipers(*lives: tuple[int, str]) -> Records:
    """One position up to today, parts of so many days one after another; "" is still in."""
    start = pd.Timestamp(TODAY) - pd.Timedelta(days=sum(days for days, _ in lives))
    fittings = []
    for days, reason in lives:
        end = start + pd.Timedelta(days=days)
        fittings.append(("A", "wiper", "wiper", start, end if reason else None, reason))
        start = end
    names = "printer part_kind position fitted_on removed_on removal_reason"
    records = workshop(1).with_table("fittings", rows(names, *fittings))
    return records.with_table("printers", WATCHED)


def test_changes_at_one_age_are_a_practice() -> None:
    records = wipers((60, "planned"), (62, "planned"), (31, "failed"), (60, "planned"),
                     (61, "planned"), (9, ""))  # fmt: skip
    found = planned_practice(records, TODAY)["wiper"]
    assert (found.age_days, found.changed, found.reached) == (60.5, 4, 4)
    sentence = planned_practice_sentence(found.age_days, found.changed, found.reached)
    assert sentence == "Changed by plan at about 60 days (4 of the last 4 that got there)."


@pytest.mark.parametrize(
    "lives",
    [
        [(60, "planned")] * 3 + [(9, "")],  # three are not enough
        [(20, "planned"), (60, "planned"), (110, "planned"), (40, "planned"), (9, "")],  # any age
        [(60, "planned"), (60, "planned"), (140, "failed"), (150, "failed"), (60, "planned"),
         (60, "planned"), (9, "")],  # a third was let run past it
    ],
    ids=["too few", "at any age", "not kept to"],
)  # fmt: skip
def test_what_is_no_practice_is_not_called_one(lives: list[tuple[int, str]]) -> None:
    assert planned_practice(wipers(*lives), TODAY) == {}


def test_parts_that_ran_longer_before_the_practice_began_do_not_speak_against_it() -> None:
    records = wipers((140, "failed"), (150, "failed"), *[(60, "planned")] * 5, (9, ""))
    assert planned_practice(records, TODAY)["wiper"].reached == 5


def test_planned_changes_are_a_need_but_say_nothing_about_wear() -> None:
    fits = [
        fit_lives(wipers((60, end), (30, end), (9, "")), TODAY) for end in ("planned", "retired")
    ]
    chances = [outlook(fit.known, TODAY, 90, fitted=fit)["chance_of_failure"] for fit in fits]
    assert chances[0].to_list() == pytest.approx(chances[1].to_list(), abs=1e-9)
    changed, retired = (needed(fit) for fit in fits)
    # Two changes in 99 days and a fiftieth of one in a typical life of 180, by hand: 0.65 of
    # those that wear did not take before.
    assert changed - retired == pytest.approx(90 * 2.02 / 279, rel=0.2)
    # Where they come at a certain age, they are counted by that and not by a rate as well.
    by_age = [needed(fit, planned_ages={"wiper": 1000.0}) for fit in fits]
    assert by_age[0] == pytest.approx(by_age[1], abs=0.01)


def needed(fit: FittedLives, **asked: Any) -> float:
    positions = fitted_positions(fit)
    futures = play_futures(fit, positions, 90.0, **asked)
    return float(futures.of((positions["part_kind"] == "wiper").to_numpy()).counts(90.0).mean())
