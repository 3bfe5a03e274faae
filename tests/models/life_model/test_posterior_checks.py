"""The posterior against published figures, sampling and itself: data of every size."""

from collections.abc import Callable

import numpy as np
import pytest

from tests.reference import reference_case, reference_data
from tracker.errors import ModelError
from tracker.models.life_model.posterior import LifeBelief, LifePosterior

CAGE = reference_data("bearingcage.csv")
NIST = reference_data("nist_weibull_20units.csv")


def cage_posterior(times: float) -> LifePosterior:
    return LifePosterior.from_lives(
        CAGE["hours"],
        CAGE["event"] == 1,
        weight=times * CAGE["count"],
        belief=LifeBelief(5000),
    )


def test_the_shape_and_scale_approach_the_maximum_likelihood_as_data_grow() -> None:
    # Bearing cages (Abernethy et al. 1983; Meeker and Escobar 1998): shape 2.035, scale 11 792.
    best = reference_case("D1c")
    gaps = []
    for times in (1, 10, 100, 1000):
        posterior = cage_posterior(times)
        gap = (
            posterior.shape.estimate - best["shape"],
            np.log(posterior.scale.estimate / best["scale"]),
        )
        assert posterior.shape.lower < best["shape"] < posterior.shape.upper
        gaps.append(np.abs(gap).max())
    assert gaps[3] < gaps[2] < gaps[1] < gaps[0]
    assert gaps[3] < 0.01


def test_failures_expected_among_the_survivors_meet_the_published_prediction() -> None:
    # Meeker and Escobar 1998, chapter 12: 5.057 failures in the next 300 hours (plug-in).
    running = CAGE["event"] == 0
    posterior = cage_posterior(2000)
    chance = posterior.forecast(CAGE["hours"][running], 300)
    assert chance @ CAGE["count"][running] == pytest.approx(
        reference_case("D10a")["expected"], rel=3e-3
    )
    # The same for the ten survivors of the NIST handbook's twenty units, next 200 hours.
    nist = LifePosterior.from_lives(
        NIST["time"], NIST["event"] == 1, weight=np.full(20, 2000.0), belief=LifeBelief(600)
    )
    assert 10 * nist.chance_of_failure(500, 200) == pytest.approx(
        reference_case("D10c")["expected"], rel=1e-3
    )


def test_conditional_figures_meet_their_closed_forms_in_the_limit() -> None:
    # Weibull(shape 2, scale 1000) seen so often that nothing is left uncertain (closed forms).
    age = 1000 * np.sqrt(-np.log1p(-(np.arange(4000) + 0.5) / 4000))
    posterior = LifePosterior.from_lives(
        age, np.ones(4000), weight=np.full(4000, 500.0), belief=LifeBelief(800)
    )
    case = reference_case("D10b")
    found = {
        "w2_1000_R700_given500": posterior.survival(700, age=500),
        "w2_median_RL_500": posterior.remaining_quantile(0.5, age=500),
        "w2_10pct_RL_500": posterior.remaining_quantile(0.1, age=500),
    }
    for name, value in found.items():
        assert value == pytest.approx(case[name], rel=2e-3), name


def test_a_known_shape_and_no_prior_exposure_give_the_chi_square_bound() -> None:
    # Two failures, shape 1.5 assumed (Nelson 1985, J. Qual. Tech. 17:140): the lower bound with
    # 2r + 2 degrees of freedom is the posterior of one failure's worth of belief at no exposure.
    case = reference_case("D7b")
    time = [1200.0, 950, 2100, 700, 1800, 300, 2500]
    belief = LifeBelief(1e-3, worth_failures=1, shape=1.5, shape_spread=0)
    posterior = LifePosterior.from_lives(time, np.isin(time, (700, 1800)), belief=belief)
    bound = np.quantile(posterior.points(8192).scale, (0.10, 0.05))
    np.testing.assert_allclose(bound, [case["etaL_90"], case["etaL_95"]], rtol=2e-3)


