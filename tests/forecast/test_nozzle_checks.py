"""Do nozzle checks move a head's chance of failing soon where they tell it, and only there?"""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import rows
from tests.forecast.nozzle_worlds import BEGAN, LAST_DAY, World, records_of
from tracker.arrays import Array
from tracker.forecast.life_history import day_number
from tracker.forecast.nozzle_checks import (
    WITHIN_DAYS,
    head_checks,
    heads_by_age,
    nozzle_factors,
)
from tracker.forecast.wear_belief import wear_belief
from tracker.intake.exchange import read_folder
from tracker.lives.life_table import ages, life_table
from tracker.models.life_model.posterior import LifePosterior
from tracker.workshop.records import Records

SAMPLE_DATA = Path(__file__).resolve().parents[2] / "sample_data"
CLIMBING = World(climbs=True)
# Counts that say nothing: of any age, of heads that wear strongly, and rising with their age.
SILENT = (World(), World(shape=4.0), World(shape=4.0, fades=True), World(printers=2))


def heads_of(known: Records, as_of: date) -> pd.DataFrame:
    lives = life_table(known, as_of)
    return lives[lives["part_kind"] == "head"].assign(last_ok_on=known.fittings["last_ok_on"])


def checks_of(known: Records, as_of: date) -> pd.DataFrame:
    return head_checks(known, heads_of(known, as_of))


# Worlds with a known truth.


@pytest.mark.parametrize("seed", range(4))
def test_climbs_before_failures_are_used_and_told(seed: int) -> None:
    found = nozzle_factors(records_of(CLIMBING, seed), LAST_DAY)
    landmark = found.landmark
    assert found.used
    assert landmark is not None
    assert landmark.hazard_factor(30, 25).mean > 8
    assert landmark.hazard_factor(1, 0).mean < 0.4
    assert all(head.factor is not None for head in found.heads)


@pytest.mark.parametrize("world", SILENT, ids=lambda world: repr(world)[6:-1])
@pytest.mark.parametrize("seed", range(4))
def test_counts_that_say_nothing_are_not_used(world: World, seed: int) -> None:
    found = nozzle_factors(records_of(world, seed), LAST_DAY)
    assert found.failures >= found.failures_needed
    assert not found.used
    assert all(head.factor is None for head in found.heads)


def test_counts_that_say_nothing_have_a_factor_near_one() -> None:
    factors = []
    for seed in range(8):
        landmark = nozzle_factors(records_of(World(), seed), LAST_DAY).landmark
        assert landmark is not None
        factors += [landmark.hazard_factor(*check).mean for check in ((1, 0), (4, 2), (15, 8))]
    assert np.mean([0.6 < factor < 1.6 for factor in factors]) > 0.8


class Foretold(NamedTuple):
    """Of each later check: the chance told half-way, the one by age alone, and what happened."""

    chance: Array
    by_age: Array
    failed: Array


def foretold(records: Records) -> Foretold:
    """What the checks of the first 700 days taught, of those after them."""
    middle = BEGAN + timedelta(days=700)
    known = records.known_at(middle)
    landmark = nozzle_factors(known, middle).landmark
    assert landmark is not None
    assert landmark.worth_using
    age_alone = heads_by_age(heads_of(known, middle), wear_belief(records.part_facts("head")))
    later = checks_of(records, LAST_DAY)
    over = day_number(LAST_DAY) - WITHIN_DAYS
    later = later[(later["day"] > day_number(middle)) & (later["day"] <= over)]
    by_age = age_alone(middle, later["age"].to_numpy(float))
    count, rise = later["missing"].to_numpy(float), later["rise"].to_numpy(float)
    chance = -np.expm1(landmark.factors(count, rise) * np.log1p(-by_age))
    return Foretold(chance, by_age, (later["ends"] <= later["day"] + WITHIN_DAYS).to_numpy())


def test_what_is_told_half_way_happens_afterwards() -> None:
    seen = [foretold(records_of(CLIMBING, seed)) for seed in range(1, 7)]
    chance, alone, failed = map(np.concatenate, zip(*seen, strict=True))
    low, high = chance < 0.05, chance > 0.4
    assert chance[low].mean() == pytest.approx(failed[low].mean(), abs=0.012)
    # Two standard errors of the some fifty failures that these checks see, several checks each.
    assert chance[high].mean() == pytest.approx(failed[high].mean(), abs=0.14)
    assert high.sum() > 100
    assert alone[high].mean() < 0.15, "age alone sees nothing of it"


