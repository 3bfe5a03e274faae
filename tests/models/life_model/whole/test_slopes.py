"""Slope, curvature and evidence against numerical differences and sums."""

from dataclasses import replace

import numpy as np
import pytest

from tests.models.life_model.whole.worlds import Truth, fitted, simulated
from tracker.models.life_model.posterior import LifeBelief
from tracker.models.life_model.whole import Groups, Guesses, History, SpreadGrid
from tracker.models.life_model.whole.curvature import Bender
from tracker.models.life_model.whole.drawing import draw_levels
from tracker.models.life_model.whole.fit import middle_of
from tracker.models.life_model.whole.likelihood import Likelihood, Spreads, likelihood_of
from tracker.models.life_model.whole.mode import begun, find_peak, foreseen
from tracker.models.life_model.whole.spreads import likely_peaks

SPREADS = Spreads(units=0.4, walk=0.2, lots=0.3, season=0.3)


def everything(seed: int = 1) -> Likelihood:
    """Two kinds, one of two groups; lots, units, an exposure, long intervals, unknown ages."""
    rng = np.random.default_rng(seed)
    history = simulated(Truth(effect=-0.5, units=3, days=600), rng)
    lives = history.lives
    group = rng.integers(0, 3, len(lives))
    last_ok = np.where(lives.failed & (rng.random(len(lives)) < 0.3), 0.6 * lives.age, np.nan)
    old = np.nonzero(lives.began_on == 0)[0]
    guess = np.full(len(lives), -1)
    guess[old] = np.arange(len(old))
    guesses = Guesses(
        np.tile([10.0, 90.0, 200.0], (len(old), 1)), np.tile([0.3, 0.5, 0.2], (len(old), 1))
    )
    beliefs = (LifeBelief(150), LifeBelief(120, 2.0), LifeBelief(200, 0.5, 1.2))
    groups = Groups(np.array([0, 0, 1]), beliefs)
    changed = replace(lives, group=group, last_ok=last_ok, guess=guess)
    steps = replace(history.exposures, acts=np.array([[True, False, True]]))
    return likelihood_of(
        History(changed, groups, 600.0, 3, history.n_lots, guesses, steps), season=True
    )


def known_ages() -> History:
    """The same history, but no age is unknown."""
    history = everything().history
    assert isinstance(history, History)
    lives = history.lives
    return replace(history, lives=replace(lives, guess=np.full(len(lives), -1)), guesses=None)


def test_begun_at_a_fit_of_nearly_the_same_exposures_the_same_is_told() -> None:
    history, grid = known_ages(), SpreadGrid((0.4,), (0.2,), (0.3,), (0.3,))
    steps, rng = history.exposures, np.random.default_rng(7)
    shaken = replace(steps, value=steps.value + 0.1 * rng.standard_normal(steps.value.shape))
    like = fitted(replace(history, steps=shaken), 400, grid=grid)
    alone, begun = (fitted(history, 400, grid=grid, like=one) for one in (None, like))
    for name in ("effect", "log_rate", "unit", "lot", "drift", "season", "shape"):
        told, again = (draws.weight @ getattr(draws, name) for draws in (alone, begun))
        np.testing.assert_allclose(told, again, atol=1e-3)


def test_the_middle_of_draws_lies_near_the_mode() -> None:
    history, grid = known_ages(), SpreadGrid((0.4,), (0.2,), (0.3,), (0.3,))
    draws, model = fitted(history, 400, grid=grid), likelihood_of(history, season=True)
    bender, start = Bender(model), middle_of(model, draws)
    assert start is not None
    peak = find_peak(bender, SPREADS, np.zeros(len(start)))
    gained = bender.value(peak.at, SPREADS) - bender.value(np.zeros(len(start)), SPREADS)
    assert bender.value(peak.at, SPREADS) - bender.value(start, SPREADS) < gained / 5
    fewer_lots = replace(draws, lot=draws.lot[:, 1:])
    assert middle_of(model, fewer_lots) is None