def draw(rng: np.random.Generator, belief: LifeBelief, size: int) -> tuple[np.ndarray, np.ndarray]:
    shape = np.exp(rng.normal(np.log(belief.shape), belief.shape_spread, size))
    rate = rng.gamma(belief.worth_failures, 1 / belief.worth_failures, size)
    return shape, belief.typical_life * rate ** (-1 / shape)


@pytest.mark.parametrize("checked", [False, True])
def test_survival_agrees_with_importance_sampling(checked: bool) -> None:
    belief = LifeBelief(200, worth_failures=1.5)
    age, failed = np.array([140.0, 260, 90, 310]), np.array([True, True, False, False])
    entry = np.array([20.0, 0, 0, 150])
    last_ok = np.array([100.0, 200, np.nan, np.nan]) if checked else np.full(4, np.nan)
    posterior = LifePosterior.from_lives(age, failed, entry, last_ok, belief=belief)
    shape, scale = draw(np.random.default_rng(12), belief, 800_000)
    log_weight = np.zeros(shape.size)
    for end, died, start, ok in zip(age, failed, entry, last_ok, strict=True):
        gained = (end / scale) ** shape - (start / scale) ** shape
        if not died:
            log_weight -= gained
        elif np.isnan(ok):
            log_weight += np.log(shape / end) + shape * np.log(end / scale) - gained
        else:
            until = (ok / scale) ** shape - (start / scale) ** shape
            log_weight += np.log(np.maximum(np.exp(-until) - np.exp(-gained), 1e-300))
    weight = np.exp(log_weight)
    assert posterior.log_evidence == pytest.approx(np.log(weight.mean()), abs=0.02)
    weight /= weight.sum()
    for given_age, t in ((0.0, 120.0), (0.0, 400.0), (150.0, 250.0)):
        alive = np.exp((given_age / scale) ** shape - (t / scale) ** shape)
        mean = weight @ alive
        error = np.sqrt(weight**2 @ (alive - mean) ** 2)
        assert error < 0.003
        assert abs(posterior.survival(t, age=given_age) - mean) < 4 * error


def test_ranks_of_the_truth_are_uniform_when_it_comes_from_the_belief() -> None:
    # Simulation-based calibration (Talts et al. 2018): the truth is drawn from the belief, the
    # data from the truth, and its rank in the posterior must be uniform. Half the studies find
    # their failures at checks 40 days apart, all have delayed entry and censoring.
    rng, belief, studies = np.random.default_rng(2024), LifeBelief(200, worth_failures=1.0), 400
    shapes, scales = draw(rng, belief, studies)
    ranks = np.empty((studies, 3))
    for i, (shape, scale) in enumerate(zip(shapes, scales, strict=True)):
        entry = np.where(np.arange(8) < 2, 60.0, 0.0)
        # A part seen from age 60 on is one that reached it.
        life = scale * ((entry / scale) ** shape + rng.exponential(size=8)) ** (1 / shape)
        end = rng.uniform(80, 400, 8)
        failed = life < end
        age = np.maximum(np.minimum(life, end), entry + 1e-6)
        last_ok = None
        if i % 2:
            before = np.maximum(40 * np.floor(age / 40), entry)
            last_ok = np.where(failed, before, np.nan)
            age = np.where(failed, 40 * np.floor(age / 40) + 40, age)
        posterior = LifePosterior.from_lives(age, failed, entry, last_ok, belief=belief)
        curves = posterior.points(1024)
        median_life = curves.scale * np.log(2) ** (1 / curves.shape)
        true_rate = (belief.typical_life / scale) ** shape
        ranks[i] = (
            (curves.shape < shape).mean(),
            (median_life < scale * np.log(2) ** (1 / shape)).mean(),
            (curves.rate < true_rate).mean(),
        )
    even = (np.arange(studies) + 0.5) / studies
    distance = np.abs(np.sort(ranks, axis=0) - even[:, None]).max(axis=0)
    # Kolmogorov: 1.63 / sqrt(n) is passed by one sample in a hundred.
    assert (distance < 1.63 / np.sqrt(studies)).all(), distance


