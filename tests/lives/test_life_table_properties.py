"""Whatever day is asked, the counted lives can go into any model and never run backwards."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from tests.simulation.demo import demo_plan, make_demo
from tracker.lives.life_table import Scale, ages, life_table
from tracker.models.outcomes import check_outcomes
from tracker.workshop import vocabulary as words

BEGAN, ENDS = demo_plan().log_began_on, demo_plan().log_ends_on
RECORDS, _ = make_demo(3)
DAYS = [BEGAN + timedelta(days=days) for days in (-100, 0, 1, 13, 200, 431, 600, 943, 1500)]


@pytest.mark.parametrize("scale", ["days", "area"])
@pytest.mark.parametrize("as_of", DAYS)
def test_counted_lives_pass_the_gate_of_every_model(as_of: date, scale: Scale) -> None:
    lives = life_table(RECORDS, as_of, scale)
    assert set(lives["outcome"]) <= set(words.OUTCOMES)
    assert (lives["counted"] == (lives["why_not"] == "")).all()
    for event in (("failed",), ("accident",), ("failed", "accident")):
        data = ages(lives, event)
        outcomes = check_outcomes(data.age, data.failed, data.entry, data.last_ok)
        assert outcomes.events == data.failed.sum()


def test_a_later_day_never_takes_a_life_back() -> None:
    rng = np.random.default_rng(8)
    days = sorted(BEGAN + timedelta(days=int(day)) for day in rng.integers(0, 950, 12))
    before = life_table(RECORDS, days[0])
    for as_of in days[1:]:
        now = life_table(RECORDS, as_of)
        assert before.index.isin(now.index).all()
        same = now.loc[before.index]
        known = before["age"].notna()
        assert (same["age"][known] >= before["age"][known]).all()
        ended = before["outcome"] != "running"
        assert (same["outcome"][ended] == before["outcome"][ended]).all()
        before = now


def test_time_watched_in_days_adds_up_to_the_days_that_positions_were_filled() -> None:
    lives = life_table(RECORDS, ENDS)
    watched = (lives["age"] - lives["entry"])[lives["counted"]]
    # Counted day by day: a part is watched on the days it was in and the log was kept.
    first = lives["fitted_on"].clip(lower=np.datetime64(BEGAN))
    last = lives["removed_on"].fillna(np.datetime64(ENDS))
    by_days = (last - first).dt.days[lives["counted"]]
    halves = (lives["age"] == 0.5)[lives["counted"]]
    assert watched[~halves].sum() == by_days[~halves].sum()
