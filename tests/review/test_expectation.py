"""Observed against expected, and the words for it."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from tests.review.workshop_by_hand import by_hand
from tracker.forecast.need import need_models
from tracker.intake.exchange import read_folder
from tracker.lives.life_table import life_table
from tracker.review.expectation import (
    against_expectation,
    chance_of_as_many,
    exposed,
    law_of,
    poisson_law,
)
from tracker.review.month import MonthReview, month_review
from tracker.review.period import period_of
from tracker.say.monthly.actions import worded
from tracker.say.monthly.sentences import headline

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
    models = need_models(records, period.eve)
    table = against_expectation(life_table(records, period.last), period, models)
    rows = table.set_index(["what", "name"])
    nodes = models["wiper"].posterior().nodes()
    both = nodes.cumulative_hazard([49.0, 39, 21, 75, 58, 14])
    by_nodes = nodes.weight @ (both @ [1, -1, 1, 1, -1, 1])
    # Two ways of laying the same parameter nodes: within 2 %.
    assert rows.loc[("part_kind", "wiper"), "expected"] == pytest.approx(by_nodes, rel=0.02)
    assert rows.loc[("part_kind", "wiper"), "observed"] == 2
    parts = rows.loc["part_kind", "expected"].sum()
    assert rows.loc[("all", ""), "expected"] == pytest.approx(parts)
    assert rows.loc["printer", "expected"].sum() == pytest.approx(parts)


@pytest.mark.parametrize("mean", [3.0, 420.0, 3000.0])
def test_the_law_of_the_count_holds_for_a_workshop_and_a_large_fleet(mean: float) -> None:
    # Two kinds of parts, Poisson each: together Poisson with the sum of their means.
    half = (np.ones(1), np.array([mean / 2]))
    law = law_of([half, half])
    assert law.sum() == pytest.approx(1, abs=1e-9)
    for seen in (mean, mean + 2 * np.sqrt(mean), mean - 2 * np.sqrt(mean)):
        count = max(0, round(seen))
        expected = stats.poisson.sf(count - 1, mean)
        assert chance_of_as_many(law, count) == pytest.approx(expected, abs=1e-9)


def test_a_mean_known_badly_widens_the_law_of_a_large_count_too() -> None:
    weight, means = np.full(3000, 1 / 3000), np.linspace(400.0, 800.0, 3000)
    law = poisson_law(weight, means, 1100)
    # Mean 600; variance 600 of the counts and 400² / 12 of the means.
    counts = np.arange(1100)
    assert law @ counts == pytest.approx(600, abs=0.01)
    assert law @ (counts - 600.0) ** 2 == pytest.approx(600 + 400**2 / 12, rel=1e-3)


def test_a_month_with_many_more_failures_than_expected_is_called_unusual(
    february: MonthReview,
) -> None:
    rows = february.expected.set_index(["what", "name", "variant"])
    # Seven of the month's eight failures came on one printer, where 1.2 were usual.
    assert rows.loc[("printer", "Yard", ""), "observed"] == 7
    assert rows.loc[("printer", "Yard", ""), "unusual"]
    assert not rows.loc[("printer", "Loft", ""), "unusual"]
    for head_type in ("six-channel head", "eight-channel head"):
        assert not rows.loc[("part_kind", "head", head_type), "unusual"]


def test_the_bad_lot_comes_first_among_the_actions_with_its_evidence(
    february: MonthReview,
) -> None:
    first = worded(february)[0]
    assert "Da-M77" in first.what
    assert "9 of 14 failed" in first.why
    assert "Da-M77" in headline(february)


def test_the_demo_page_is_small(february: MonthReview) -> None:
    from tracker.paper.review import paper_html

    assert len(paper_html(february).encode()) < 300_000
