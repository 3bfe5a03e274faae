"""Planned changes that fall due: only where they pay, by the age of what is fitted."""

from __future__ import annotations

from datetime import date
from itertools import pairwise

import pandas as pd
import pytest

from tests.decisions.workshops import rows, setting
from tracker.decisions.failure_cost import FailureCost, FailureCosts
from tracker.decisions.replacement_age import best_age
from tracker.forecast.need import need_models
from tracker.lives.life_table import life_table
from tracker.review.planned import planned_changes
from tracker.workshop.records import Records

AS_OF = date(2026, 3, 31)


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


def found(records: Records) -> pd.DataFrame:
    lives = life_table(records, AS_OF)
    return planned_changes(records, AS_OF, lives, need_models(records, AS_OF, lives))


def test_a_part_near_its_cheapest_age_is_listed_with_the_day_it_reaches_it() -> None:
    records = worn_out(margin_per_hour=300)
    row = found(records).iloc[0]
    costs = cost_of(records, "wiper")
    models = need_models(records, AS_OF)
    best = best_age(models["wiper"].posterior(), costs.planned, costs.total)
    assert row["change_at_days"] == pytest.approx(best.age)
    assert row["age_days"] == 90
    left = max(0, -int(-(best.age - 90) // 1))
    assert row["due_on"] == pd.Timestamp(AS_OF) + pd.Timedelta(days=left)
    assert row["saving"] > 0.3


def test_where_a_failure_costs_no_more_nothing_is_planned() -> None:
    assert found(worn_out(margin_per_hour=0)).empty


def test_a_part_that_stays_young_for_half_a_year_is_not_listed_yet() -> None:
    records = worn_out(margin_per_hour=300)
    # The same lives ten times as long: the running part reaches its age in more than six months.
    stretched = records.fittings.copy()
    for name in ("fitted_on", "removed_on"):
        stretched[name] = pd.Timestamp("2026-03-31") - 10 * (
            pd.Timestamp("2026-03-31") - stretched[name]
        )
    stretched.loc[stretched.index[-1], "fitted_on"] = pd.Timestamp("2026-03-01")
    assert found(records.with_table("fittings", stretched)).empty


@pytest.mark.parametrize("belief_failures", [0.5, 1.0, 4.0, 50.0])
@pytest.mark.parametrize("margin_per_hour", [0.0, 20.0, 60.0, 300.0])
def test_the_coarse_look_lets_no_change_that_pays_go_unseen(
    belief_failures: float, margin_per_hour: float
) -> None:
    # No failure seen: hardly anything but the belief speaks.
    records = worn_out(margin_per_hour)
    young = records.fittings.tail(1)
    parts = records.parts.assign(belief_failures=belief_failures)
    records = records.with_table("fittings", young).with_table("parts", parts)
    model = need_models(records, AS_OF)["wiper"]
    costs = cost_of(records, "wiper")
    planned = costs.planned
    best = best_age(model.posterior(), planned, costs.total)
    pays = planned < costs.total and best.worthwhile and best.chance_it_pays > 0.5
    assert bool(len(found(records))) == (pays and best.age <= 90 + 182)