def test_checks_made_out_of_worry_alone_warn_as_loud_as_they_should() -> None:
    # Only what looked wrong was checked: every check is of a head worse than its age tells.
    def worried(records: Records) -> Records:
        log = records.nozzle_checks
        found = log.groupby(["printer", "checked_on"])["missing_nozzles"].transform("sum")
        return records.with_table("nozzle_checks", log[found >= 10])

    seen = [foretold(worried(records_of(CLIMBING, seed))) for seed in range(1, 9)]
    chance, _, failed = map(np.concatenate, zip(*seen, strict=True))
    # Levelled on these checks themselves it was 0.12 of 0.51.
    assert chance.mean() == pytest.approx(failed.mean(), abs=0.2)
    assert failed.mean() > 0.5


def test_with_too_few_failures_nothing_is_used() -> None:
    early = date(2023, 7, 1)
    records = records_of(World(climbs=True, printers=3), 2)
    found = nozzle_factors(records.known_at(early), early)
    assert 0 < found.failures < found.failures_needed
    assert not found.used
    assert [head.factor for head in found.heads] == [None] * len(found.heads)
    assert found.heads


def test_past_chances_are_those_of_what_was_known_then() -> None:
    records = records_of(World(climbs=True, printers=2), 3)
    heads = heads_of(records, LAST_DAY)
    belief = wear_belief(records.part_facts("head"))
    age = np.array([10.0, 200.0, 500.0])
    for then in (date(2023, 5, 1), date(2024, 8, 15), LAST_DAY):
        lives = ages(heads_of(records.known_at(then), then))
        posterior = LifePosterior.from_lives(
            lives.age, lives.failed, lives.entry, lives.last_ok, belief=belief
        )
        told = heads_by_age(heads, belief)(then, age)
        assert told == pytest.approx(posterior.forecast(age, WITHIN_DAYS), rel=1e-9)


# Which checks count, by hand.


def by_hand(
    *checks: tuple[str, str, int], removed_on: str | None = None, **fitting: object
) -> Records:
    """One head of Ada, fitted on 1 March, with checks (day, channel, nozzles missing)."""
    head = {
        "printer": ["Ada"],
        "part_kind": ["head"],
        "position": ["H1"],
        "fitted_on": [pd.Timestamp("2026-03-01")],
        "removed_on": [pd.Timestamp(removed_on) if removed_on else pd.NaT],
        **{name: [value] for name, value in fitting.items()},
    }
    return Records.of(
        {
            "printers": rows("printer started_on", ("Ada", "2026-01-01")),
            "fittings": pd.DataFrame(head),
            "nozzle_checks": rows(
                "printer position checked_on channel missing_nozzles",
                *(("Ada", "H1", *check) for check in checks),
            ),
        }
    )


def test_a_channel_without_a_row_misses_none() -> None:
    records = by_hand(("2026-03-09", "K", 2), ("2026-03-09", "W1", 3), ("2026-03-10", "W1", 4))
    (head,) = nozzle_factors(records, date(2026, 3, 10)).heads
    assert (head.missing, head.checked_on) == (4, date(2026, 3, 10))
    assert checks_of(records, date(2026, 3, 10))["missing"].tolist() == [5, 4]


@pytest.mark.parametrize(
    ("counts", "rise_per_week", "rising_for_days"),
    [
        # Day of March: missing. The last check at least a week old is the one to compare with.
        ({9: 4}, 0.0, 0),
        ({9: 4, 16: 11}, 7.0, 7),
        ({2: 3, 9: 4, 16: 2}, -2.0, 0),
        ({9: 4, 19: 9, 20: 18, 23: 34, 24: 60}, 7 * 56 / 15, 15),
        ({16: 4, 18: 3, 19: 9, 20: 18, 23: 34}, 30.0, 5),
        ({16: 4, 17: 10}, 6.0, 1),  # a day's rise is not blown up to a week's
        ({9: 4, 16: 20, 17: 20, 18: 25}, 7 * 21 / 9, 1),
    ],
)
def test_rise_and_its_days_come_out_as_by_hand(
    counts: dict[int, int], rise_per_week: float, rising_for_days: int
) -> None:
    checks = [(f"2026-03-{day:02}", "K", count) for day, count in counts.items()]
    records, as_of = by_hand(*checks), date(2026, 3, max(counts))
    assert checks_of(records, as_of)["rise"].iloc[-1] == pytest.approx(rise_per_week)
    (head,) = nozzle_factors(records, as_of).heads
    assert head.rising_for_days == rising_for_days


