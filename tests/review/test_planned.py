"""Planned changes that fall due: only where they pay, by the age of what is fitted."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import rows, setting
from tests.forecast.known_lives import one_known_life, told_of
from tracker.decisions.cost_terms import FailureCost
from tracker.decisions.failure_cost import FailureCosts
from tracker.decisions.planned_change import planned_ages
from tracker.decisions.replacement_age import best_age
from tracker.forecast.fitted_lives import FittedLives, fit_lives
from tracker.intake.exchange import read_folder
from tracker.lives.open_days import Closures
from tracker.review.ahead import planned_changes
from tracker.review.month import month_review
from tracker.say.maintenance.planned import at_what_age, group_name
from tracker.say.monthly.sentences import planned_sentence
from tracker.say.monthly.values import tables
from tracker.workshop.records import Records

AS_OF = date(2026, 3, 31)
ROOT = Path(__file__).parents[2]


def cost_of(records: Records, kind: str) -> FailureCost:
    """A failure with a spare on the shelf."""
    return FailureCosts.of(records.known_at(AS_OF), AS_OF).of_kind(kind, spare_on_shelf=True)


def worn_out(margin_per_hour: float) -> Records:
    """One printer whose wipers all failed at about 100 days, the last one fitted 90 days ago."""
    ends = pd.date_range("2022-01-01", "2025-12-31", periods=16).normalize()
    lives = [("Ada", "wiper", "wiper", began, ended, "failed") for began, ended in pairwise(ends)]
    fittings = rows(
        "printer part_kind position fitted_on removed_on removal_reason",
        *lives,
        ("Ada", "wiper", "wiper", ends[-1], None, ""),
    )
    return Records.of(
        {
            "printers": rows("printer started_on", ("Ada", "2022-01-01")),
            "fittings": fittings,
            "parts": rows(
                "part_kind unit_cost hours_to_change typical_life_days spoiled_per_failure",
                ("wiper", 8.0, 1.0, 100.0, 0.0),
            ),
            "settings": setting(
                margin_per_hour=margin_per_hour, labour_per_hour=10, log_began_on="2022-01-01"
            ),
        }
    )


def lives_of(records: Records, scale: float = 100.0) -> FittedLives:
    """Every wiper wears with shape 4 and this scale."""
    return one_known_life(fit_lives(records, AS_OF), 4.0, scale)


def test_a_part_near_its_cheapest_age_is_listed_with_the_day_it_reaches_it() -> None:
    records = worn_out(margin_per_hour=300)
    found = planned_changes(lives_of(records, 250.0))
    (row,) = found.itertuples()
    costs = cost_of(records, "wiper")
    best = best_age(lambda age: np.exp(-((age / 250) ** 4)), costs.planned, costs.total)
    assert row.change_at_days == pytest.approx(best.age, rel=1e-5)
    assert (row.age_days, row.age_known) == (90, True)
    left = -int(-(best.age - 90) // 1)
    assert 0 < left < 182
    assert row.due_on == pd.Timestamp(AS_OF) + pd.Timedelta(days=left)
    assert row.saving == pytest.approx(best.saving, rel=1e-5)


def test_a_part_past_its_age_is_due_on_the_day_looked_from() -> None:
    records = worn_out(margin_per_hour=300)
    (row,) = planned_changes(lives_of(records, 60.0)).itertuples()
    assert row.change_at_days < 90
    assert row.due_on == pd.Timestamp(AS_OF)


def test_where_a_failure_costs_no_more_nothing_is_planned() -> None:
    records = worn_out(margin_per_hour=0)
    assert planned_changes(lives_of(records)).empty


def test_a_part_that_stays_young_for_half_a_year_is_not_listed_yet() -> None:
    records = worn_out(margin_per_hour=300)
    assert planned_changes(lives_of(records, 1000.0)).empty


def test_a_part_of_unknown_age_is_planned_by_the_age_to_be_expected() -> None:
    records = worn_out(margin_per_hour=300)
    fittings = records.fittings.assign(age_guess_days=np.nan)
    # In the printer before the log began, and guessed at 30 days old then.
    fittings.loc[fittings.index[-1], ["fitted_on", "age_guess_days"]] = [pd.NaT, 30.0]
    records = records.with_table("fittings", fittings.tail(1))
    fitted = lives_of(records, 5000.0)
    (ages,) = fitted.ages(fitted.running.index)
    at = planned_ages(records, AS_OF, fitted=fitted).by_printer["age"].iloc[0]
    # 1550 days watched since.
    assert 1551 < ages.mean < 1700
    # Half a day to spare: how likely each age is hangs on the lives put in.
    fitted = lives_of(records, 5000.0 * (ages.mean + 99.5) / at)
    (ages,) = fitted.ages(fitted.running.index)
    (row,) = planned_changes(fitted).itertuples()
    assert (row.age_days, row.age_known) == (ages.mean, False)
    assert row.due_on == pd.Timestamp(AS_OF) + pd.Timedelta(days=100)


def test_the_review_lists_exactly_what_pays_by_the_rule_of_all_pages() -> None:
    records = read_folder(ROOT / "sample_data")
    day = records.last_day()
    assert day is not None
    listed = planned_changes(fit_lives(records, day))
    # What the command gives out is the same table.
    review = month_review(records, day.replace(day=1), day)
    assert tables(review)["planned_changes"].equals(listed)
    ages = planned_ages(records, day)
    paying = ages.by_printer[ages.by_printer["pays"]]
    assert len(listed) > 3
    rule = paying.set_index(["part_kind", "group", "printer"])
    for row in listed.itertuples():
        own = rule.loc[(row.part_kind, row.group, row.printer)]
        assert (row.change_at_days, row.saving) == (own["age"], own["saving"])
    # Every part that pays and gets there is listed, none besides.
    fitted = fit_lives(records, day)
    parts = fitted.parts(fitted.running.index)
    names = pd.DataFrame(
        [told_of(fitted).groups[group] for group in parts.group],
        columns=["part_kind", "ink", "variant"],
    ).assign(
        printer=fitted.running["printer"].to_numpy(),
        old=[round(own.mean) for own in fitted.ages(fitted.running.index)],
    )
    due = names.merge(paying, on=["part_kind", "ink", "variant", "printer"])
    closures = Closures.of(records.known_at(day))
    reached = []
    for own in due.itertuples():
        on, open_days = day - timedelta(days=own.old), 0
        while open_days < own.age:
            open_days += not closures.closed_on(own.printer, on)
            on += timedelta(days=1)
        reached.append(max(on, day))
    told_days = sorted(on for on in reached if on <= day + timedelta(days=182))
    assert [one.date() for one in listed["due_on"]] == told_days
    # The lines of the pages say so of the same groups.
    told = ages.by_group[ages.by_group["pays"]]
    assert set(zip(paying["part_kind"], paying["group"], strict=True)) == set(
        zip(told["part_kind"], told["group"], strict=True)
    )
    said = planned_sentence(listed)
    for row in told.itertuples():
        if (row.part_kind, row.group) in set(
            zip(listed["part_kind"], listed["group"], strict=True)
        ):
            assert group_name(row) in said
            assert "run it to failure" not in at_what_age(row, "EUR")
