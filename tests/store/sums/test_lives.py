"""The life model fed with a database's sums says what it says of the lives themselves."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from tests.models.life_model.whole.worlds import Truth, one_group, simulated
from tests.store.sums.engines import SumEngine
from tracker.errors import ModelError
from tracker.forecast.life_history import life_history
from tracker.forecast.summed_lives import Answers, CodedLives, coded_lives, life_sums
from tracker.intake.exchange import read_folder
from tracker.models.curves.risk_sets import risk_table
from tracker.models.life_model.whole import (
    History,
    LifeDraws,
    Lives,
    Steps,
    fit_life_model,
)
from tracker.models.life_model.whole.summed import LifeSums
from tracker.models.outcomes import check_outcomes
from tracker.store.sums import lives
from tracker.store.sums.coded import TICKS

SAMPLE = Path(__file__).parents[3] / "sample_data"
WEEK = 7 * TICKS
DRAWN = (
    *("log_rate", "shape", "accident", "unit", "lot", "drift", "ahead", "season", "effect"),
    *("weight", "spreads", "failures"),
)


def summed(database: SumEngine, coded: CodedLives, width: int = 1) -> LifeSums:
    """What the database adds up to, as the life model reads it."""
    database.write("fleet_lives", coded.lives)
    database.write("fleet_spans", coded.spans)
    answers = Answers(
        database.ask(lives.age_sums(width)),
        database.ask(lives.interval_sums()),
        database.ask(lives.life_totals()),
        width,
    )
    told = coded.history
    more: dict[str, Any] = {"n_units": told.n_units, "n_lots": told.n_lots, "closed": told.closed}
    return life_sums(
        answers, told.groups, told.as_of, coded.care, told.exposures,
        first_day=told.first_day, **more,
    )  # fmt: skip


def fitted(history: History | LifeSums) -> LifeDraws:
    """400 draws with a seed."""
    return fit_life_model(history, 400, rng=np.random.default_rng(4))


def assert_same_fit(sums: LifeSums, rows: History) -> None:
    told, expected = fitted(sums), fitted(rows)
    for name in DRAWN:
        np.testing.assert_allclose(
            getattr(told, name), getattr(expected, name), rtol=0, atol=1e-6, err_msg=name
        )


@pytest.fixture(scope="module")
def demo() -> CodedLives:
    """The demo's lives: four printers, lots, closed days, eleven exposures, late findings."""
    as_of = date(2026, 10, 31)
    told = life_history(read_folder(SAMPLE).known_at(as_of), as_of)
    assert told is not None
    return coded_lives(told.history)


@pytest.fixture(scope="module")
def workshop() -> History:
    """A simulated workshop: an effect, lives that become shorter, a bad lot, units that differ."""
    truth = Truth(
        units=6, days=800, level=(-0.5, -0.3, 0.0, 0.1, 0.3, 0.4), jump=0.5, jump_on=400,
        effect=-0.5, bad_lot=2, bad_level=0.6,
    )  # fmt: skip
    return simulated(truth, np.random.default_rng(5))


def test_the_demos_sums_give_the_fit_of_its_lives(database: SumEngine, demo: CodedLives) -> None:
    assert demo.left_out == 10  # counted in the demo: parts of the first day of unknown age
    assert (demo.lives["found_on"].notna()).sum() > 0  # failures between distant checks
    assert_same_fit(summed(database, demo), demo.history)


def test_a_simulated_workshops_sums_give_the_fit_of_its_lives(
    database: SumEngine, workshop: History
) -> None:
    coded = coded_lives(workshop)
    assert_same_fit(summed(database, coded), coded.history)


def test_two_workshops_in_one_database_give_the_fit_of_both_together(
    database: SumEngine, workshop: History
) -> None:
    whole = coded_lives(workshop)
    for first in (0, 3):  # three printers each, which each half calls 0, 1 and 2
        half = coded_lives(_printers_from(workshop, first))
        same = [np.isclose(whole.care, one, equal_nan=True).all(1) for one in half.care]
        classes = [int(row.argmax()) for row in same]
        own = np.arange(first, first + 3)
        numbers = half.renumbered(
            printer=own, unit=own, life_group=np.array([0]), lot=np.arange(workshop.n_lots),
            care=np.array(classes),
        )  # fmt: skip
        database.write("fleet_lives", numbers.lives)
        database.write("fleet_spans", numbers.spans)
    nothing = replace(whole, lives=whole.lives.iloc[:0], spans=whole.spans.iloc[:0])
    assert_same_fit(summed(database, nothing), workshop)


def _printers_from(history: History, first: int) -> History:
    """Three units of a history as one of its own, counted from 0."""
    away = (history.lives.unit < first) | (history.lives.unit >= first + 3)
    half, steps = history.without(away), history.exposures
    here = (steps.unit >= first) & (steps.unit < first + 3)
    own = Steps(steps.unit[here] - first, steps.from_day[here], steps.value[here], steps.acts)
    lives = replace(half.lives, unit=half.lives.unit - first)
    return replace(half, lives=lives, n_units=3, steps=own)


def test_weeks_of_age_tell_nearly_what_each_age_tells(
    database: SumEngine, workshop: History
) -> None:
    # Lives of 150 days: a week is a twentieth of one, and within it lives pass evenly.
    coded = coded_lives(workshop)
    told, expected = fitted(summed(database, coded, WEEK)), fitted(coded.history)
    mean, near = (draws.weight @ draws.shape for draws in (told, expected))
    np.testing.assert_allclose(mean, near, rtol=0.01)
    rate, near_rate = (draws.weight @ draws.log_rate for draws in (told, expected))
    np.testing.assert_allclose(rate, near_rate, atol=0.02)
    effect, near_effect = (draws.weight @ draws.effect for draws in (told, expected))
    np.testing.assert_allclose(effect, near_effect, atol=0.02)


