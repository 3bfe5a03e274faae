"""Parts of unknown age: outlook, stock and order dates tell one chance of one part."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import rows, setting, workshop
from tracker.decisions.preorder import preorder
from tracker.decisions.stock_table import WhatIf, stock_table
from tracker.forecast.need import need_models
from tracker.forecast.needed import demand, demand_of_groups
from tracker.forecast.outlook import outlook
from tracker.forecast.positions.age_table import PositionAges
from tracker.forecast.positions.co_replaced_positions import TriggerPart
from tracker.forecast.positions.failure_counts import FailureCounts
from tracker.forecast.positions.large_pools import demand_along_in_large_pool
from tracker.forecast.positions.position_groups import PositionGroup
from tracker.lives.unknown_age import PossibleAges
from tracker.models.life_model.posterior import LifeBelief, LifePosterior
from tracker.workshop.records import Records

TODAY = date(2025, 6, 1)
HEAD = LifePosterior.from_lives([], [], belief=LifeBelief(400, worth_failures=20))
DAMPER = LifePosterior.from_lives([], [], belief=LifeBelief(150, worth_failures=20))
YOUNG_OR_OLD = PossibleAges(np.array([20.0, 160.0]), np.array([0.7, 0.3]))


def one_part(kind: str, position: str) -> Records:
    """A printer with one part that was in before the log began, a fixed delivery, no review."""
    parts = rows("part_kind lead_days lead_days_late replaced_with", (kind, 30, 30, ""))
    records = workshop(1, parts=parts, settings=setting(review_days=0, log_began_on="2025-03-01"))
    fittings = rows("printer part_kind position fitted_on", ("A", kind, position, None))
    started = rows("printer started_on", ("A", "2023-09-12"))  # 628 days before TODAY
    return records.with_table("fittings", fittings).with_table("printers", started)


def chance_in_outlook(records: Records, days: float) -> float:
    return float(outlook(records, TODAY, days)["chance_of_failure"].iloc[0])


@pytest.mark.parametrize("kind", ["head", "damper", "wiper"])
def test_outlook_stock_and_order_date_tell_one_chance(kind: str) -> None:
    records = one_part(kind, "W1" if kind == "damper" else "H1" if kind == "head" else "wiper")
    told = chance_in_outlook(records, 30)
    row: Any = stock_table(records, TODAY, what_if=WhatIf(planned_ages={})).iloc[0]
    assert row["horizon_days"] == 30
    assert 1 - row["chance_of_need"][0] == pytest.approx(told, abs=2e-4)
    if kind == "head":
        dated: Any = preorder(records, TODAY).iloc[0]
        assert dated["risk_if_ordered_now"] == pytest.approx(told, abs=2e-4)


def test_a_damper_of_unknown_age_is_riskier_than_a_new_one_and_far_from_dead() -> None:
    # No day is said on which the log began, and nothing else is written down.
    records = one_part("damper", "W1").with_table("settings", setting(review_days=0))
    chance = chance_in_outlook(records, 30)
    life = need_models(records, TODAY)["damper"].posterior()
    assert life.chance_of_failure(0, 30) < chance < 0.7 * life.chance_of_failure(628, 30)
    assert chance < 0.5


@pytest.mark.parametrize(("guess", "earlier"), [(0.0, None), (21.0, 0.0), (120.0, 21.0)])
def test_the_older_the_guess_the_riskier_the_damper(guess: float, earlier: float | None) -> None:
    def chance(days: float | None) -> float:
        records = one_part("damper", "W1")
        return chance_in_outlook(
            records.with_table("fittings", records.fittings.assign(age_guess_days=days)), 30
        )

    if earlier is not None:
        assert chance(guess) > chance(earlier)
    else:
        # New when the log began on 1 March: 92 days old on 1 June, by hand.
        life = need_models(one_part("damper", "W1"), TODAY)["damper"].posterior()
        assert chance(guess) == pytest.approx(life.chance_of_failure(92, 30), abs=1e-6)


def test_stock_uses_the_guess_as_the_outlook_does() -> None:
    records = one_part("damper", "W1")
    guessed = records.with_table("fittings", records.fittings.assign(age_guess_days=120.0))
    row: Any = stock_table(guessed, TODAY, what_if=WhatIf(planned_ages={})).iloc[0]
    assert 1 - row["chance_of_need"][0] == pytest.approx(chance_in_outlook(guessed, 30), abs=2e-4)
    assert chance_in_outlook(guessed, 30) != pytest.approx(chance_in_outlook(records, 30), abs=1e-3)


def test_positions_of_several_possible_ages_need_what_the_ages_do_by_their_chances() -> None:
    ages = PositionAges.possible([62.0, 50.0], [YOUNG_OR_OLD, None])
    found = demand_of_groups([PositionGroup.of(DAMPER, ages)], 60)
    by_age = [demand(DAMPER, [age, 50.0], 60) for age in YOUNG_OR_OLD.ages]
    assert found[:4] == pytest.approx(0.7 * by_age[0][:4] + 0.3 * by_age[1][:4], abs=1e-6)


def test_a_head_and_dampers_of_unknown_age_go_out_together_by_the_same_chances() -> None:
    ages = PositionAges.possible([62.0, 50.0], [YOUNG_OR_OLD, None])
    heads = PositionAges.possible([62.0], [YOUNG_OR_OLD])
    group = PositionGroup.of(DAMPER, ages, follows=[0, 0])
    found = demand_of_groups([group], 60, trigger=TriggerPart.of(HEAD, heads, [0, 0]))
    expected = np.zeros(4)
    for head_age, head_chance in zip(YOUNG_OR_OLD.ages, YOUNG_OR_OLD.chances, strict=True):
        for age, chance in zip(YOUNG_OR_OLD.ages, YOUNG_OR_OLD.chances, strict=True):
            trigger = TriggerPart.of(HEAD, [head_age], [0, 0])
            law = demand(DAMPER, [age, 50.0], 60, trigger=trigger)
            expected += head_chance * chance * law[:4]
    assert found[:4] == pytest.approx(expected, abs=2e-3)
    large = demand_along_in_large_pool([group], TriggerPart.of(HEAD, heads, [0, 0]), 60)
    mean = [law @ np.arange(len(law)) for law in (found, large)]
    assert mean[1] == pytest.approx(mean[0], rel=0.01)


def test_failures_of_a_pool_count_a_part_of_unknown_age_by_the_same_chances() -> None:
    nodes, group = {"": DAMPER.nodes()}, np.array(["", ""], dtype=object)
    days = np.array([10.0, 40.0, 90.0])

    def at_least_one(ages: Any) -> Any:
        return FailureCounts.of(nodes, group, ages, 100).at_least(1, days)

    found = at_least_one(PositionAges.possible([62.0, 50.0], [YOUNG_OR_OLD, None]))
    by_age = [at_least_one(np.array([age, 50.0])) for age in YOUNG_OR_OLD.ages]
    assert found == pytest.approx(0.7 * by_age[0] + 0.3 * by_age[1], abs=1e-9)


def test_printed_area_counts_a_part_of_unknown_age_at_its_printers_rate() -> None:
    records = one_part("wiper", "wiper")
    days = pd.date_range("2025-03-01", TODAY, freq="7D")
    readings = pd.DataFrame(
        {"printer": "A", "read_on": days, "area_m2": 35.0 * np.arange(len(days))}
    )
    records = records.with_table("counters", readings)
    by_area: Any = stock_table(records, TODAY, what_if=WhatIf(scale="area")).iloc[0]
    by_days: Any = stock_table(records, TODAY).iloc[0]
    # At one steady rate area is only another unit of time.
    assert by_area["expected_need"] == pytest.approx(by_days["expected_need"], rel=0.02)
