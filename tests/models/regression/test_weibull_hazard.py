"""The Weibull hazard with changing exposures against grids, other models and known truth."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from scipy.integrate import quad
from scipy.special import gammaln

from tests.models.regression.test_cox import weekly
from tracker.errors import ModelError, NotEnoughData
from tracker.models.life_model.posterior import LifeBelief, LifePosterior
from tracker.models.regression import fit_cox, fit_weibull_hazard


def rng(seed: int = 1) -> np.random.Generator:
    return np.random.default_rng(seed)


def grid_posterior(
    rows: pd.DataFrame, belief: LifeBelief, prior_sd: float
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Weights over a (log β, b) grid for one exposure x, λ integrated out by its gamma."""
    log_shape = np.linspace(-1.2, 2.0, 161)
    effect = np.linspace(-2.5, 2.5, 201)
    start, stop = rows["start"].to_numpy(), rows["stop"].to_numpy()
    fails = rows["failed"].to_numpy(dtype=bool)
    x = rows["x"].to_numpy() - np.average(rows["x"], weights=stop - start)
    beta = np.exp(log_shape)
    width = stop ** beta[:, None] - start ** beta[:, None]
    exposed = width @ np.exp(x[:, None] * effect)
    deaths, a0 = fails.sum(), belief.worth_failures
    mass = a0 * belief.typical_life ** beta[:, None]
    log_weight = (
        deaths * log_shape[:, None]
        + (beta[:, None] - 1) * np.log(stop[fails]).sum()
        + effect * x[fails].sum()
        + a0 * np.log(mass)
        - (a0 + deaths) * np.log(mass + exposed)
        - 0.5 * ((log_shape[:, None] - np.log(belief.shape)) / belief.shape_spread) ** 2
        - 0.5 * (effect / prior_sd) ** 2
    )
    weight = np.exp(log_weight - log_weight.max())
    return log_shape, effect, weight.sum(axis=1) / weight.sum(), weight.sum(axis=0) / weight.sum()


def _density_of_level(z: float, count: float, k: float, rate: float) -> float:
    """A printer's gamma density (but for its constant) times its likelihood."""
    return float(z ** (count + k - 1) * np.exp(-z * (rate + k)))


@pytest.mark.parametrize("parts", [4, 12, 60])
def test_draws_agree_with_a_fine_grid(parts: int) -> None:
    rows = weekly(parts, seed=40, effects=(-0.6,)).rename(columns={"x_0": "x"})
    belief = LifeBelief(150, 1.0)
    log_shape, effect, by_shape, by_effect = grid_posterior(rows, belief, 0.5)
    fit = fit_weibull_hazard(
        rows, ["x"], belief=belief, clusters_differ=False, rng=rng(), draws=20_000
    )
    mean = effect @ by_effect
    spread = np.sqrt((effect - mean) ** 2 @ by_effect)
    drawn = fit.draws["x"].to_numpy()
    assert fit.weights @ drawn == pytest.approx(mean, abs=0.03 * spread)
    assert np.sqrt(fit.weights @ (drawn - mean) ** 2) == pytest.approx(spread, rel=0.03)
    assert fit.weights @ np.log(fit.draws["shape"]) == pytest.approx(log_shape @ by_shape, abs=0.02)
    assert fit.chance_it_helps("x") == pytest.approx(by_effect[effect < 0].sum(), abs=0.02)
    low, high = np.interp([0.025, 0.975], np.cumsum(by_effect) - by_effect / 2, effect)
    limits = fit.hazard_ratio({"x": 1.0})
    assert np.log(limits.lower) == pytest.approx(low, abs=0.1 * spread)
    assert np.log(limits.upper) == pytest.approx(high, abs=0.1 * spread)


