"""What must hold of the posterior whatever the lives: order, units, more watching."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tracker.models.life_model.posterior import LifeBelief, LifePosterior

lives = st.lists(
    st.tuples(st.floats(1, 900), st.booleans(), st.floats(0, 0.9)), min_size=0, max_size=8
)


@settings(max_examples=40)
@given(rows=lives, factor=st.floats(0.01, 400))
def test_rescaling_the_unit_rescales_every_answer(
    rows: list[tuple[float, bool, float]], factor: float
) -> None:
    age = np.array([row[0] for row in rows])
    failed = np.array([row[1] for row in rows], dtype=bool)
    entry = age * np.array([row[2] for row in rows])
    one = LifePosterior.from_lives(age, failed, entry, belief=LifeBelief(150))
    other = LifePosterior.from_lives(
        factor * age, failed, factor * entry, belief=LifeBelief(150 * factor)
    )
    assert other.quantile(0.5, age=30 * factor) == pytest.approx(
        factor * one.quantile(0.5, age=30), rel=1e-6
    )
    assert other.shape.estimate == pytest.approx(one.shape.estimate, rel=1e-6)


@settings(max_examples=40)
@given(rows=lives, age=st.floats(0, 2000))
def test_survival_never_rises_and_quantiles_never_fall(
    rows: list[tuple[float, bool, float]], age: float
) -> None:
    posterior = LifePosterior.from_lives(
        [row[0] for row in rows], [row[1] for row in rows], belief=LifeBelief(150)
    )
    survival = posterior.survival(age + np.linspace(0, 3000, 60), age=age)
    assert survival[0] == pytest.approx(1, abs=1e-12)
    assert (np.diff(survival) <= 1e-12).all()
    ahead = posterior.remaining_quantile([0.0, 0.05, 0.3, 0.7, 0.95, 1.0], age=age)
    assert ahead[0] == 0
    assert np.isinf(ahead[-1])
    assert (np.diff(ahead) > 0).all()


@settings(max_examples=30)
@given(rows=lives, more=st.floats(1, 500))
def test_more_time_without_failure_never_shortens_a_life_of_known_shape(
    rows: list[tuple[float, bool, float]], more: float
) -> None:
    belief = LifeBelief(150, shape=1.8, shape_spread=0)
    age, failed = [row[0] for row in rows], [row[1] for row in rows]
    before = LifePosterior.from_lives(age, failed, belief=belief)
    after = LifePosterior.from_lives([*age, more], [*failed, False], belief=belief)
    assert after.survival(200, age=20) >= before.survival(200, age=20)
    assert after.mean_life.estimate >= before.mean_life.estimate * (1 - 1e-12)
