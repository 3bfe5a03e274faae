"""Points, line and band of the probability plot."""

from __future__ import annotations

import numpy as np
import pytest

from tests.reference import reference_data
from tracker.errors import NotEnoughData
from tracker.models.curves import kaplan_meier
from tracker.models.fit.fitting import fit_life
from tracker.models.fit.plot import probability_plot


def test_lives_that_all_failed_lie_at_i_less_one_half_over_n() -> None:
    bearings = reference_data("lieblein_zelen_ballbearing.csv").time.drop_duplicates()
    plot = probability_plot(bearings, np.ones(len(bearings)), family="lognormal")
    n = len(bearings)
    expected = (np.arange(1, n + 1) - 0.5) / n
    np.testing.assert_allclose(plot.points["failed_share"], expected)
    assert plot.points["age"].is_monotonic_increasing
    assert plot.start_age == 0.0


def test_censored_lives_lie_at_the_middle_of_the_kaplan_meier_steps() -> None:
    trial = reference_data("gehan_6mp.csv")
    trial = trial[trial.treat == "6-MP"]
    plot = probability_plot(trial.time, trial.event)
    curve = kaplan_meier(trial.time, trial.event)
    steps = curve[curve["failures"] > 0]
    before = np.concatenate([[1.0], steps["survival"].to_numpy()[:-1]])
    expected = 1 - (before + steps["survival"].to_numpy()) / 2
    np.testing.assert_allclose(plot.points["failed_share"], expected)
    assert plot.points["age"].tolist() == steps.index.tolist()
    assert plot.points["failures"].tolist() == [3, 1, 1, 1, 1, 1, 1]
    # by hand: 3 of 21 fail at 6 weeks, then 1 of 17
    np.testing.assert_allclose(expected[:2], [3 / 42, 1 - (18 / 21) * (1 + 16 / 17) / 2])


@pytest.mark.parametrize("family", ["exponential", "weibull", "lognormal", "loglogistic"])
def test_the_fitted_line_is_straight_on_its_own_axes_and_inside_its_band(family: str) -> None:
    table = reference_data("nist_weibull_20units.csv")
    line = probability_plot(table.time, table.event, family=family).line
    slopes = np.diff(line["y"]) / np.diff(line["x"])
    np.testing.assert_allclose(slopes, slopes[0], rtol=1e-6)
    assert (line["y_lower"] < line["y"]).all()
    assert (line["y"] < line["y_upper"]).all()
    assert (line["lower"] < line["upper"]).all()


def test_the_slope_of_a_weibull_line_is_its_shape_per_natural_log() -> None:
    table = reference_data("nist_weibull_20units.csv")
    plot = probability_plot(table.time, table.event)
    slope = np.polyfit(plot.line["x"], plot.line["y"], 1)[0]
    assert slope == pytest.approx(plot.fit.shape * np.log(10))


def test_points_of_a_true_family_lie_inside_the_band_nearly_always() -> None:
    rng = np.random.default_rng(8)
    life, end = 200 * rng.weibull(2.0, 400), rng.uniform(50, 400, 400)
    plot = probability_plot(np.minimum(life, end), life <= end, level=0.99)
    y = np.interp(plot.points["x"], plot.line["x"], plot.line["y_upper"])
    low = np.interp(plot.points["x"], plot.line["x"], plot.line["y_lower"])
    # KM points wander more than the fitted curve does: most, not all, are inside
    inside = (plot.points["y"] < y) & (plot.points["y"] > low)
    assert inside.mean() > 0.8
    # and a family that is wrong has points outside at its ends
    wrong = probability_plot(np.minimum(life, end), life <= end, family="exponential", level=0.99)
    outside = np.interp(wrong.points["x"], wrong.line["x"], wrong.line["y_lower"])
    assert (wrong.points["y"] < outside).mean() > 0.3


def test_delayed_entry_sets_the_points_on_the_curve_where_watching_began() -> None:
    house = reference_data("channing.csv")
    house = house[(house.exit > house.entry) & (house.sex == "Male")]
    plot = probability_plot(house.exit, house.cens, entry=house.entry)
    # The first risk sets are so thin that Kaplan–Meier falls to 0 at 781 months: start past it.
    assert plot.start_age >= 781
    fit = fit_life(house.exit, house.cens, entry=house.entry)
    start = 1 - fit.survival(plot.start_age)
    assert plot.points["failed_share"].iloc[0] > start
    assert plot.points["failed_share"].is_monotonic_increasing
    assert plot.points["failed_share"].iloc[-1] < 1
    assert "judge their slope" in plot.note


def test_weights_draw_the_same_plot_as_repeated_lives() -> None:
    one = probability_plot([10, 20, 30], [1, 1, 0], weight=[2, 1, 3])
    other = probability_plot([10, 10, 20, 30, 30, 30], [1, 1, 1, 0, 0, 0])
    np.testing.assert_allclose(one.points.to_numpy(), other.points.to_numpy())
    np.testing.assert_allclose(one.line.to_numpy(), other.line.to_numpy(), rtol=1e-6)


def test_failures_found_at_checks_are_drawn_at_the_middle_of_their_interval() -> None:
    plot = probability_plot([10, 20, 40], [1, 1, 0], last_ok=[4, np.nan, np.nan])
    assert plot.points["age"].tolist() == [7.0, 20.0]
    assert "middle of their interval" in plot.note


def test_ticks_lie_on_the_axis_of_the_family() -> None:
    plot = probability_plot([10, 20, 40], [1, 1, 0])
    tick = plot.y_ticks.set_index("failed_share")["y"]
    assert tick[0.1] == pytest.approx(np.log(-np.log(0.9)))
    with pytest.raises(NotEnoughData):
        probability_plot([10, 20], [0, 0])