@pytest.mark.parametrize(("as_of", "heads"), [(date(2026, 3, 16), 1), (date(2026, 3, 17), 0)])
def test_a_check_older_than_a_week_says_nothing_of_today(as_of: date, heads: int) -> None:
    found = nozzle_factors(by_hand(("2026-03-09", "K", 30)), as_of)
    assert len(found.heads) == heads
    assert (found.of("Ada", "H1") is not None) == bool(heads)


def test_checks_of_the_days_of_fitting_and_failing_are_left_out() -> None:
    checks = [(f"2026-03-{day:02}", "K", day) for day in (1, 2, 15, 16, 17)]
    records = by_hand(*checks, removed_on="2026-03-16", removal_reason="failed")
    assert checks_of(records, date(2026, 3, 31))["missing"].tolist() == [2, 15]


def test_checks_after_the_last_good_day_may_have_found_the_failure() -> None:
    checks = [(f"2026-03-{day:02}", "K", day) for day in (2, 10, 12, 14)]
    records = by_hand(
        *checks,
        removed_on="2026-03-16",
        removal_reason="failed",
        last_ok_on=pd.Timestamp("2026-03-10"),
    )
    assert checks_of(records, date(2026, 3, 31))["missing"].tolist() == [2, 10]


@pytest.mark.parametrize("reason", ["planned", "accident"])
def test_a_head_that_came_out_for_another_reason_is_no_failure_and_no_survivor(
    reason: str,
) -> None:
    checks = [(f"2026-03-{day:02}", "K", day) for day in (2, 9, 16, 23)]
    records = by_hand(*checks, removed_on="2026-03-25", removal_reason=reason)
    landmark = nozzle_factors(records, date(2026, 6, 30)).landmark
    assert landmark is not None
    assert landmark.failures == 0
    # Only 2 and 9 March lie more than 14 days before the 25th: 9 missing are the most learned from.
    assert landmark.most[0] == 9


def test_a_head_of_unknown_age_is_told_but_not_learned_from() -> None:
    records = by_hand(("2026-03-09", "K", 5), fitted_on=pd.NaT)
    found = nozzle_factors(records, date(2026, 3, 10))
    assert found.landmark is None
    assert [head.missing for head in found.heads] == [5]


def test_an_empty_log_has_nothing_to_tell() -> None:
    found = nozzle_factors(Records(), date(2026, 6, 30))
    assert (found.heads, found.used, found.failures) == ((), False, 0)


# The demo.


@pytest.mark.parametrize(
    ("as_of", "printer", "missing", "rising_for_days"),
    [(date(2026, 6, 23), "Yard", 52, 4), (date(2026, 10, 27), "Yard", 60, 8)],
)
def test_the_demo_sees_heads_climb_on_the_eve_of_their_failure(
    as_of: date, printer: str, missing: int, rising_for_days: int
) -> None:
    records = read_folder(SAMPLE_DATA)
    known = records.known_at(as_of)
    found = nozzle_factors(known, as_of)
    head = found.of(printer, "H1")
    assert found.used
    assert head is not None
    assert head.factor is not None
    assert (head.missing, head.rising_for_days) == (missing, rising_for_days)
    heads = heads_of(known, as_of)
    own = heads[heads["outcome"].eq("running") & heads["printer"].eq(printer)]
    before = heads_by_age(heads, wear_belief(known.part_facts("head")))
    (chance,) = before(as_of, own["age"].to_numpy(float))
    assert chance < 0.06
    assert 1 - (1 - chance) ** head.factor > 0.4
    others = [one.factor for one in found.heads if one.printer != printer]
    assert all(factor is not None and factor < 1.5 for factor in others)


def test_checks_tell_the_same_in_whichever_order_they_were_written_down() -> None:
    told = records_of(CLIMBING, 0)
    shuffled = told.with_table("nozzle_checks", told.nozzle_checks.sample(frac=1, random_state=3))
    assert not shuffled.nozzle_checks["checked_on"].is_monotonic_increasing
    pd.testing.assert_frame_equal(checks_of(shuffled, LAST_DAY), checks_of(told, LAST_DAY))
