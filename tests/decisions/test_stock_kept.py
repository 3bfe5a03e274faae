"""A stock of the level asked is kept as often as asked: a short form of ``bench/stock_study``.

Eight invented workshops of printers that differ, four kinds each; the need told is held against
what the simulation then really used.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.stats import binom

from tests.bench.stock_study import ASKED, WORLDS, Scores, Shown, scores

KINDS = ("head", "damper", "wiper", "cap")
DIFFERING = WORLDS[1]


@pytest.fixture(scope="module")
def found() -> Scores:
    return scores(DIFFERING, range(8), kinds=KINDS)


def thinned(chances: NDArray[np.float64]) -> NDArray[np.float64]:
    """The law of a need half of which nobody foresaw."""
    number = np.arange(len(chances))
    law: NDArray[np.float64] = binom.pmf(number[:, None], number[None, :], 0.5) @ chances
    return law


def half_foreseen(one: Shown) -> Shown:
    return replace(one, level=replace(one.level, chances=thinned(one.level.chances)))


# 32 needs that hang together by workshop: a share near 0.95 is known to about 0.04.
LEAST = ASKED - 0.08


def test_a_stock_of_the_level_asked_is_kept_where_printers_differ(found: Scores) -> None:
    kept, _ = found.level
    assert LEAST < kept <= 1
    assert found.mean("needed") == pytest.approx(found.mean("expected"), rel=0.3)


def test_half_the_need_foreseen_would_not_pass(found: Scores) -> None:
    kept, _ = Scores("", [[half_foreseen(one) for one in shop] for shop in found.shops]).level
    assert kept < LEAST


def test_a_shelf_runs_short_about_as_often_as_told(found: Scores) -> None:
    # 32 shelves: a share of 0.2 is known to about 0.07.
    assert found.mean("ran") == pytest.approx(found.mean("short"), abs=0.15)
