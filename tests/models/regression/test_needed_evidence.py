"""How much evidence is needed, against published values (cases D11a and D11b)."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.reference import reference_case
from tracker.errors import ModelError
from tracker.models.curves import log_rank
from tracker.models.regression.needed_evidence import (
    e_value,
    events_for_exposure,
)


def test_events_needed_are_schoenfelds() -> None:
    # Case D11a: Schoenfeld (1983) Biometrics 39:499.
    expected = reference_case("D11a")
    # Two equal groups are an exposure of 0 or 1 whose spread is one half.
    doubled = events_for_exposure(2, 0.5)
    assert doubled == pytest.approx(expected["d_HR2"], rel=1e-8)
    assert math.ceil(doubled) == expected["ceil"]
    harder = events_for_exposure(1.5, 0.5, power=0.9)
    assert harder == pytest.approx(expected["d_HR1_5_power90"], rel=1e-8)
    assert math.ceil(harder) == expected["ceil_1_5"]


def test_an_exposure_of_two_equal_groups_needs_what_the_groups_need() -> None:
    needed = events_for_exposure(2, 0.5)
    assert events_for_exposure(2, 1.0) == pytest.approx(needed / 4)
    assert events_for_exposure(0.5, 0.5) == pytest.approx(needed)
    assert events_for_exposure(2, 0.4) > needed  # as groups of one and four: spread 0.4


def test_the_promised_power_is_reached_by_the_log_rank_test() -> None:
    # 400 seeded trials of 66 failures in two equal groups with hazards 2 : 1; nominal 80 %.
    rng = np.random.default_rng(3)
    group = np.arange(66) % 2
    found = sum(
        log_rank(rng.exponential(1.0 + group), np.ones(66, dtype=bool), group).p_value < 0.05
        for _ in range(400)
    )
    assert 0.73 <= found / 400 <= 0.87


def test_e_values_are_those_of_vanderweele_and_ding() -> None:
    # Case D11b: VanderWeele & Ding (2017) Ann Intern Med 167:268.
    expected = reference_case("D11b")
    strength = e_value(3.9, 1.8, 8.7)
    assert strength.estimate == pytest.approx(expected["E_point"], rel=1e-8)
    assert strength.limit == pytest.approx(expected["E_ci"], rel=1e-8)
    smoking = e_value(10.73, 8.02, 14.36)
    assert smoking.estimate == pytest.approx(expected["smoking_RR10_73"], rel=1e-8)
    assert smoking.limit == pytest.approx(expected["smoking_lo8_02"], rel=1e-8)


def test_protective_ratios_are_turned_over_and_limits_that_hold_one_need_nothing() -> None:
    assert e_value(1 / 3.9, 1 / 8.7, 1 / 1.8).limit == pytest.approx(e_value(3.9, 1.8, 8.7).limit)
    assert e_value(0.8, 0.5, 1.3).limit == 1.0
    assert e_value(1.0, 0.5, 2.0).estimate == 1.0
    assert e_value(2.0, 1.5, math.inf).limit == pytest.approx(1.5 + math.sqrt(0.75))


def test_a_common_outcome_softens_a_hazard_ratio_first() -> None:
    # Hand calculation: (1 − ½^√4)/(1 − ½^√¼) = .75 / .292893 = 2.560660.
    risk = 0.75 / (1 - math.sqrt(0.5))
    common = e_value(4.0, 2.0, 8.0, common=True)
    assert common.estimate == pytest.approx(risk + math.sqrt(risk * (risk - 1)))
    assert common.estimate < e_value(4.0, 2.0, 8.0).estimate
    turned = e_value(0.25, 0.125, 0.5, common=True)
    assert turned.estimate == pytest.approx(common.estimate)


def test_questions_without_an_answer_are_refused() -> None:
    with pytest.raises(ModelError, match="hazard_ratio is 1"):
        events_for_exposure(1, 0.5)
    with pytest.raises(ModelError, match="power is 80"):
        events_for_exposure(2, 0.5, power=80)
    with pytest.raises(ModelError, match="spread is 0"):
        events_for_exposure(2, 0)
    with pytest.raises(ModelError, match="0 < lower ≤ ratio ≤ upper"):
        e_value(2, 3, 4)