def test_a_cell_adds_up_what_enters_and_leaves_it(database: SumEngine) -> None:
    # By hand: two lives of one unit, of ten and four days, within the last half quarter.
    rows = Lives.of(0, 0, [-12.0, -6.0], [10.0, 4.0], [True, False])
    sums = summed(database, coded_lives(one_group(rows, 0.0)))
    ages = sums.ages
    order = np.argsort(ages.age)
    assert ages.age[order].tolist() == [0, 4, 10]
    assert ages.entered[order].tolist() == [2, 0, 0]
    assert ages.left[order].tolist() == [0, 1, 1]
    assert ages.failed[order].tolist() == [0, 0, 1]
    pieces = sums.cells().exposure
    days = np.round(np.exp(pieces.high) * 300, 9), np.round(np.exp(pieces.low) * 300, 9)
    assert sorted(zip(days[1], days[0], pieces.weight, strict=True)) == [(0, 4, 2), (4, 10, 1)]
    assert sums.totals.watched.tolist() == [14]
    assert sums.totals.failures.tolist() == [1]


def test_a_week_counts_the_days_that_were_watched_in_it(database: SumEngine) -> None:
    # By hand: ages 0 to 10 and 0 to 4; in the first week 7 + 4 days, in the second 3.
    rows = Lives.of(0, 0, [-12.0, -6.0], [10.0, 4.0], [True, False])
    sums = summed(database, coded_lives(one_group(rows, 0.0)), WEEK)
    pieces = sums.cells().exposure
    assert (pieces.weight * 7).tolist() == pytest.approx([11, 3])
    assert np.exp(pieces.high) * 300 == pytest.approx(np.array([7, 14]))


def test_risk_sets_are_those_of_the_curves(database: SumEngine, workshop: History) -> None:
    coded = coded_lives(workshop)
    database.write("fleet_lives", coded.lives)
    own = coded.history.lives
    told = database.ask(lives.risk_sets()).sort_values("age")
    expected = risk_table(check_outcomes(own.age, own.failed, own.entry))
    assert (told["age"].to_numpy(float) / TICKS).tolist() == expected.age.tolist()
    assert told["at_risk"].to_numpy(float).tolist() == expected.at_risk.tolist()
    assert told["failures"].to_numpy(float).tolist() == expected.failures.tolist()


def test_who_enters_at_an_age_is_not_at_risk_there(database: SumEngine) -> None:
    # By hand: 0 to 5, 5 to 8 and 0 to 8 days; at five days two are at risk, not the one entering.
    rows = Lives.of(0, 0, -20.0, [5.0, 8.0, 8.0], [True, True, False], entry=[0.0, 5.0, 0.0])
    database.write("fleet_lives", coded_lives(one_group(rows, 0.0)).lives)
    told = database.ask(lives.risk_sets()).sort_values("age")
    assert told[["age", "at_risk", "failures"]].astype(int).to_numpy().tolist() == [
        [5 * TICKS, 2, 1],
        [8 * TICKS, 2, 1],
    ]


def test_the_histogram_of_ages_counts_every_life_once(
    database: SumEngine, workshop: History
) -> None:
    coded = coded_lives(workshop)
    database.write("fleet_lives", coded.lives)
    own = coded.history.lives
    told = database.ask(lives.lives_by_age(WEEK)).sort_values("age")
    week, place = np.unique(own.age // 7, return_inverse=True)
    assert (told["age"] // WEEK).astype(int).tolist() == week.astype(int).tolist()
    assert told["lives"].astype(int).tolist() == np.bincount(place).tolist()
    assert told["failures"].astype(int).tolist() == np.bincount(place, own.failed).tolist()


def test_care_is_counted_before_the_period_begins(database: SumEngine) -> None:
    # By hand: a period from day 100 on; actions of days 69 to 100, one of them for a symptom.
    database.write("fleet_printers", frame(printer=[1], unit=[0], began=[0], ended=[200 * TICKS]))
    database.write("fleet_periods", frame(period=[0], begins=[100 * TICKS], ends=[145 * TICKS]))
    done = [69, 70, 80, 99, 100]
    database.write(
        "fleet_actions",
        frame(printer=1, task=3, done_on=done, month=0, planned=[1, 1, 0, 1, 1], seconds=60),
    )
    database.run(lives.spans_by_care(3, 30))
    span = database.ask(lives.select(lives.SPANS))
    assert span["care"].tolist() == [2]  # days 70 and 99; 69 is too old, 100 not before
    database.run(lives.SPANS.delete())
    database.run(lives.spans_by_care(4, 30))  # a task never done
    assert database.ask(lives.select(lives.SPANS))["care"].tolist() == [0]


def test_more_leaving_than_were_there_is_refused(database: SumEngine, workshop: History) -> None:
    sums = summed(database, coded_lives(workshop))
    ages = replace(sums.ages, entered=np.zeros(len(sums.ages)))
    with pytest.raises(ModelError, match="more lives leave by age"):
        replace(sums, ages=ages).cells()


def test_a_code_that_is_none_is_refused(database: SumEngine, workshop: History) -> None:
    sums = summed(database, coded_lives(workshop))
    with pytest.raises(
        ModelError, match=r"unit\[\d+\] is 5: it must be a whole number from 0 to 4"
    ):
        replace(sums, n_units=5)


def frame(**columns: Any) -> pd.DataFrame:
    return pd.DataFrame(columns)
