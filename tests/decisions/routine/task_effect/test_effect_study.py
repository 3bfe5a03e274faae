"""Are the limits of an effect honest on simulated workshops? Few seeds; ``bench/effect_study``
has many, and more kinds of workshops."""

from __future__ import annotations

from functools import cache

import numpy as np

from tests.bench.effect_study import Finding, one_workshop


@cache
def workshops(effect: float, hidden_spread: float = 0.0, halved: bool = False) -> list[Finding]:
    """Sixteen workshops of four printers and 900 days: about a hundred failures each."""
    return [
        one_workshop(
            effect, 4000 + seed, 4, 900, draws=400, hidden_spread=hidden_spread, halved=halved,
            checked=not hidden_spread and not halved,
        )
        for seed in range(16)
    ]  # fmt: skip


def held(findings: list[Finding], truth: float) -> int:
    return sum(one.lower <= truth <= one.upper for one in findings)


def test_with_a_hundred_failures_the_limits_hold_the_truth_and_the_mean_is_near_it() -> None:
    found = workshops(-0.6)
    assert 85 < np.mean([one.failures for one in found]) < 130
    assert held(found, -0.6) >= 13  # binomial(16, 0.95): fewer has a chance of 0.7 %
    # Ten per cent of the effect, and two standard errors of a mean of sixteen.
    assert abs(np.mean([one.mean for one in found]) - -0.6) < 0.06 + 2 * 0.1 / np.sqrt(16)
    assert abs(np.mean([one.cox for one in found]) - -0.6) < 0.06 + 2 * 0.1 / np.sqrt(16)


def test_without_an_effect_few_limits_exclude_none() -> None:
    found = workshops(0.0)
    assert held(found, 0.0) >= 13
    assert abs(np.mean([one.mean for one in found])) < 2 * 0.1 / np.sqrt(16)


def test_with_and_without_an_effect_together_the_limits_hold_as_often_as_they_say() -> None:
    # 32 workshops: at a true rate of 94 % fewer than 27 inside has a chance of 1 %.
    assert held(workshops(-0.6), -0.6) + held(workshops(0.0), 0.0) >= 27


def test_counting_what_symptoms_called_for_would_make_a_helpful_task_look_harmful() -> None:
    found = workshops(-0.6)
    assert np.mean([one.with_symptoms > 0 for one in found]) > 0.9
    assert np.mean([one.with_symptoms for one in found]) > 0
    assert all(one.mean < 0 for one in found)


def test_printers_that_differ_for_hidden_reasons_leave_the_limits_honest() -> None:
    assert held(workshops(-0.6, 0.5), -0.6) >= 13


def test_two_tasks_whose_paces_change_are_told_apart() -> None:
    found = [
        one_workshop(effect, 4100 + seed, 6, 900, draws=400, other_effect=other, checked=False)
        for seed in range(8)
        for effect, other in ((-0.6, -0.3), (0.0, -0.6))
    ]
    assert held(found[::2], -0.6) + held(found[1::2], 0.0) >= 13


def test_a_change_of_all_lives_is_not_taken_for_the_tasks_doing() -> None:
    found = workshops(-0.6, halved=True)
    assert held(found, -0.6) >= 13
    assert abs(np.mean([one.mean for one in found]) - -0.6) < 0.06 + 2 * 0.1 / np.sqrt(16)
