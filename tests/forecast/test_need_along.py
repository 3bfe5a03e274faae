"""Need where a head takes its dampers along: the futures against a plain simulation."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd
import pytest
from numpy.typing import NDArray

from tests.decisions.workshops import rows
from tests.forecast.known_lives import known_lives
from tests.forecast.life_nodes import weibull
from tests.forecast.simulated_need import DrawnLives, largest_gap, simulated_need_along
from tracker.forecast import demand
from tracker.forecast.fitted_lives import FittedLives
from tracker.forecast.futures import fitted_positions, play_futures
from tracker.forecast.futures.futures import UNPLANNED, Cause
from tracker.forecast.futures.positions import with_leaving_printers, with_more_printers
from tracker.workshop.records import Records

Array = NDArray[np.float64]
TODAY = date(2025, 6, 1)
DRAWS = 100_000


def printers(head_ages: list[int], damper_ages: list[list[int]]) -> Records:
    """Printers with a head and dampers C, M, … (the last of each in white ink) of these ages."""
    fitted = []
    for number, (head, dampers) in enumerate(zip(head_ages, damper_ages, strict=True)):
        name = f"P{number}"
        fitted.append((name, "head", "H1", TODAY - timedelta(days=head)))
        places = [*"CMYK"[: len(dampers) - 1], "W1"]
        fitted += [
            (name, "damper", place, TODAY - timedelta(days=age))
            for place, age in zip(places, dampers, strict=True)
        ]
    names = [(f"P{number}", "2020-01-01") for number in range(len(head_ages))]
    frames = {
        "printers": rows("printer started_on", *names),
        "fittings": rows("printer part_kind position fitted_on", *fitted),
        "parts": rows("part_kind replaced_with", ("damper", "head")),
    }
    return Records.of(frames)


def spread(middle: float, scale: float, size: int, seed: int) -> Array:
    """Equally likely (shape, scale) rows about these."""
    rng = np.random.default_rng(seed)
    shape = middle * np.exp(0.15 * rng.standard_normal(size))
    return np.column_stack((shape, scale * np.exp(0.3 * rng.standard_normal(size))))


def law_of_dampers(fitted: FittedLives, horizon: float, **asked: Any) -> Array:
    leaves = asked.pop("leaves", {})
    positions = with_leaving_printers(fitted_positions(fitted), leaves, TODAY)
    futures = play_futures(fitted, positions, horizon, **asked)
    dampers = (positions["part_kind"] == "damper").to_numpy()
    return futures.of(dampers, (*UNPLANNED, Cause.PLANNED)).law(horizon)


def mean(law: Array) -> float:
    return float(law @ np.arange(len(law)))


# Ages of heads, of their dampers, curves that may be true, horizon.
ALONG: dict[str, tuple[list[int], list[list[int]], int, int]] = {
    "known lives": ([100, 300], [[10, 60, 85, 40], [30, 70, 20, 50]], 1, 45),
    "what is not known is shared": ([100, 320], [[20, 90, 10], [5, 60, 33]], 8, 45),
    "a horizon of several lives": ([250], [[80, 20, 120]], 8, 200),
    "an old head with new dampers": ([500], [[1, 1, 1, 1, 1]], 8, 60),
}


@pytest.mark.parametrize("name", ALONG)
def test_heads_take_their_dampers_along_as_in_a_simulation_of_every_printer(name: str) -> None:
    head_ages, damper_ages, size, horizon = ALONG[name]
    curves = {"damper": spread(1.5, 120, size, 1), "head": spread(1.7, 300, size, 2)}
    fitted = known_lives(printers(head_ages, damper_ages), TODAY, curves)
    found = law_of_dampers(fitted, horizon)
    expected = simulated(head_ages, damper_ages, curves, horizon)
    assert largest_gap(found, expected) < 0.02  # of 4 000 futures; 0.026 by chance once in 100
    assert mean(found) == pytest.approx(mean(expected), rel=0.012)


def simulated(
    head_ages: list[int], damper_ages: list[list[int]], curves: dict[str, Array], horizon: float,
    *, leaves: Array | None = None, planned: dict[str, float] | None = None,
) -> Array:  # fmt: skip
    rng = np.random.default_rng(5)
    true = rng.integers(len(curves["head"]), size=DRAWS)
    plan = planned or {}
    damper, head = (
        DrawnLives(*curves[kind][true].T, rng, plan.get(kind)) for kind in ("damper", "head")
    )
    ages = np.array([age for own in damper_ages for age in own], dtype=float)
    follows = np.repeat(np.arange(len(head_ages)), [len(own) for own in damper_ages])
    heads = np.array(head_ages, dtype=float)
    return simulated_need_along([(damper, ages, follows)], head, heads, horizon, leaves)


# Horizon, day on which the second printer leaves, planned ages.
LEAVING_OR_PLANNED: dict[str, tuple[int, int | None, dict[str, float]]] = {
    "one printer leaves": (45, 15, {}),
    "dampers changed by plan": (60, None, {"damper": 90.0}),
    "dampers and heads changed by plan, one printer leaves": (
        60, 22, {"damper": 90.0, "head": 330.0},
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", LEAVING_OR_PLANNED)
def test_plans_and_printers_that_leave_are_as_in_a_simulation(name: str) -> None:
    horizon, leaves, planned = LEAVING_OR_PLANNED[name]
    head_ages, damper_ages = [100, 300], [[10, 60, 85, 40], [30, 70, 20, 50]]
    curves = {"damper": spread(1.5, 120, 6, 3), "head": spread(1.5, 320, 6, 4)}
    fitted = known_lives(printers(head_ages, damper_ages), TODAY, curves)
    asked = {} if leaves is None else {"P1": TODAY + timedelta(days=leaves)}
    found = law_of_dampers(fitted, horizon, leaves=asked, planned_ages=planned)
    ends = np.array([np.inf, np.inf if leaves is None else leaves])
    expected = simulated(head_ages, damper_ages, curves, horizon, leaves=ends, planned=planned)
    assert largest_gap(found, expected) < 0.02
    assert mean(found) == pytest.approx(mean(expected), rel=0.012)


def test_a_head_that_cannot_fail_takes_no_damper_along() -> None:
    everlasting = {"damper": (1.5, 120.0), "head": (1.0, 1e9)}
    fitted = known_lives(printers([5], [[10, 80, 30]]), TODAY, everlasting)
    positions = fitted_positions(fitted)
    futures = play_futures(fitted, positions, 60.0)
    along = futures.of(np.ones(len(positions), dtype=bool), (Cause.WITH,)).counts(60.0)
    # But for the few heads that come out working, which nobody has seen yet.
    assert along.mean() < 0.02
    alone = demand(weibull(1.5, 120), [10.0, 80.0, 30.0], 60)
    assert largest_gap(law_of_dampers(fitted, 60), alone) < 0.02


def test_a_head_that_is_out_takes_along_the_dampers_that_were_in_with_it() -> None:
    # The head came out ten days ago; two dampers are older and go with the new one, one went in
    # since and stays.
    records = printers([100], [[80, 30, 5]])
    head = records.fittings["part_kind"] == "head"
    out = records.fittings["removed_on"].mask(head, pd.Timestamp(TODAY) - pd.Timedelta(days=10))
    reason = records.fittings["removal_reason"].mask(head, "failed")
    records = records.with_table(
        "fittings", records.fittings.assign(removed_on=out, removal_reason=reason)
    )
    lasting = {"damper": (1.0, 1e9), "head": (1.0, 1e9)}
    fitted = known_lives(records, TODAY, lasting)
    positions = fitted_positions(fitted)
    futures = play_futures(fitted, positions, 60.0)
    for kind, cause, pieces in (("head", Cause.EMPTY, 1), ("damper", Cause.WITH, 2)):
        own = futures.of(positions["part_kind"].eq(kind).to_numpy(), (cause,))
        assert own.at_once == pieces
        assert own.counts(0.0).max() == pieces
    # A printer like it that is only thought of has all its parts.
    more = with_more_printers(positions, 1)
    thought_of = play_futures(fitted, more, 60.0).of(more["is_new"].to_numpy())
    assert thought_of.counts(0.0).max() == 0
