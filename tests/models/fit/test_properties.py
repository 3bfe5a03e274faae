"""What must hold for any lives at all."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tracker.errors import NotEnoughData
from tracker.models.fit import compare_families, fit_life
from tracker.models.fit.families import FAMILIES
from tracker.models.fit.fitted_life import LifeFit
from tracker.models.fit.likelihood import log_likelihood_by_life
from tracker.models.outcomes import check_outcomes

families = st.sampled_from(list(FAMILIES))


@st.composite
def some_lives(draw: st.DrawFn, least: int = 4) -> dict[str, Any]:
    """Whole-day lives with delayed entry and failures found between checks here and there."""
    count = draw(st.integers(least, 25))
    age = np.array(draw(st.lists(st.integers(2, 900), min_size=count, max_size=count)), float)
    failed = np.array(draw(st.lists(st.booleans(), min_size=count, max_size=count)))
    part = st.lists(st.sampled_from([0.0, 0.0, 0.2, 0.5]), min_size=count, max_size=count)
    entry = np.floor(age * np.array(draw(part)))
    wait = st.lists(st.sampled_from([0.0, 0.0, 0.3, 1.0]), min_size=count, max_size=count)
    waited = np.array(draw(wait))
    last_ok = np.where(
        failed & (waited > 0), entry + np.floor((age - entry) * (1 - waited)), np.nan
    )
    return {"age": age, "failed": failed, "entry": entry, "last_ok": last_ok}


def fitted(family: str, **lives: Any) -> LifeFit:
    try:
        return fit_life(**lives, family=family)
    except NotEnoughData:
        assume(False)
        raise


@settings(max_examples=60)
@given(some_lives(), families, st.sampled_from([0.5, 3.0, 24.0]))
def test_rescaling_the_unit_rescales_the_answers(
    lives: dict[str, Any], family: str, factor: float
) -> None:
    one = fitted(family, **lives)
    scaled = {k: v if k == "failed" else v * factor for k, v in lives.items()}
    other = fitted(family, **scaled)
    assert other.shape == pytest.approx(one.shape, rel=1e-5)
    assert other.mu == pytest.approx(one.mu + math.log(factor), rel=1e-5)
    exact = np.isnan(lives["last_ok"]) & lives["failed"]
    exact |= lives["failed"] & (lives["last_ok"] == lives["age"])
    shift = exact.sum() * math.log(factor)  # densities are per unit of age
    assert other.log_likelihood == pytest.approx(one.log_likelihood - shift, abs=1e-6)


@settings(max_examples=60)
@given(some_lives(), families)
def test_every_life_twice_equals_weight_two(lives: dict[str, Any], family: str) -> None:
    weighted = fitted(family, **lives, weight=np.full(len(lives["age"]), 2.0))
    twice = fitted(family, **{k: np.tile(v, 2) for k, v in lives.items()})
    assert weighted.failures == twice.failures
    assert weighted.log_likelihood == pytest.approx(twice.log_likelihood, abs=1e-7)
    assert weighted.shape == pytest.approx(twice.shape, rel=1e-5)
    assert weighted.mu == pytest.approx(twice.mu, rel=1e-5)


@settings(max_examples=60)
@given(some_lives(), families)
def test_the_order_of_lives_and_weight_zero_change_nothing(
    lives: dict[str, Any], family: str
) -> None:
    one = fitted(family, **lives)
    more = {k: np.append(v[::-1], v[0]) for k, v in lives.items()}
    weight = np.append(np.ones(len(lives["age"])), 0.0)
    other = fitted(family, **more, weight=weight)
    assert other.lives == one.lives
    assert other.log_likelihood == pytest.approx(one.log_likelihood, abs=1e-8)
    assert other.shape == pytest.approx(one.shape, rel=1e-6)


@settings(max_examples=60)
@given(some_lives(), families)
def test_no_other_shape_and_scale_are_more_likely(lives: dict[str, Any], family: str) -> None:
    fit = fitted(family, **lives)
    rng = np.random.default_rng(0)
    checked = check_outcomes(**lives)
    own = log_likelihood_by_life(checked, fit.kind, fit.shape, fit.scale).sum()
    assert own == pytest.approx(fit.log_likelihood, abs=1e-6)
    for log_step, log_bend in rng.normal(0, 1.0, (40, 2)):
        shape = fit.shape * (1.0 if fit.kind.fixed_shape else math.exp(log_bend))
        with np.errstate(all="ignore"):
            each = log_likelihood_by_life(checked, fit.kind, shape, fit.scale * math.exp(log_step))
        assert not each.sum() > fit.log_likelihood + 1e-7


@settings(max_examples=40)
@given(some_lives(), families)
def test_limits_enclose_the_estimate_and_survival_never_rises(
    lives: dict[str, Any], family: str
) -> None:
    fit = fitted(family, **lives)
    for one in (fit.quantile(0.1), fit.shape_interval(), fit.survival_interval(100.0)):
        assert one.lower <= one.estimate * (1 + 1e-9)
        assert one.estimate <= one.upper * (1 + 1e-9)
    ages = np.linspace(0, 2000, 50)
    assert (np.diff(fit.survival(ages)) <= 0).all()
    assert fit.conditional_survival(900.0, 400.0) >= fit.survival(900.0) - 1e-12


@settings(max_examples=80)
@given(some_lives(), st.data())
def test_more_censoring_never_shortens_the_exponential_mean_life(
    lives: dict[str, Any], data: st.DataObject
) -> None:
    exact = {k: lives[k] for k in ("age", "failed", "entry")}
    assume(exact["failed"].sum() >= 2)
    before = fit_life(**exact, family="exponential").mean_life
    which = data.draw(st.sampled_from(list(np.flatnonzero(exact["failed"]))))
    failed = exact["failed"].copy()
    failed[which] = False
    after = fit_life(exact["age"], failed, exact["entry"], family="exponential").mean_life
    assert after > before


@settings(max_examples=30)
@given(some_lives())
def test_families_are_compared_wherever_any_can_be_fitted(lives: dict[str, Any]) -> None:
    try:
        table = compare_families(**lives)
    except NotEnoughData:
        with pytest.raises(NotEnoughData):
            fit_life(**lives, family="exponential")
        return
    assert table["weight"].sum() == pytest.approx(1.0)
    assert set(table.index) == set(FAMILIES)
    assert (table["why_not"] == "").any()