def test_an_exposure_that_never_changes_leaves_the_belief_alone() -> None:
    rows = weekly(20, seed=41).assign(still=2.0)
    fit = fit_weibull_hazard(rows, ["still"], prior_sd=0.5, rng=rng(), draws=20_000)
    drawn = fit.draws["still"].to_numpy()
    assert fit.weights @ drawn == pytest.approx(0, abs=0.02)
    assert np.sqrt(fit.weights @ drawn**2) == pytest.approx(0.5, abs=0.02)


def test_without_effects_the_shape_is_that_of_the_conjugate_posterior() -> None:
    rows = weekly(40, seed=42, effects=(0.0,)).assign(still=1.0)
    lives = rows.groupby("id").agg(
        entry=("start", "min"), age=("stop", "max"), failed=("failed", "max")
    )
    belief = LifeBelief(200, 1.0)
    posterior = LifePosterior.from_lives(
        lives["age"], lives["failed"], lives["entry"], belief=belief
    )
    fit = fit_weibull_hazard(
        rows, ["still"], belief=belief, clusters_differ=False, rng=rng(), draws=20_000
    )
    ages = np.array([50.0, 100.0, 200.0])
    hazard = fit.cumulative_hazard(ages, {"still": 1.0})
    np.testing.assert_allclose(fit.weights @ np.exp(-hazard), posterior.survival(ages), atol=0.004)


def test_what_printers_add_is_integrated_out() -> None:
    # The marginal likelihood of one printer by numerical integration over its gamma level.
    from tracker.models.regression.episode_rows import check_episodes
    from tracker.models.regression.hazard_model import HazardModel

    rows = weekly(12, seed=43)
    model = HazardModel.of(check_episodes(rows, ["x_0"]), np.array([0.5]), None, True)
    points = np.array([[0.3, -1.0, np.log(0.5), -0.4], [0.1, -1.4, np.log(0.9), 0.2]])
    sums = np.array([model.rows.exposure_sums(p[0], p[3:]) for p in points])
    got = model.log_density(points, sums)
    expected = []
    for point, sums_here in zip(points, sums, strict=True):
        k = np.exp(-2 * point[2])
        total = -0.5 * ((point[2] - np.log(0.3)) / 0.8) ** 2
        total += -0.5 * (point[3] / model.spread[0] / 0.5) ** 2  # per standard deviation
        total += -0.5 * ((point[0] - np.log(1.5)) / 0.5) ** 2
        deaths = model.failures.sum()
        total += deaths * (point[0] + point[1]) + np.expm1(point[0]) * model.sum_log_age
        total += point[3] * model.sum_exposure[0]
        for count, exposed in zip(model.failures, sums_here, strict=True):
            rate = np.exp(point[1]) * exposed
            level = quad(_density_of_level, 0, np.inf, args=(count, k, rate))[0]
            total += np.log(level) + k * np.log(k) - gammaln(k)
        expected.append(total)
    assert got[1] - got[0] == pytest.approx(expected[1] - expected[0], abs=1e-6)


@pytest.mark.parametrize("base", [0.3, 5.0, 199.0, 201.0, 1e6, 1e12, 1e17])
def test_the_gamma_ratio_keeps_its_digits_when_printers_hardly_differ(base: float) -> None:
    from tracker.models.regression.hazard_model import log_gamma_excess

    added = np.array([0.0, 1.0, 7.0, 120.0])
    # log Γ(b + n)/Γ(b) − n log b is the sum of log(1 + i/b) over i < n.
    expected = [np.log1p(np.arange(int(n)) / base).sum() for n in added]
    np.testing.assert_allclose(log_gamma_excess(np.array(base), added), expected, atol=3e-9)


def test_weights_that_sit_on_one_draw_are_flattened_and_not_waited_for() -> None:
    from tracker.models.regression.importance import weighted_draws

    def needle(points: np.ndarray) -> np.ndarray:
        return -0.5 * (points**2).sum(axis=1) * 1e8

    drawn = weighted_draws(needle, np.full(2, 0.5), np.eye(2), rng(), 1000)
    assert np.isfinite(drawn.values).all()
    assert drawn.weights.sum() == pytest.approx(1)
    assert drawn.refits >= 1