def test_narrow_checks_are_as_good_as_exact_ages() -> None:
    age, failed = np.array([140.0, 260, 90, 310, 75]), np.array([1, 1, 0, 0, 1])
    belief, width = LifeBelief(200), 0.01
    exact = LifePosterior.from_lives(age, failed, belief=belief)
    last_ok = np.where(failed == 1, age - width / 2, np.nan)
    found = np.where(failed == 1, age + width / 2, age)
    checked = LifePosterior.from_lives(found, failed, last_ok=last_ok, belief=belief)
    assert exact.is_exact
    assert not checked.is_exact
    t = np.array([20.0, 100, 250, 600, 2000])
    np.testing.assert_allclose(checked.survival(t), exact.survival(t), atol=2e-6)
    np.testing.assert_allclose(
        checked.survival(t + 100, age=100), exact.survival(t + 100, age=100), atol=2e-6
    )
    assert checked.log_evidence == pytest.approx(exact.log_evidence + 3 * np.log(width), abs=1e-5)
    assert checked.belief_share == pytest.approx(exact.belief_share, rel=2e-3)


def test_wide_checks_tell_less_than_exact_ages() -> None:
    age, failed = np.array([140.0, 260, 90, 310, 75]), np.array([1, 1, 0, 0, 1])
    exact = LifePosterior.from_lives(age, failed, belief=LifeBelief(200))
    last_ok = np.where(failed == 1, 0.0, np.nan)
    checked = LifePosterior.from_lives(age, failed, last_ok=last_ok, belief=LifeBelief(200))
    assert checked.belief_share > exact.belief_share
    assert checked.shape.upper / checked.shape.lower > exact.shape.upper / exact.shape.lower


def test_current_status_data_meet_the_published_fit() -> None:
    # Turbine wheels, one inspection each (Nelson 1982, p. 407): shape 2.176, scale 46.78.
    wheels = reference_data("turbine_inspection.csv")
    sound = wheels["inspected"] - wheels["failed"]
    n = len(wheels)
    posterior = LifePosterior.from_lives(
        np.tile(wheels["hours"], 2),
        np.repeat([True, False], n),
        last_ok=np.concatenate((np.zeros(n), np.full(n, np.nan))),
        weight=50 * np.concatenate((wheels["failed"], sound)),
        belief=LifeBelief(50),
    )
    best = reference_case("D2a")
    assert posterior.shape.estimate == pytest.approx(best["shape"], rel=0.01)
    assert posterior.scale.estimate == pytest.approx(best["scale"], rel=0.005)


def test_delayed_entry_meets_the_published_fit_in_the_limit() -> None:
    # Channing House women (Hyde 1980), entered at ages of 700 months and more.
    rows = reference_data("channing.csv")
    women = rows[(rows["exit"] > rows["entry"]) & (rows["sex"] == "Female")]
    posterior = LifePosterior.from_lives(
        women["exit"],
        women["cens"] == 1,
        women["entry"],
        weight=np.full(len(women), 300.0),
        belief=LifeBelief(1000),
    )
    best = reference_case("D2b")
    assert posterior.shape.estimate == pytest.approx(best["LTWeibull_female_shape"], rel=0.01)
    assert posterior.scale.estimate == pytest.approx(best["LTWeibull_female_scale"], rel=0.002)


def test_a_shape_far_from_the_belief_is_found_all_the_same() -> None:
    rng = np.random.default_rng(4)
    for shape in (0.25, 14.0):
        age = 300 * rng.weibull(shape, 20_000)
        posterior = LifePosterior.from_lives(
            np.maximum(age, 1e-6), np.ones(20_000), belief=LifeBelief(300)
        )
        assert posterior.shape.lower < shape < posterior.shape.upper
        assert posterior.shape.upper / posterior.shape.lower < 1.05


