"""A fit begun near an earlier one, as where a history is played again, against the full fit."""

from dataclasses import fields, replace

import numpy as np
import pytest

from tests.bench.life_model_study import WORLDS, live, logged
from tests.models.life_model.whole.worlds import fitted
from tracker.forecast.fitted_lives import FEW_SPREADS
from tracker.models.life_model.whole import History, Lives, Parts, SpreadGrid


def until(history: History, day: float) -> tuple[History, Parts]:
    """The history as it was known on an earlier day, and the parts running then."""
    lives = history.lives
    begun = lives.began_on < day
    running = lives.began_on + lives.age - lives.entry > day
    cut = replace(
        lives,
        age=np.where(running, day - lives.began_on + lives.entry, lives.age),
        failed=lives.failed & ~running,
        accident=lives.accident & ~running,
    )
    known = Lives(**{f.name: getattr(cut, f.name)[begun] for f in fields(Lives)})
    return replace(history, lives=known, as_of=day), Parts.of_lives(
        known, np.flatnonzero(running[begun])
    )


@pytest.fixture(scope="module")
def history() -> History:
    world, rng = next(w for w in WORLDS if "halve" in w.name), np.random.default_rng(5)
    return logged(world, live(world, rng), rng)[0]


@pytest.mark.parametrize("grid", [None, FEW_SPREADS])
def test_a_month_later_a_fit_begun_near_tells_what_the_full_one_tells(
    history: History, grid: SpreadGrid | None
) -> None:
    """Lives halve on day 500: the likeliest spreads move while the history is played. 256 draws'
    own noise is 0.003 to 0.009.
    """
    near, gaps = None, []
    for day in (440.0, 500.0, 560.0, 620.0, 680.0):
        known, parts = until(history, day)
        full = fitted(known, 1000)
        near = fitted(known, 256, seed=2, near=near or full, grid=grid)
        a, b = (draws.chance_of_failure(parts, [30])[:, 0] for draws in (full, near))
        gaps.append(np.abs(a - b).mean())
    assert np.mean(gaps) < 0.01
    assert len(np.unique(near.spreads, axis=0)) < len(np.unique(full.spreads, axis=0))


def test_begun_at_unlikely_spreads_the_search_still_finds_the_likely_ones(
    history: History,
) -> None:
    known, parts = until(history, 700.0)
    full = fitted(known, 1000)
    astray = replace(full, spreads=np.tile([0.9, 0.01, 0.3, 0.4], (1000, 1)))
    found = fitted(known, 1000, near=astray)
    a, b = (draws.chance_of_failure(parts, [30])[:, 0] for draws in (full, found))
    assert np.abs(a - b).mean() < 0.01
    assert (found.spreads[:, 1] > 0.05).mean() > 0.9