def test_a_fit_of_other_units_and_quarters_is_begun_where_the_known_ones_lie() -> None:
    history, grid = known_ages(), SpreadGrid((0.4,), (0.2,), (0.3,), (0.3,))
    draws, model = fitted(history, 100, grid=grid), likelihood_of(history, season=True)
    turned, lots = np.array([2, 0, -1]), np.arange(draws.lot.shape[1])
    shorter = replace(draws, drift=draws.drift[:, :3])
    start = middle_of(model, shorter.placed(turned, lots, np.array([-1])))
    assert start is not None
    part = model.layout.slices
    mean = draws.weight @ draws.unit
    np.testing.assert_allclose(start[part["unit"]], [mean[2], mean[0], 0.0])
    np.testing.assert_allclose(start[part["lot"]], draws.weight @ draws.lot)
    drift = draws.weight @ draws.drift
    np.testing.assert_allclose(start[part["drift"]][:2], drift[1:3])
    np.testing.assert_allclose(start[part["drift"]][2:], drift[2])
    assert (start[part["effect"]] == 0).all()


def test_the_slope_is_that_of_the_value() -> None:
    model = everything()
    assert len(model.cells.intervals) > 10
    x = 0.2 * np.random.default_rng(2).standard_normal(model.layout.slices["lot"].stop)
    bender = Bender(model)
    slope = bender.slope(x, SPREADS)
    step = 1e-5
    for i in range(len(x)):
        there = [
            bender.value(x + sign * step * (np.arange(len(x)) == i), SPREADS) for sign in (1, -1)
        ]
        assert slope[i] == pytest.approx((there[0] - there[1]) / (2 * step), abs=2e-4)


def test_curvature_at_the_mode_is_that_of_the_value_but_for_shapes() -> None:
    """Between two shapes the curvature is per group, as far as positive; all else is exact."""
    model = everything()
    bender = Bender(model)
    peak = find_peak(bender, SPREADS, np.zeros(model.layout.slices["lot"].stop))
    bent = peak.curvature
    size = len(peak.at)
    full = np.zeros((size, size))
    full[np.ix_(bent.core_at, bent.core_at)] = bent.core
    full[np.ix_(bent.diagonal_at, bent.core_at)] = bent.cross
    full[np.ix_(bent.core_at, bent.diagonal_at)] = bent.cross.T
    full[bent.diagonal_at, bent.diagonal_at] = bent.diagonal
    step = 1e-4
    numeric = np.empty((size, size))
    for i in range(size):
        move = step * (np.arange(size) == i)
        slopes = [bender.slope(peak.at + s * move, SPREADS) for s in (1, -1)]
        numeric[i] = (slopes[1] - slopes[0]) / (2 * step)
    shapes = np.zeros(size, bool)
    shapes[model.layout.shapes] = True
    other = ~(shapes[:, None] & shapes[None, :])
    np.testing.assert_allclose(full[other], numeric[other], atol=0.02)
    own = np.diag(full)[shapes] / np.diag(numeric)[shapes]
    assert ((own > 0.9) & (own < 1.1)).all()


def test_foreseen_evidence_is_near_the_one_then_found() -> None:
    bender = Bender(everything())
    near = find_peak(bender, SPREADS, np.zeros(bender.model.layout.slices["lot"].stop))
    other = replace(SPREADS, walk=0.1, units=0.25)
    hoped = foreseen(bender, near, other)
    assert hoped is not None
    found = find_peak(bender, other, hoped.at)
    assert hoped.log_evidence == pytest.approx(found.log_evidence, abs=0.3)
    assert np.abs(hoped.at - found.at).max() < 0.1


def test_a_peak_climbed_with_a_neighbours_information_is_the_one_found_anew() -> None:
    """What is left unclimbed is worth 1e-4; it moves no evidence by a hundredth."""
    bender = Bender(everything())
    start = np.zeros(bender.model.layout.slices["lot"].stop)
    near = find_peak(bender, SPREADS, start)
    for other in (replace(SPREADS, walk=0.1, units=0.25), replace(SPREADS, lots=0.3, season=0.03)):
        hoped = foreseen(bender, near, other)
        assert hoped is not None
        kept = find_peak(bender, other, hoped.at, hoped)
        anew = find_peak(bender, other, start)
        assert kept.log_evidence == pytest.approx(anew.log_evidence, abs=0.01)
        assert np.abs(kept.at - anew.at).max() < 0.002


def test_weights_of_the_draws_hang_little_on_the_normal_curve() -> None:
    """Near-equal weights: the drawn density is nearly the true one, whatever its skewness."""
    model = everything()
    peak = find_peak(Bender(model), SPREADS, np.zeros(model.layout.slices["lot"].stop))
    drawn = draw_levels(model, [peak], np.ones(1), 2000, np.random.default_rng(3))
    assert 1 / (drawn.weight**2).sum() > 0.4 * 2000


