"""Are careless logs seen through, and clean ones left in peace? Few seeds;
``bench/log_quality_study`` has many, and more kinds of workshops."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from tests.bench.log_quality_study import SCENARIOS, Finding, one_workshop

BY_TITLE = {scenario.title: scenario for scenario in SCENARIOS}


@cache
def found(title: str, workshops: int, *, fitted: bool = False) -> list[Finding]:
    scenario = replace(BY_TITLE[title], printers=4)
    return [one_workshop(scenario, 500_000 + seed, fitted=fitted) for seed in range(workshops)]


@pytest.mark.parametrize(
    "title", ["clean", "clean, irregular workers", "clean, checked weekly", "clean, more does harm"]
)
def test_a_clean_log_is_hardly_ever_suspected(title: str) -> None:
    # One in twenty: binomial(10, 0.05) exceeds 2 with a chance of 1.2 %.
    assert sum(one.suspects > 0 for one in found(title, 10)) <= 2
    assert sum(one.is_thin for one in found(title, 10)) <= 2
    if "irregular" not in title:  # somebody who works at random leaves long gaps
        assert sum(one.is_silent for one in found(title, 10)) <= 2


@pytest.mark.parametrize(("title", "share"), [("10 % mistaken", 0.5), ("30 % mistaken", 0.7)])
def test_symptoms_called_planned_are_found_and_rightly_so(title: str, share: float) -> None:
    many = found(title, 8)
    assert all(one.suspects for one in many)
    assert sum(one.found for one in many) > share * sum(one.mistaken for one in many)
    assert sum(one.named_rightly for one in many) > 0.75 * sum(one.suspects for one in many)


def test_with_suspects_out_the_limits_hold_the_truth_again() -> None:
    many = found("30 % mistaken", 8, fitted=True)
    # binomial(8, 0.85): fewer than 5 has a chance of 2 %.
    assert sum(one.judged[1] <= -0.6 <= one.judged[2] for one in many) >= 5
    # Counted as written the task looks far less helpful than it is.
    written, judged = (
        np.mean([one.written[0] for one in many]),
        np.mean([one.judged[0] for one in many]),
    )
    assert abs(judged - -0.6) < 0.5 * abs(written - -0.6)


def test_a_half_written_log_is_told_by_its_gaps() -> None:
    shares = [one.share_logged for one in found("half written", 6)]
    assert 0.45 < np.mean(shares) < 0.6
    assert np.ptp(shares) < 0.2


def test_a_half_written_log_gives_the_effect_back() -> None:
    many = found("half written", 8, fitted=True)
    # binomial(8, 0.85): fewer than 5 has a chance of 2 %.
    assert sum(one.judged[1] <= -0.6 <= one.judged[2] for one in many) >= 5
    written, judged = (
        np.mean([one.written[0] for one in many]),
        np.mean([one.judged[0] for one in many]),
    )
    assert abs(judged - -0.6) < 0.5 * abs(written - -0.6)


def test_a_log_thinned_in_bad_weeks_is_recognised() -> None:
    assert sum(one.is_thin for one in found("thinned in bad weeks", 6)) >= 5


def test_a_silent_time_is_recognised() -> None:
    assert all(one.is_silent for one in found("silent autumn", 6))