def test_a_workshop_whose_printers_are_alike_to_the_last_digit_still_gets_an_answer() -> None:
    # Few differences and much data push the printers' spread to nothing, where the plain gamma
    # ratio is noise: this seed once never came back.
    from tests.bench.effect_study import one_workshop

    found = one_workshop(0.0, 100_023, 6, 900, draws=600)
    assert found.lower < 0 < found.upper


def test_grouping_rows_into_cells_moves_the_likelihood_by_next_to_nothing() -> None:
    from tracker.models.regression.hazard_cells import group_rows, hazard_cells, hazard_rows

    generator = rng(44)
    start = generator.integers(0, 500, 5000).astype(float)
    exposure = generator.normal(size=(2, 5000))
    rows = hazard_rows(start, start + 7, exposure, generator.integers(0, 5, 5000), 5, unit=200.0)
    cells = hazard_cells(rows, group_rows(rows, 1500), 0.4, np.array([-0.3, 0.1]))
    assert cells.n_cells <= 1500
    for log_shape, effects in ((0.4, (-0.3, 0.1)), (0.7, (0.2, -0.5)), (0.0, (-0.9, 0.6))):
        exact = rows.exposure_sums(log_shape, np.array(effects))
        grouped = cells.exposure_sums(np.array([log_shape]), np.array([effects]))[0]
        np.testing.assert_allclose(grouped, exact, rtol=2e-3)


def test_the_interpolation_over_shapes_is_exact_where_nothing_else_is_rounded() -> None:
    from tracker.models.regression.hazard_cells import group_rows, hazard_cells, hazard_rows

    start = np.array([0.0, 7.0, 250.5, 60.0])
    rows = hazard_rows(start, start + 3.25, np.zeros((1, 4)), np.array([0, 1, 2, 2]), 3, unit=90.0)
    cells = hazard_cells(rows, group_rows(rows, 10), 0.4, np.zeros(1))
    log_shape = np.linspace(-1.1, 1.9, 30)
    assert cells.covers(log_shape).all()
    assert not cells.covers(np.array([-1.2, 2.0])).any()
    grouped = cells.exposure_sums(log_shape, np.zeros((30, 1)))
    exact = np.array([rows.exposure_sums(u, np.zeros(1)) for u in log_shape])
    np.testing.assert_allclose(grouped, exact, rtol=1e-5)


def test_many_failures_bring_it_to_the_cox_estimate() -> None:
    rows = weekly(400, seed=45)
    fit = fit_weibull_hazard(rows, ["x_0", "x_1"], rng=rng())
    cox = fit_cox(rows, ["x_0", "x_1"])
    for name in ("x_0", "x_1"):
        mean = float(fit.weights @ fit.draws[name])
        assert abs(mean - cox.coefficients[name]) < 0.5 * cox.std_errors[name]
    assert fit.effective_sample_size > 1000
    assert fit.summary_error < 0.01


def test_two_failures_stay_wide_and_near_no_effect() -> None:
    rows = weekly(12, seed=46)
    first_two = rows["failed"] & (rows["failed"].cumsum() <= 2)
    fit = fit_weibull_hazard(rows.assign(failed=first_two), ["x_0", "x_1"], rng=rng())
    limits = fit.hazard_ratio({"x_0": 1.0})
    assert fit.failures == 2
    assert limits.lower < 0.75
    assert limits.upper > 1.1
    assert 0.5 < limits.estimate < 1.6


def test_no_failure_needs_a_belief() -> None:
    rows = weekly(12, seed=47).assign(failed=False)
    with pytest.raises(NotEnoughData, match="State a typical life"):
        fit_weibull_hazard(rows, ["x_0"])
    fit = fit_weibull_hazard(rows, ["x_0"], belief=LifeBelief(365), rng=rng())
    assert 0.1 < fit.chance_it_helps("x_0") < 0.9


