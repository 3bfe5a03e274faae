"""Of 200 printers the database's sums are the program's own numbers."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest

from tests.store.sums.engines import SumEngine
from tests.store.sums.test_lives import assert_same_fit, summed
from tests.store.sums.workshop import (
    PARTS,
    ROUTINE,
    SCRAP,
    TASKS,
    coded_log,
    day_number,
    many_printers,
)
from tracker.decisions.due import adherence, due_list
from tracker.forecast.life_history import life_history
from tracker.forecast.summed_lives import coded_lives
from tracker.lives.life_table import life_table
from tracker.models.curves.risk_sets import risk_table
from tracker.models.outcomes import check_outcomes
from tracker.review.happened import Happened, what_happened
from tracker.review.period import period_of
from tracker.store.sums import lives, log
from tracker.store.sums.coded import TICKS
from tracker.workshop.records import Records

AS_OF = date(2025, 11, 30)
MONTH = 2025 * 12 + 10
LATE_TENTHS = 2


@pytest.fixture(scope="module")
def known() -> Records:
    return many_printers().known_at(AS_OF)


@pytest.fixture(scope="module")
def november(known: Records) -> Happened:
    return what_happened(known, life_table(known, AS_OF), period_of(known, AS_OF, AS_OF))


@pytest.fixture
def filled(database: SumEngine, known: Records) -> SumEngine:
    for name, rows in coded_log(known).items():
        database.write(name, rows)
    return database


def test_the_last_time_of_every_task_is_that_of_the_due_list(
    filled: SumEngine, known: Records
) -> None:
    told = filled.ask(log.last_done(int(day_number(pd.Timestamp(AS_OF)))))
    told = told.astype(int).set_index(["printer", "task"])["done_on"].sort_index()
    listed = due_list(known, AS_OF)
    listed = listed.assign(
        number=listed["printer"].str[1:].astype(int), code=listed["task"].map(TASKS.index)
    )
    expected = day_number(listed.set_index(["number", "code"])["last_done"]).sort_index()
    assert len(told) == 400
    assert told.tolist() == expected.tolist()


@pytest.mark.parametrize(
    ("start", "end"),
    [(date(2025, 11, 1), AS_OF), (date(2024, 3, 1), date(2025, 9, 17))],
    ids=["a month", "a year and a half, some printers not there yet"],
)
def test_the_routine_kept_is_that_of_the_review(
    filled: SumEngine, known: Records, start: date, end: date
) -> None:
    days = [int(day_number(pd.Timestamp(day))) for day in (start, end)]
    told = filled.ask(log.routine_kept(*days, LATE_TENTHS)).astype(int)
    expected = adherence(known.known_at(end), start, end)
    expected = expected.assign(
        number=expected["printer"].str[1:].astype(int), code=expected["task"].map(TASKS.index)
    ).sort_values(["number", "code"])
    assert (expected["missed"] > 0).any()
    assert (expected["late"] > 0).any()
    counts = ["due", "late", "missed"]
    told = told.sort_values(["printer", "task"])
    assert told[["printer", "task", *counts]].to_numpy().tolist() == (
        expected[["number", "code", *counts]].to_numpy().tolist()
    )


def test_a_routine_never_done_is_missed_at_every_interval(database: SumEngine) -> None:
    # By hand: every ten days from day 100 on, never done; on day 145 those of days 110, 120, 130
    # and 140 are over with their two days of grace.
    database.write(
        "fleet_routines",
        pd.DataFrame({"printer": [0], "task": [0], "every_days": [10], "starts_on": [100]}),
    )
    told = database.ask(log.routine_kept(115, 145, LATE_TENTHS))
    assert told[["due", "late", "missed"]].astype(int).to_numpy().tolist() == [[3, 0, 3]]


def test_failures_of_the_months_are_those_of_the_review(
    filled: SumEngine, november: Happened
) -> None:
    told = filled.ask(log.failures_by_month()).astype(int).set_index(["part_kind", "month"])
    counts = told["failures"]
    for place, (kind, _, _) in enumerate(PARTS):
        expected = november.failures.loc[(kind, "")]
        assert counts[place, MONTH] == expected["this_month"]
        assert counts[place, MONTH - 1] == expected["month_before"]
        before = [counts.get((place, MONTH - back), 0) for back in range(1, 13)]
        assert np.mean(before) == pytest.approx(expected["mean_before"])


def test_work_and_costs_of_the_month_are_those_of_the_review(
    filled: SumEngine, known: Records, november: Happened
) -> None:
    cents = filled.ask(log.costs_by_month()).astype(int).set_index(["item", "month"])["cents"]
    money = november.money["this_month"]
    assert cents[SCRAP, MONTH] / 100 == pytest.approx(money["scrap"])
    assert cents[ROUTINE, MONTH] / 100 == pytest.approx(money["routine"])
    work = filled.ask(log.work_by_month()).astype(int)
    work = work[work["month"] == MONTH]
    hours = work["seconds"].sum() / 3600
    assert hours * known.number("labour_per_hour") == pytest.approx(money["routine"])
    called = work.loc[work["planned"] == 0, "actions"].sum()
    rows = known.maintenance
    in_month = rows["done_on"].dt.to_period("M") == "2025-11"
    assert called == (in_month & (rows["why"] == "symptom")).sum()


def test_risk_sets_of_a_kind_are_those_of_its_lives(database: SumEngine, known: Records) -> None:
    told = life_history(known, AS_OF)
    assert told is not None
    database.write("fleet_lives", coded_lives(told.history).lives)
    found = database.ask(lives.risk_sets()).sort_values("age")
    table = life_table(known, AS_OF)
    for place, (kind, _, _) in enumerate(told.groups):
        own = found[found["life_group"] == place]
        rows = table[(table["part_kind"] == kind) & table["counted"]]
        failed = rows["outcome"].eq("failed").to_numpy()
        expected = risk_table(check_outcomes(rows["age"], failed, rows["entry"]))
        assert (own["age"].to_numpy(float) / TICKS).tolist() == expected.age.tolist()
        assert own["at_risk"].to_numpy(float).tolist() == expected.at_risk.tolist()
        assert own["failures"].to_numpy(float).tolist() == expected.failures.tolist()


def test_the_fit_of_200_printers_is_that_of_their_lives(
    database: SumEngine, known: Records
) -> None:
    told = life_history(known, AS_OF)
    assert told is not None
    coded = coded_lives(told.history)
    assert_same_fit(summed(database, coded), coded.history)
