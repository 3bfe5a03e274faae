"""Groups that borrow from one another: against sampling, dense sums and plain expectations."""

import numpy as np
import numpy.typing as npt
import pytest

from tracker.errors import ModelError
from tracker.models.life_model.life_forecast import LifeForecast
from tracker.models.life_model.pooling import PooledPosterior
from tracker.models.life_model.pooling_grid import SPREAD_SCALE
from tracker.models.life_model.posterior import LifeBelief, LifePosterior

Array = npt.NDArray[np.float64]
BELIEF = LifeBelief(150, worth_failures=2.0, shape=1.5, shape_spread=0.4)
AGE = np.array([90.0, 110, 60, 200, 220, 210])
FAILED = np.array([1, 1, 1, 1, 0, 0])
GROUP = ["white"] * 3 + ["colour"] * 3
REACHED = np.array([40.0, 120.0, 250.0])


def sampled(last_ok: Array, draws: int = 600_000) -> tuple[dict[str, tuple[Array, Array]], float]:
    """Survival of each group by drawing everything from the belief and weighting by the data."""
    rng, belief, reached = np.random.default_rng(7), BELIEF, REACHED
    shape = np.exp(rng.normal(np.log(belief.shape), belief.shape_spread, draws))
    middle = rng.gamma(belief.worth_failures, 1 / belief.worth_failures, draws)
    spread = np.abs(rng.normal(0, SPREAD_SCALE, draws))
    alpha = spread**-2
    names = sorted(set(GROUP))
    rate = {name: rng.gamma(alpha, middle / alpha) for name in names}
    log_weight = np.zeros(draws)
    for end, died, name, ok in zip(AGE, FAILED, GROUP, last_ok, strict=True):
        power = (end / belief.typical_life) ** shape
        if not died:
            log_weight -= rate[name] * power
        elif np.isnan(ok):
            log_weight += np.log(rate[name] * shape / end * power) - rate[name] * power
        else:
            start = (ok / belief.typical_life) ** shape
            chance = np.exp(-rate[name] * start) - np.exp(-rate[name] * power)
            log_weight += np.log(np.maximum(chance, 1e-300))
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    rows = {}
    for name in names:
        alive = np.exp(-rate[name] * (reached[:, None] / belief.typical_life) ** shape)
        mean = alive @ weight
        rows[name] = mean, np.sqrt(((alive - mean[:, None]) ** 2) @ weight**2)
    ahead = weight[rate["white"] > rate["colour"]].sum()
    return rows, ahead


def test_groups_agree_with_sampling_from_the_belief() -> None:
    pooled = PooledPosterior.from_lives(AGE, FAILED, GROUP, belief=BELIEF)
    rows, ahead = sampled(np.full(6, np.nan))
    for name, (mean, error) in rows.items():
        assert np.all(np.abs(pooled.group(name).survival(REACHED) - mean) < 4 * error + 1e-4)
        assert error.max() < 0.006
    assert pooled.ratio_to_rest("white").chance_worse == pytest.approx(ahead, abs=0.015)


def test_failures_between_checks_agree_with_sampling_from_the_belief() -> None:
    last_ok = np.array([60.0, 95, 30, 170, np.nan, np.nan])
    pooled = PooledPosterior.from_lives(AGE, FAILED, GROUP, last_ok=last_ok, belief=BELIEF)
    rows, _ = sampled(last_ok)
    for name, (mean, error) in rows.items():
        assert np.all(np.abs(pooled.group(name).survival(REACHED) - mean) < 4 * error + 1e-3)


def lives_of(
    rng: np.random.Generator, number: int, scale: float, shape: float = 1.6, end: float = 400
) -> tuple[Array, npt.NDArray[np.bool_]]:
    age = scale * rng.weibull(shape, number)
    return np.minimum(age, end), age < end


def test_a_group_with_two_failures_borrows_and_one_with_fifty_speaks_for_itself() -> None:
    rng = np.random.default_rng(3)
    big, big_failed = lives_of(rng, 52, 100)
    small, small_failed = np.array([300.0, 320.0]), np.array([True, True])
    age, failed = np.concatenate((big, small)), np.concatenate((big_failed, small_failed))
    group = ["big"] * 52 + ["small"] * 2
    pooled = PooledPosterior.from_lives(age, failed, group, belief=LifeBelief(150))

    def median(posterior: LifeForecast) -> float:
        return float(posterior.quantile(0.5))

    alone_big = median(LifePosterior.from_lives(big, big_failed, belief=LifeBelief(150)))
    alone_small = median(LifePosterior.from_lives(small, small_failed, belief=LifeBelief(150)))
    assert median(pooled.group("big")) == pytest.approx(alone_big, rel=0.03)
    assert alone_big < median(pooled.group("small")) < 0.85 * alone_small


def test_equal_groups_shrink_together_and_the_data_cannot_tell_them_apart() -> None:
    rng = np.random.default_rng(5)
    age, failed = lives_of(rng, 60, 120)
    group = ["a", "b", "c"] * 20
    pooled = PooledPosterior.from_lives(age, failed, group, belief=LifeBelief(150))
    together = LifePosterior.from_lives(age, failed, belief=LifeBelief(150)).quantile(0.5)
    for name in pooled.groups:
        own = np.array(group) == name
        alone = LifePosterior.from_lives(age[own], failed[own], belief=LifeBelief(150))
        shift = pooled.group(name).quantile(0.5) - together
        assert abs(shift) <= abs(alone.quantile(0.5) - together) + 0.5
        ratio = pooled.ratio_to_rest(name).ratio
        assert ratio.lower < 1 < ratio.upper


