"""How uncertain costs are: lognormal about the counted ones, one hourly rate for all."""

from __future__ import annotations

import numpy as np
import pytest

from tests.decisions.workshops import setting
from tracker.decisions.cost_draws import CostDraws, log_spread
from tracker.decisions.cost_terms import CostTerm, FailureCost
from tracker.decisions.routine.cost import TaskCost
from tracker.workshop.records import Records

NUMBER = 40_000


def possible(records: Records | None = None) -> CostDraws:
    return CostDraws.of(records or Records(), NUMBER, np.random.default_rng(4))


def failure(*terms: CostTerm, kind: str = "damper") -> FailureCost:
    return FailureCost(kind, "", True, terms)


def factor(values: np.ndarray) -> float:
    """By which factor the values are off at one standard deviation of their log."""
    return float(np.exp(np.log(values).std()))


def test_a_price_varies_about_what_it_is_counted_at_the_wider_the_less_is_known() -> None:
    draws = possible()
    paid = draws.of_failure(failure(CostTerm.known("part", 9.0, "own order", None)))
    stated = draws.of_failure(failure(CostTerm.known("part", 9.0, "catalogue", None)))
    guessed = draws.of_failure(failure(CostTerm.known("part", 9.0, "guess", None)))
    assert [float(one.mean()) for one in (paid, stated, guessed)] == pytest.approx([9.0] * 3)
    assert factor(paid) == pytest.approx(1.1, rel=0.01)
    assert factor(stated) == pytest.approx(1.15, rel=0.01)
    # A guess is said to lie between half and twice the truth four times in five: 2^(1/1.2816).
    assert factor(guessed) == pytest.approx(2 ** (1 / 1.2816), rel=0.01)
    low, high = np.quantile(guessed, [0.1, 0.9])
    assert high / low == pytest.approx(4.0, rel=0.03)
    assert np.mean((guessed > 4.5) & (guessed < 18)) == pytest.approx(0.8, abs=0.03)


def test_a_mean_of_few_entries_keeps_its_own_range_but_no_absurd_one() -> None:
    own = CostTerm("spoiled", 20.0, 10.0, 30.0, "log", 5)
    assert np.exp(log_spread(own)) == pytest.approx(1.5 ** (1 / 1.2816), rel=1e-3)
    assert np.exp(log_spread(CostTerm("spoiled", 2.0, 0.0, 60.0, "log", 3))) == pytest.approx(2)


def test_an_hour_of_work_is_off_by_the_same_for_a_failure_and_for_the_task() -> None:
    draws = possible()
    # Logged minutes and a long log of the work itself: what is left is the hourly rate, a guess.
    work = draws.of_failure(failure(CostTerm("work", 25.0, 25.0, 25.0, "log", 40)))
    task = draws.of_task(TaskCost(30.0, 0.0, 12.5, 0.0, True))
    together = np.corrcoef(np.log(work), np.log(task))[0, 1]
    # Both have log 1.5 in common beside log 1.1 of their own: 0.1644 / (0.1644 + 0.0091).
    assert together == pytest.approx(0.948, abs=0.005)
    standing = draws.of_failure(failure(CostTerm("downtime", 25.0, 25.0, 25.0, "log", 40)))
    assert abs(np.corrcoef(np.log(work), np.log(standing))[0, 1]) < 0.02


def test_a_rate_that_the_workshop_has_set_is_surer_than_the_trades() -> None:
    own = possible(Records.of({"settings": setting(labour_per_hour=30)}))
    assert factor(own.work_rate) == pytest.approx(1.15, rel=0.01)
    assert factor(own.standing_rate) == pytest.approx(1.5, rel=0.01)


def test_two_terms_that_rest_on_one_figure_are_off_together() -> None:
    hours = ("parts", "hours_to_change")
    terms = [CostTerm.known(name, 10.0, "guess", hours) for name in ("part", "spoiled")]
    one, two = (possible().of_failure(failure(*terms[:n])) for n in (1, 2))
    assert two == pytest.approx(2 * one)


def test_what_a_damper_does_to_a_head_is_left_out_where_heads_are_counted() -> None:
    part = CostTerm.known("part", 9.0, "catalogue", None)
    takes = CostTerm("takes_along", 8.0, 0.0, 20.0, "guess")
    cost = failure(part, takes)
    assert cost.beside({"damper", "head"}).total == 9.0
    assert cost.beside({"damper", "wiper"}) is cost
    assert failure(part, takes, kind="wiper").beside({"head"}).total == 17.0