def test_the_same_seed_gives_the_same_numbers() -> None:
    rows = weekly(30, seed=48)
    one = fit_weibull_hazard(rows, ["x_0"], rng=rng(7)).hazard_ratio({"x_0": 1})
    two = fit_weibull_hazard(rows, ["x_0"], rng=rng(7)).hazard_ratio({"x_0": 1})
    other = fit_weibull_hazard(rows, ["x_0"], rng=rng(8)).hazard_ratio({"x_0": 1})
    assert one == two
    assert one.estimate == pytest.approx(other.estimate, rel=0.03)


def test_other_units_of_age_change_nothing_but_the_rate() -> None:
    rows = weekly(60, seed=49)
    in_weeks = rows.assign(start=rows["start"] / 7, stop=rows["stop"] / 7)
    one = fit_weibull_hazard(rows, ["x_0"], belief=LifeBelief(140), rng=rng(3))
    two = fit_weibull_hazard(in_weeks, ["x_0"], belief=LifeBelief(20), rng=rng(3))
    assert two.hazard_ratio({"x_0": 1}).estimate == pytest.approx(
        one.hazard_ratio({"x_0": 1}).estimate, rel=1e-6
    )


def test_other_units_of_an_exposure_only_rescale_its_effect() -> None:
    rows = weekly(60, seed=49)
    one = fit_weibull_hazard(rows, ["x_0"], rng=rng(3))
    for size in (1e4, 1e-4):
        scaled = rows.assign(x_0=rows["x_0"] * size + 7)
        two = fit_weibull_hazard(scaled, ["x_0"], prior_sd=0.5 / size, rng=rng(3))
        assert two.hazard_ratio({"x_0": size}).lower == pytest.approx(
            one.hazard_ratio({"x_0": 1}).lower, rel=1e-6
        )
        assert two.prior_sd["x_0"] == pytest.approx(0.5 / size)


def test_an_exposure_shared_by_a_whole_printer_gets_wider_limits_when_clusters_differ() -> None:
    # Printers differ by a hidden factor; x is the same on all rows of a printer.
    generator = rng(50)
    rows = []
    for part in range(120):
        hidden = np.exp(0.7 * np.sin(17.0 * (part // 6)))
        for week in range(30):
            fails = generator.random() < 0.03 * hidden
            rows.append((part, part // 6, 7.0 * week, 7.0 * week + 7, fails))
            if fails:
                break
    frame = pd.DataFrame(rows, columns=["id", "cluster", "start", "stop", "failed"])
    frame["x"] = generator.normal(size=20)[frame["cluster"]]
    apart = fit_weibull_hazard(frame, ["x"], rng=rng())
    alike = fit_weibull_hazard(frame, ["x"], rng=rng(), clusters_differ=False)
    wide, narrow = apart.hazard_ratio({"x": 1}), alike.hazard_ratio({"x": 1})
    assert np.log(wide.upper / wide.lower) > 1.3 * np.log(narrow.upper / narrow.lower)
    spread = apart.quantiles(apart.draws["cluster_spread"].to_numpy(), [0.025, 0.975])
    assert spread[0] < 0.5 < spread[1]
    assert (alike.draws["cluster_spread"] == 0).all()


def test_wrong_options_are_named() -> None:
    rows = weekly(5, seed=52)
    with pytest.raises(ModelError, match="prior_sd: 0"):
        fit_weibull_hazard(rows, ["x_0"], prior_sd=0)
    with pytest.raises(ModelError, match="prior_sd: heat is not among x_0"):
        fit_weibull_hazard(rows, ["x_0"], prior_sd={"heat": 1.0})
    with pytest.raises(ModelError, match="draws: 10"):
        fit_weibull_hazard(rows, ["x_0"], draws=10)
    fit = fit_weibull_hazard(rows, ["x_0"], belief=LifeBelief(100))
    with pytest.raises(ModelError, match="no covariate heat"):
        fit.hazard_ratio({"heat": 1})
