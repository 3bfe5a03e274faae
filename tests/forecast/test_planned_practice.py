"""Which kinds the workshop changes by plan, learned from its own changes."""

from __future__ import annotations

from datetime import date

import pandas as pd
import pytest

from tests.decisions.workshops import rows, workshop
from tracker.forecast.need import need_models
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
    changed = need_models(wipers((60, "planned"), (30, "planned"), (9, "")), TODAY)["wiper"]
    left = need_models(wipers((60, "retired"), (30, "retired"), (9, "")), TODAY)["wiper"]
    assert changed.posterior().survival(90) == pytest.approx(left.posterior().survival(90))
    need = [model.need().posterior.survival(90) for model in (changed, left)]
    assert need[0] < need[1] - 0.1
    by_age = changed.need(planned=True).posterior
    assert by_age.survival(90) == pytest.approx(left.need().posterior.survival(90))