def test_peaks_foreseen_tell_what_peaks_climbed_tell_once_draws_are_weighed() -> None:
    """Begun at unlikely spreads, so that what is foreseen from there is foreseen amiss."""
    model = everything()
    told, worth = [], []
    for foresee in (False, True):
        shared, peaks, weight = likely_peaks(
            model, SpreadGrid(), np.array([0.9, 0.01, 0.3, 0.4]), exact=foresee
        )
        drawn = draw_levels(shared, peaks, weight, 4000, np.random.default_rng(3))
        told.append(drawn.weight @ drawn.at)
        worth.append(1 / (drawn.weight**2).sum())
    spread = drawn.weight @ (drawn.at - told[1]) ** 2
    # Two standard errors of both means; among some dozens of levels one in twenty may pass them.
    off = np.abs(told[1] - told[0]) / np.sqrt(spread * (1 / worth[0] + 1 / worth[1]))
    assert (off > 2).mean() < 0.15
    assert off.max() < 5
    assert worth[1] > 400


def test_hazards_in_single_precision_are_those_in_double() -> None:
    model = everything()
    x = 0.2 * np.random.default_rng(2).standard_normal((50, model.layout.slices["lot"].stop))
    by_kind = model.summing[0]
    fine, coarse = (
        by_kind @ model.gathered(x, model.cells.exposure, coarse=coarse) for coarse in (False, True)
    )
    np.testing.assert_allclose(coarse, fine, rtol=2e-6)


def test_no_level_is_too_high_for_single_precision() -> None:
    """e^88.7 is the highest number it holds, and what is gathered is a product of two powers."""
    model = everything()
    x = np.zeros((3, model.layout.slices["lot"].stop))
    x[1, model.layout.slices["unit"]] = 60.0
    x[2, model.layout.slices["unit"]] = 500.0
    usual, *high = model.gathered(x, model.cells.exposure, coarse=True).T
    assert (usual == model.gathered(x[:1], model.cells.exposure, coarse=True)[:, 0]).all()
    for gathered in high:
        assert np.isfinite(gathered).all()
        assert (gathered >= usual).all()


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_what_is_foreseen_weighs_the_same_as_climbed(seed: int) -> None:
    """Far less likely ones to a thousandth; close ones to what a tenth of log evidence is worth."""
    model, peaks, weight = likely_peaks(everything(seed), SpreadGrid())
    assert len(peaks) > 10
    bender = Bender(model)
    climbed = [find_peak(bender, peak.spreads, peak.at) for peak in peaks]
    amiss = np.array(
        [peak.log_evidence - told.log_evidence for peak, told in zip(peaks, climbed, strict=True)]
    )
    moved = [np.abs(peak.at - told.at).max() for peak, told in zip(peaks, climbed, strict=True)]
    far = weight < weight.max() * np.exp(-4)
    assert far.any()
    assert (np.abs(amiss) > 1e-3).sum() > 10  # some were foreseen
    assert np.abs(amiss[~far]).max() < 0.15
    assert max(moved) < 0.15
    truly = weight * np.exp(-amiss)
    off = np.abs(truly / truly.sum() - weight)
    assert off[far].max() < 1e-3
    assert off[far].sum() < 5e-3
    assert off.max() < 0.01


def test_a_climb_begins_where_rates_and_units_account_for_the_failures() -> None:
    """With no levels but units that differ by 0.6, the failures of each and 1/0.6² more are what is
    expected of it, with as many more: the mean of a gamma so pulled in.
    """
    level = tuple(0.6 * np.random.default_rng(8).standard_normal(30))
    world = simulated(Truth(units=30, days=500, level=level), np.random.default_rng(4))
    model = likelihood_of(world, season=False)
    bender = Bender(model)
    start, differ = begun(bender)
    assert differ == pytest.approx(np.std(level), abs=0.15)
    unit = model.cells.strata.unit
    seen = np.bincount(unit[model.cells.events.stratum], minlength=30)
    expected = np.bincount(unit, bender.expected(start), minlength=30)
    assert expected.sum() == pytest.approx(seen.sum(), rel=0.02)
    own = np.exp(start[model.layout.slices["unit"]])
    np.testing.assert_allclose(expected + own / differ**2, seen + 1 / differ**2, rtol=0.01)
    lost = [bender.value(at, SPREADS) for at in (start, np.zeros(len(start)))]
    assert lost[0] > lost[1]
    peak, again = (find_peak(bender, SPREADS, at) for at in (start, np.zeros(len(start))))
    assert again.log_evidence == pytest.approx(peak.log_evidence, abs=0.01)
