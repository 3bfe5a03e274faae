"""A position's luck: its own, whoever else is played, and as good as any random numbers."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from tests.decisions.workshops import rows, workshop
from tests.forecast.known_lives import known_lives
from tests.forecast.test_futures import TODAY
from tracker.forecast.fitted_lives import fit_lives
from tracker.forecast.futures import Futures, fitted_positions, play_futures
from tracker.forecast.futures.futures import Cause
from tracker.forecast.futures.luck import Luck, Use
from tracker.workshop.records import Records

CURVES = {"head": (2.0, 300.0), "wiper": (1.0, 200.0), "cap": (1.5, 250.0)}
SIZE = 4000


def played(*kept: str) -> tuple[pd.DataFrame, Futures]:
    """Of four printers with a head, and a wiper and a cap in the first, those kept are played."""
    printers = ("P1", "P2", "P3", "P4")
    fitted_on = TODAY - timedelta(days=40)
    places = [(name, "head", "H1", fitted_on) for name in printers]
    places += [("P1", kind, kind, fitted_on) for kind in ("wiper", "cap")]
    records = Records.of(
        {
            "printers": rows("printer started_on", *((name, "2020-01-01") for name in printers)),
            "fittings": rows("printer part_kind position fitted_on", *places),
        }
    )
    fitted = known_lives(records, TODAY, CURVES)
    positions = fitted_positions(fitted)
    positions = positions[positions["printer"].isin(kept)].reset_index(drop=True)
    return positions, play_futures(fitted, positions, 500)


def of_head(printer: str, *kept: str) -> Futures:
    positions, futures = played(*kept)
    return futures.of((positions[["printer", "part_kind"]] == [printer, "head"]).all(axis=1))


def test_another_position_in_the_pool_does_not_move_a_parts_futures() -> None:
    alone, among = of_head("P2", "P2", "P3"), of_head("P2", "P1", "P2", "P3", "P4")
    assert len(alone.needs.day) > SIZE
    assert np.array_equal(alone.needs.future, among.needs.future)
    assert among.needs.day == pytest.approx(alone.needs.day, abs=1e-6)
    assert np.array_equal(alone.needs.cause, among.needs.cause)


def test_two_positions_have_luck_that_does_not_hang_together() -> None:
    first, second = (of_head(name, "P1", "P2").nth_day(1).clip(max=1000) for name in ("P1", "P2"))
    assert not np.array_equal(first, second)
    # 4 000 pairs without a link: a correlation beyond 0.052 comes once in a thousand.
    assert abs(stats.spearmanr(first, second).statistic) < 0.052


@pytest.mark.parametrize("days", [30.0, 60.0, 240.0])
def test_a_longer_play_begins_with_the_shorter_one(days: float) -> None:
    # Heads that take dampers along, wipers changed at a plan's age, a closed fortnight, all that is
    # not known of lives from a fit.
    closed = rows("began_on ended_on site printer note", ("2025-06-11", "2025-06-24", "", "", ""))
    fitted = fit_lives(workshop(2).with_table("closures", closed), TODAY)
    positions = fitted_positions(fitted)
    short, long = (
        play_futures(fitted, positions, horizon, {"wiper": 170.0}, size=500)
        for horizon in (days, 700.0)
    )
    begun = long.of(positions.index >= 0, until=days)
    assert len(short.needs.day) > 15 * days
    assert {Cause.WITH, Cause.PLANNED} <= set(begun.needs.cause)
    here, there = (
        np.lexsort((each.row, np.round(each.day, 2), each.future))
        for each in (short.needs, begun.needs)
    )
    for name, within in (("future", 0), ("row", 0), ("cause", 0), ("day", 1e-3)):
        told = getattr(begun.needs, name)[there]
        assert getattr(short.needs, name)[here] == pytest.approx(told, abs=within)


def test_luck_is_even_and_its_uses_lives_and_positions_are_apart() -> None:
    luck = Luck.of([("head", "P1", "H1"), ("head", "P1", "H2"), ("head", "P1H", "1")])
    future = np.arange(SIZE)
    drawn = [
        luck.each(use, np.full(SIZE, row), future, life)
        for row in range(3)
        for use in Use
        for life in (0, 1, 2)
    ]
    for own in drawn:
        assert own.min() > 0
        assert own.max() < 1
        # 45 looks: an even law is refused below one in 45 000 each.
        assert stats.kstest(own, "uniform").pvalue > 1 / 45_000
    together = np.corrcoef(drawn)
    # A correlation of 4 000 pairs has a standard error of 0.0158; 990 pairs stay within 4.5.
    assert np.abs(together - np.eye(len(drawn))).max() < 4.5 * 0.0158


def test_a_table_of_luck_is_the_same_as_asked_one_by_one() -> None:
    luck = Luck.of([("cap", "A", "cap"), ("cap", "B", "cap")])
    table = luck.table(Use.WITHIN, 5)
    each = luck.each(Use.WITHIN, np.repeat([0, 1], 5), np.tile(np.arange(5), 2))
    assert table.ravel() == pytest.approx(each, abs=0)
    assert luck.take(np.array([1])).table(Use.WITHIN, 5)[0] == pytest.approx(table[1], abs=0)


def test_the_mixing_is_that_of_splitmix64() -> None:
    # First outputs of the published generator (Steele, Lea and Flood, 2014) seeded with 1234567,
    # as its reference implementation in C prints them; a number is the upper 53 bits.
    outputs = [6457827717110365317, 3203168211198807973, 9817491932198370423]
    luck = Luck(np.array([1234567], dtype=np.uint64))
    found = luck.table(Use(0), 4)[0, 1:]
    assert found == pytest.approx([(value >> 11) / 2**53 for value in outputs], abs=1e-15)
