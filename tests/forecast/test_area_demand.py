"""Need of parts that live by printed area, with what is not known of the printing rate."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tests.forecast.life_nodes import weibull
from tests.forecast.simulated_need import DrawnLives, simulated_need_along, total_variation
from tests.forecast.test_demand import DRAWS, learnt, poisson
from tracker.errors import ModelError
from tracker.forecast import demand
from tracker.forecast.positions.area_demand import demand_in_area
from tracker.forecast.positions.co_replaced_positions import TriggerPart
from tracker.forecast.positions.printer_usage import PrinterUsage, on_lattice
from tracker.models.life_model.posterior import LifeBelief, LifePosterior

EVERLASTING = LifePosterior.from_lives([], [], belief=LifeBelief(1e9, 1e6, 1.0, 0.0))


def areas(rng: np.random.Generator, usage: PrinterUsage, days: float) -> np.ndarray:
    """Areas printed in the days, one row per printer and one column per draw: lognormal."""
    error = usage.std_error / usage.area_per_day * np.sqrt(1 + usage.measured_days / days)
    spread = np.sqrt(np.log1p(error**2))[:, None]
    factor = np.exp(spread * rng.standard_normal((len(spread), DRAWS)) - spread**2 / 2)
    return (usage.area_per_day * days)[:, None] * factor


# Relative standard error of the rates, lives seen, days ahead.
SET_UPS = {"a rate well known": (0.05, 20, 40), "a rate hardly known": (0.2, 6, 40),
           "a long time ahead": (0.1, 20, 150)}  # fmt: skip


@pytest.mark.parametrize("name", SET_UPS)
def test_demand_in_area_equals_a_simulation_of_printing_and_wear(name: Any) -> None:
    relative, lives, days = SET_UPS[name]
    rng = np.random.default_rng(sorted(SET_UPS).index(name) + 50)
    life = learnt(rng, lives, 1.8, 900, 900)
    rate = np.array([12.0, 5.0, 8.0])
    usage = PrinterUsage.of(rate, relative * rate, [90, 90, 60])
    printer = np.repeat([0, 1, 2], [5, 5, 2])
    ages = np.round(rng.uniform(0, 900, 12))
    exact = demand_in_area(life, ages, usage, days, printer=printer)
    simulated = simulated_need_along(
        [(DrawnLives(life.points(4096), DRAWS, rng), ages, printer)],
        DrawnLives(EVERLASTING.points(64), DRAWS, rng),
        np.zeros(3),
        np.inf,
        areas(rng, usage, days),
    )
    assert total_variation(exact, simulated) < 0.01


def test_a_head_takes_its_dampers_along_by_printed_area_too() -> None:
    rng = np.random.default_rng(9)
    damper, head = learnt(rng, 12, 1.5, 900, 900), learnt(rng, 4, 1.7, 2500, 2500)
    usage = PrinterUsage.of([12.0, 6.0], [2.0, 1.5], [90, 90])
    follows, ages = np.repeat([0, 1], 5), np.round(rng.uniform(0, 900, 10))
    head_ages = np.array([2200.0, 700.0])
    trigger = TriggerPart.of(head, head_ages, follows, usage=usage)
    exact = demand_in_area(damper, ages, usage, 45, printer=follows, trigger=trigger)
    simulated = simulated_need_along(
        [(DrawnLives(damper.points(4096), DRAWS, rng), ages, follows)],
        DrawnLives(head.points(4096), DRAWS, rng),
        head_ages,
        np.inf,
        areas(rng, usage, 45),
    )
    assert total_variation(exact, simulated) < 0.01


def test_at_a_certain_rate_area_and_days_are_one() -> None:
    life = weibull(1.0, 100)
    usage = PrinterUsage.of([4.0, 2.0], [0.0, 0.0], [90, 90])
    found = demand_in_area(life, [10.0, 50.0], usage, 20, printer=[0, 1])
    assert found[:8] == pytest.approx(poisson((80 + 40) / 100, 8), abs=1e-3)


def test_an_uncertain_rate_widens_the_need_and_hardly_moves_its_mean() -> None:
    rng = np.random.default_rng(4)
    life, ages = weibull(1.2, 100), np.round(rng.uniform(0, 100, 12))
    printer = np.zeros(12, dtype=int)
    known, unsure = (
        demand_in_area(life, ages, PrinterUsage.of([4.0], [e], [90]), 30, printer=printer)
        for e in (0.0, 0.8)
    )
    means = [law @ np.arange(len(law)) for law in (known, unsure)]
    variances = [
        law @ np.arange(len(law)) ** 2 - mean**2
        for law, mean in zip((known, unsure), means, strict=True)
    ]
    assert means[1] == pytest.approx(means[0], rel=0.03)
    assert variances[1] > 1.3 * variances[0]


def test_a_large_pool_takes_each_printer_at_its_expected_area() -> None:
    rng = np.random.default_rng(6)
    life = learnt(rng, 60, 1.5, 900, 900)
    rate = rng.uniform(4, 12, 120)
    usage = PrinterUsage.of(rate, 0.1 * rate, np.full(120, 90.0))
    printer = np.repeat(np.arange(120), 2)
    ages = np.round(rng.uniform(0, 900, 240))
    found = demand_in_area(life, ages, usage, 40, printer=printer)
    expected = demand(life, ages, float(40 * rate.max()), until=40 * rate[printer])
    k = np.arange(max(len(found), len(expected)))
    means = [np.pad(law, (0, len(k) - len(law))) @ k for law in (found, expected)]
    assert means[0] == pytest.approx(means[1], rel=0.02)
    assert total_variation(found, expected) < 0.05


def test_lengths_on_the_lattice_keep_every_mean() -> None:
    lengths = np.random.default_rng(1).uniform(10, 90, (40, 3))
    weight = np.array([1 / 6, 2 / 3, 1 / 6])
    few, share = on_lattice(lengths, weight, 12)
    assert len(few) == 12
    assert share.sum(axis=1) == pytest.approx(1)
    assert share @ few == pytest.approx(lengths @ weight)


def test_a_printer_that_leaves_or_does_not_print_needs_nothing() -> None:
    usage = PrinterUsage.of([4.0, 0.0], [0.5, 0.0], [90, 90], until=[0.0, np.inf])
    found = demand_in_area(weibull(1.0, 100), [10.0, 50.0], usage, 30, printer=[0, 1])
    assert found.tolist() == [1.0]


def test_a_printer_without_a_rate_is_refused() -> None:
    with pytest.raises(ModelError, match="leave out printers whose counter was not read twice"):
        PrinterUsage.of([np.nan], [0.1], [90])