def test_two_hundred_thousand_lives_leave_hardly_any_doubt() -> None:
    rng = np.random.default_rng(9)
    age = np.maximum(np.ceil(250 * rng.weibull(1.8, 200_000)), 1)
    failed = age < 400
    age = np.minimum(age, 400)
    posterior = LifePosterior.from_lives(age, failed, belief=LifeBelief(100))
    assert posterior.belief_share < 1e-5
    truth = np.exp((100 / 250) ** 1.8 - (200 / 250) ** 1.8)
    assert posterior.survival(200, age=100) == pytest.approx(truth, abs=0.004)
    nodes = posterior.nodes()
    assert nodes.survival([200.0], given=100)[0] == pytest.approx(
        posterior.survival(200, age=100), abs=1e-5
    )


def test_a_part_far_beyond_every_other_still_has_a_forecast() -> None:
    # A ratio of survivals would be 0 / 0 here.
    posterior = LifePosterior.from_lives(
        np.full(50, 100.0), np.ones(50), weight=np.full(50, 20.0), belief=LifeBelief(100)
    )
    chance = posterior.chance_of_failure(5000, 10)
    assert 0 < chance <= 1
    assert np.isfinite(posterior.remaining_quantile(0.5, age=5000))


def test_many_parts_at_once_get_what_each_gets_alone() -> None:
    posterior = LifePosterior.from_lives([140, 260, 90], [1, 1, 0], belief=LifeBelief(200))
    ages = [300, 20, 300, 0, 20]
    alone = [posterior.chance_of_failure(age, 45) for age in ages]
    np.testing.assert_allclose(posterior.forecast(ages, 45), alone)


def test_a_belief_off_by_two_is_corrected_by_ten_failures_but_not_by_two() -> None:
    # Lives at the even quantiles of Weibull(1.5, 300), whose median is 235 days.
    def lives_of(number: int) -> np.ndarray:
        return 300 * (-np.log1p(-(np.arange(number) + 0.5) / number)) ** (1 / 1.5)

    medians = [
        LifePosterior.from_lives(lives_of(n), np.ones(n), belief=LifeBelief(470)).quantile(0.5)
        for n in (0, 2, 10, 40)
    ]
    assert medians[0] > medians[1] > medians[2] > medians[3]
    assert medians[3] == pytest.approx(235, rel=0.05)
    assert medians[1] > 1.2 * 235


def test_the_belief_share_is_the_share_of_failures_worth_of_evidence() -> None:
    belief = LifeBelief(200, worth_failures=2)
    for failures in (0, 1, 6):
        posterior = LifePosterior.from_lives(
            np.full(8, 150.0), np.arange(8) < failures, belief=belief
        )
        assert posterior.belief_share == pytest.approx(2 / (2 + failures))


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda p: p.survival(-1), "t is -1"),
        (lambda p: p.survival(10, age=float("nan")), "age is nan"),
        (lambda p: p.chance_of_failure(10, -5), "horizon is -5"),
        (lambda p: p.quantile(1.2), "p is 1.2"),
    ],
)
def test_questions_that_make_no_sense_are_refused(
    call: Callable[[LifePosterior], object], named: str
) -> None:
    posterior = LifePosterior.from_lives([100], [1], belief=LifeBelief(200))
    with pytest.raises(ModelError, match=named):
        call(posterior)


@pytest.mark.parametrize(
    ("field", "value"),
    [("typical_life", 0), ("typical_life", float("nan")), ("shape", -1), ("shape_spread", -0.1)],
)
def test_a_belief_that_cannot_be_is_refused(field: str, value: float) -> None:
    with pytest.raises(ModelError, match=field):
        LifeBelief(**{"typical_life": 100, field: value})
