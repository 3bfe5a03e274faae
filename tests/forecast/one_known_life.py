"""The life model of a small workshop with its draws put in by hand, so that answers are known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from tracker.forecast.fitted_lives import FittedLives
from tracker.forecast.life_history import LifeHistory
from tracker.models.life_model.whole import LifeDraws


def one_known_life(
    fitted: FittedLives,
    shape: float,
    scale: float,
    *,
    levels: Mapping[str, float] | None = None,
    spread: float = 0.0,
) -> FittedLives:
    """The same workshop, its parts all Weibull with that shape and scale (open days), no accidents.

    ``levels``: how much a printer adds to the log hazard. ``spread``: of the log of the scale from
    draw to draw, normal. What a forecast would add is there: drift that goes on, lots that differ.
    """
    told, draws = told_of(fitted), draws_of(fitted)
    size = len(draws)
    rng = np.random.default_rng(3)
    noise = spread * rng.standard_normal(size)
    noise -= noise.mean()
    typical = draws.groups.told("typical_life")
    unit = np.array([(levels or {}).get(name, 0.0) for name in told.printers])
    put_in = replace(
        draws,
        weight=np.full(size, 1 / size),
        log_rate=shape * (np.log(typical / scale)[None, :] - noise[:, None]),
        shape=np.full(draws.shape.shape, shape),
        accident=np.full(draws.accident.shape, 1e-12),
        unit=np.tile(unit, (size, 1)),
        lot=np.zeros(draws.lot.shape),
        unseen_lot=rng.standard_normal(size),
        ahead=np.ones(draws.ahead.shape),
        season=np.zeros((size, 0)),
        spreads=np.zeros(draws.spreads.shape),
        effect=np.zeros(draws.effect.shape),
    )
    return replace(fitted, draws=put_in)


def draws_of(fitted: FittedLives) -> LifeDraws:
    """The draws, which are there wherever a part was ever fitted."""
    assert fitted.draws is not None
    return fitted.draws


def told_of(fitted: FittedLives) -> LifeHistory:
    """What the model learned from, there wherever a part was ever fitted."""
    assert fitted.told is not None
    return fitted.told