def test_a_group_never_seen_is_less_certain_than_one_that_was() -> None:
    pooled = PooledPosterior.from_lives(AGE, FAILED, GROUP, belief=BELIEF)
    new, seen = pooled.group("clear"), pooled.group("white")
    wide = np.diff(np.log(new.quantile([0.1, 0.9])))
    assert wide > np.diff(np.log(seen.quantile([0.1, 0.9])))
    assert pooled.group("white").survival(120) < new.survival(120)
    assert new.survival(120) < pooled.group("colour").survival(120)


def test_a_truly_worse_group_is_found_with_its_ratio() -> None:
    rng = np.random.default_rng(11)
    good, good_failed = lives_of(rng, 80, 240)
    bad, bad_failed = lives_of(rng, 80, 120)
    pooled = PooledPosterior.from_lives(
        np.concatenate((good, bad)),
        np.concatenate((good_failed, bad_failed)),
        ["good"] * 80 + ["bad"] * 80,
        belief=LifeBelief(150),
    )
    found = pooled.ratio_to_rest("bad")
    # Half the scale at shape 1.6 is 2^1.6 = 3.03 times the rate.
    assert found.ratio.lower < 2**1.6 < found.ratio.upper
    assert found.chance_worse > 0.999
    assert pooled.ratio_to_rest("good").chance_worse == pytest.approx(1 - found.chance_worse)


@pytest.mark.parametrize("name", ["white", "colour", "clear"])
def test_nodes_of_a_group_average_to_its_survival(name: str) -> None:
    posterior = PooledPosterior.from_lives(AGE, FAILED, GROUP, belief=BELIEF).group(name)
    t = np.linspace(1, 1500, 100)
    np.testing.assert_allclose(posterior.nodes().survival(t), posterior.survival(t), atol=1e-4)


def test_rescaling_days_to_hours_rescales_every_answer() -> None:
    hours = LifeBelief(150 * 24, worth_failures=2.0, shape=1.5, shape_spread=0.4)
    days = PooledPosterior.from_lives(AGE, FAILED, GROUP, belief=BELIEF).group("white")
    scaled = PooledPosterior.from_lives(AGE * 24, FAILED, GROUP, belief=hours).group("white")
    assert scaled.quantile(0.3, age=24) == pytest.approx(24 * days.quantile(0.3, age=1))


def test_thousands_of_lives_per_group_are_integrated_as_well_as_few() -> None:
    age, failed = np.tile(AGE, 2), np.tile(FAILED, 2)
    group = ["a"] * 6 + ["b"] * 6
    weight = np.full(12, 2000.0)
    pooled = PooledPosterior.from_lives(age, failed, group, weight=weight, belief=BELIEF)
    alone = LifePosterior.from_lives(age, failed, weight=weight, belief=BELIEF)
    assert pooled.group("a").survival(120) == pytest.approx(alone.survival(120), abs=2e-3)


def test_no_lives_at_all_is_the_belief_made_wider_by_the_spread() -> None:
    pooled = PooledPosterior.from_lives([], [], [], belief=BELIEF)
    new = pooled.group("any")
    assert new.belief_share == 1.0
    # By drawing middle, spread and rate from the belief: any shape gives 1 at the typical life.
    rng = np.random.default_rng(2)
    alpha = np.abs(rng.normal(0, SPREAD_SCALE, 400_000)) ** -2.0
    rate = rng.gamma(alpha, rng.gamma(2.0, 0.5, alpha.size) / alpha)
    assert new.survival(150) == pytest.approx(np.exp(-rate).mean(), abs=2e-3)
    assert pooled.log_evidence == pytest.approx(0, abs=1e-3)


def test_a_life_without_a_group_is_refused() -> None:
    with pytest.raises(ModelError, match="one per life"):
        PooledPosterior.from_lives(AGE, FAILED, GROUP[:-1], belief=BELIEF)


def test_a_group_that_was_never_seen_cannot_be_compared() -> None:
    pooled = PooledPosterior.from_lives(AGE, FAILED, GROUP, belief=BELIEF)
    with pytest.raises(ModelError, match="clear"):
        pooled.ratio_to_rest("clear")


def test_ages_are_counted_in_each_groups_own_typical_life() -> None:
    """By hand: white ages times 150/90 are the same lives in units of a common typical life."""
    age = np.array([90.0, 110, 60, 200, 220, 210])
    failed = [1, 1, 0, 1, 0, 1]
    ink = np.array(["white"] * 3 + ["colour"] * 3, dtype=object)
    believed = PooledPosterior.from_lives(
        age, failed, ink, belief=LifeBelief(150), typical_life_of={"white": 90.0}
    )
    stretched = np.where(ink == "white", age * 150 / 90, age)
    common = PooledPosterior.from_lives(stretched, failed, ink, belief=LifeBelief(150))
    chance = [0.1, 0.5, 0.9]
    assert believed.group("white").quantile(chance) == pytest.approx(
        common.group("white").quantile(chance) * 90 / 150, rel=1e-6
    )
    assert believed.group("colour").quantile(chance) == pytest.approx(
        common.group("colour").quantile(chance), rel=1e-6
    )


def test_the_ratio_of_two_groups_is_the_same_whatever_life_their_ages_are_counted_in() -> None:
    age, failed = [90.0, 110, 60, 200, 220, 210], [1, 1, 0, 1, 0, 1]
    ink = ["white"] * 3 + ["colour"] * 3
    own = {"white": 90.0, "colour": 150.0}
    ratios = [
        PooledPosterior.from_lives(
            age, failed, ink, belief=LifeBelief(unit), typical_life_of=own
        ).ratio_to_rest("white")
        for unit in (150.0, 90.0)
    ]
    # Hazards of one shape keep their ratio at every age.
    assert ratios[0].ratio.estimate == pytest.approx(ratios[1].ratio.estimate, rel=1e-6)
    assert ratios[0].ratio.estimate > 1.5
