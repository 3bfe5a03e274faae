"""The band of the survival picture where nothing has failed yet."""

from __future__ import annotations

import numpy as np
import pandas as pd
import plotly.graph_objects as go
import pytest

from tracker.charts.lives.survival import survival_picture
from tracker.models.curves import kaplan_meier
from tracker.models.curves.survival_curve import survival_curve


def limits_of(
    age: list[float], failed: list[bool], entry: list[float] | None = None
) -> tuple[go.Scatter, go.Scatter]:
    lives = pd.DataFrame({"entry": 0.0, "age": age, "outcome": "running"})
    figure = survival_picture("wiper", survival_curve(age, failed, entry), lives, None, "days")
    return figure.data[0], figure.data[1]


def test_before_the_first_failure_the_band_is_as_wide_as_few_lives_leave_it() -> None:
    upper, lower = limits_of([20, 30, 40, 50], [False, False, True, False])
    assert list(lower.x) == [0, 20, 30, 40, 50]
    # By hand, none of n failed: 0.025^(1/n) with n = 4, then 3 still watched, then 2.
    assert lower.y[:3] == pytest.approx([0.3976, 0.2924, 0.1581], abs=1e-4)
    curve = kaplan_meier([20, 30, 40, 50], [False, False, True, False])
    assert lower.y[3:] == pytest.approx(curve["lower"].to_numpy()[2:]), "as ever after a failure"
    assert list(upper.y[:3]) == [1, 1, 1]


def test_lives_that_came_in_later_do_not_narrow_the_band_of_early_ages() -> None:
    # Two lives watched from 0, three more from age 50: up to 50 two lives speak, and after it the
    # chance of having come through the early ages is known no better.
    _, lower = limits_of([40, 90, 90, 90, 95], [False] * 5, [0, 0, 50, 50, 50])
    assert np.all(np.array(lower.y) <= 0.025 ** (1 / 2) + 1e-12)


def test_without_any_failure_the_curve_still_has_a_band() -> None:
    _, lower = limits_of([10, 60], [False, False])
    assert lower.y == pytest.approx([0.025**0.5, 0.025, 0.025])
