"""Observed against expected, and the words for it."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from tests.decisions.workshops import setting
from tests.review.workshop_by_hand import by_hand
from tracker.arrays import Array
from tracker.forecast.fitted_lives import fit_lives
from tracker.intake.exchange import read_folder
from tracker.lives.life_table import life_table
from tracker.review.expectation import (
    against_expectation,
    chance_of_as_many,
    count_law,
    count_laws,
    exposed,
    in_month,
)
from tracker.review.month import MonthReview, month_review
from tracker.review.period import period_of
from tracker.say.monthly.actions import worded
from tracker.say.monthly.sentences import unusual_sentence

SAMPLE = Path(__file__).parents[2] / "sample_data"
MARCH = date(2026, 3, 1)


@pytest.fixture(scope="module")
def february() -> MonthReview:
    return month_review(read_folder(SAMPLE), date(2026, 2, 1))


def test_parts_are_exposed_from_the_age_the_month_found_them_at() -> None:
    records = by_hand()
    period = period_of(records, MARCH, None)
    rows = exposed(life_table(records, period.last), period)
    wipers = rows[rows["part_kind"] == "wiper"]
    # Ages on 28 February and at the end: Ada's second wiper 39 to 49, its successor 0 to 21;
    # Bob's first 58 to 75, its successor 0 to 14.
    assert wipers[["from_age", "to_age"]].values.tolist() == [[39, 49], [0, 21], [58, 75], [0, 14]]
    assert wipers["broke"].tolist() == [True, False, True, False]


def test_expected_is_the_hazard_gathered_by_what_was_known_before_the_month() -> None:
    records = by_hand()
    period = period_of(records, MARCH, None)
    now, eve = fit_lives(records, period.last), fit_lives(records, period.eve)
    rows = against_expectation(now, eve, period).set_index(["what", "name", "variant"])
    draws, told = eve.draws, eve.told
    assert draws is not None
    assert told is not None
    group = told.groups.index(("wiper", "", ""))
    ada, bob = (draws.unit[:, told.printers.index(name)] for name in ("Ada", "Bob"))
    lot = draws.lot[:, told.lots.index(("wiper", "", "W-1"))]
    # By hand, draw by draw: (age at the end ^ shape − age found at ^ shape) / 120 ^ shape, the
    # typical life; Ada's two are of one lot that was known, Bob's of none. The month lies within
    # one quarter to come.
    shape = draws.shape[:, group]

    def gained(start: float, end: float) -> Array:
        return (end / 120) ** shape - (start / 120) ** shape

    ours = np.exp(ada + lot) * (gained(39, 49) + gained(0, 21))
    theirs = np.exp(bob) * (gained(58, 75) + gained(0, 14))
    wear = np.exp(draws.log_rate[:, group] + draws.ahead[:, 0]) * (ours + theirs)
    accidents = draws.accident[:, group] * (10 + 21 + 17 + 14)
    by_hand_expected = draws.weight @ (wear + accidents)
    assert rows.loc[("part_kind", "wiper", ""), "expected"] == pytest.approx(by_hand_expected)
    assert rows.loc[("part_kind", "wiper", ""), "observed"] == 2
    # Two or more: 1 − P(0) − P(1), Poisson in each draw.
    mean = wear + accidents
    two = draws.weight @ (1 - np.exp(-mean) * (1 + mean))
    assert rows.loc[("part_kind", "wiper", ""), "chance"] == pytest.approx(two, abs=1e-9)
    parts = rows.loc["part_kind", "expected"].sum()
    assert rows.loc[("all", "", ""), "expected"] == pytest.approx(parts)
    assert rows.loc["printer", "expected"].sum() == pytest.approx(parts)


def test_a_part_of_unknown_age_counts_by_the_ages_it_may_have() -> None:
    records = by_hand()
    fittings = records.fittings.copy()
    bobs = (fittings["printer"] == "Bob") & (fittings["part_kind"] == "wiper")
    first = bobs & fittings["removed_on"].notna()
    fittings.loc[first, "fitted_on"] = pd.NaT
    records = records.with_table("fittings", fittings)
    period = period_of(records, MARCH, None)
    now, eve = fit_lives(records, period.last), fit_lives(records, period.eve)
    found = in_month(now, eve, period)
    assert found is not None
    own = np.flatnonzero(found.rows.index == fittings.index[first][0])
    assert found.observed(own) == 1
    # In the printer for 17 days of March: the forecast's own chance of as much.
    draws = eve.draws
    assert draws is not None
    parts = eve.parts(fittings.index[first])
    survives = 1 - draws.chance_of_failure(parts, [17])[0, 0]
    assert found.law(own)[0] == pytest.approx(survives)


def test_a_log_that_begins_in_the_month_says_nothing_of_parts_it_found_old() -> None:
    records = by_hand()
    began = records.with_table("settings", setting(log_began_on="2026-03-05"))
    period = period_of(began, MARCH, None)
    now, eve = fit_lives(began, period.last), fit_lives(began, period.eve)
    found = in_month(now, eve, period)
    assert found is None or (found.rows["from_age"] == 0).all()


@pytest.mark.parametrize("mean", [3.0, 420.0, 3000.0])
def test_the_law_of_the_count_holds_for_a_workshop_and_a_large_fleet(mean: float) -> None:
    law = count_law(np.full(4, 0.25), np.full(4, mean))
    assert law.sum() == pytest.approx(1, abs=1e-9)
    for seen in (mean, mean + 2 * np.sqrt(mean), mean - 2 * np.sqrt(mean)):
        count = max(0, round(seen))
        expected = stats.poisson.sf(count - 1, mean)
        assert chance_of_as_many(law, count) == pytest.approx(expected, abs=1e-9)


def test_a_mean_known_badly_widens_the_law_of_a_large_count_too() -> None:
    weight, means = np.full(3000, 1 / 3000), np.linspace(400.0, 800.0, 3000)
    law = count_law(weight, means)
    # Mean 600; variance 600 of the counts and 400² / 12 of the means.
    counts = np.arange(len(law))
    assert law @ counts == pytest.approx(600, abs=0.01)
    assert law @ (counts - 600.0) ** 2 == pytest.approx(600 + 400**2 / 12, rel=1e-3)


def test_the_laws_of_many_counts_are_those_of_each_one() -> None:
    rng = np.random.default_rng(4)
    means = rng.gamma(2, rng.choice([0.01, 1, 30], (60, 1)), (60, 12)).clip(max=100)
    weight = rng.dirichlet(np.ones(12))
    laws = count_laws(weight, means)
    for law, mean in zip(laws, means, strict=True):
        alone = count_law(weight, mean)
        assert law[: len(alone)] == pytest.approx(alone, abs=1e-14)
        assert law[len(alone) :].sum() < 1e-9


def test_a_month_with_many_more_failures_than_expected_is_called_unusual(
    february: MonthReview,
) -> None:
    rows = february.expected.set_index(["what", "name", "variant"])
    # All seven dampers that failed in the month came from one supplier, whose bad lot it was.
    bad = ("supplier", "damper from Millbrook Supply", "")
    assert rows.loc[bad, "observed"] == 7
    assert rows.loc[bad, "unusual"]
    assert not rows.loc[("supplier", "damper from Harbour Spares", ""), "unusual"]
    assert not rows.loc[("printer", "Loft", ""), "unusual"]
    for head_type in ("six-channel head", "eight-channel head"):
        assert not rows.loc[("part_kind", "head", head_type), "unusual"]


def test_the_bad_lot_comes_first_among_the_actions_with_its_evidence(
    february: MonthReview,
) -> None:
    first = worded(february)[0]
    assert "Da-M77" in first.what
    assert "9 of 14 failed" in first.why
    assert "Da-M77" in unusual_sentence(february)  # the line under the answer


def test_the_demo_page_is_small(february: MonthReview) -> None:
    from tracker.paper.review import paper_html

    assert len(paper_html(february).encode()) < 300_000
