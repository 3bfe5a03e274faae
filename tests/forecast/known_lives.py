"""Fitted lives whose truth is known, so that what is read from them has a hand-worked answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tracker.forecast.fitted_lives import FittedLives, fit_lives
from tracker.forecast.life_history import LifeHistory
from tracker.models.life_model.whole import LifeDraws, SpreadGrid, fit_life_model
from tracker.workshop.records import Records

Curve = tuple[float, float]  # shape, scale in days


def known_lives(
    records: Records, as_of: date, curves: Mapping[str, Curve | NDArray[np.float64]]
) -> FittedLives:
    """The workshop's parts with these Weibull lives for certain, or with as many equally likely
    ones as there are rows of ``(shape, scale)``: no printer, lot, quarter or season differs, and
    there are no accidents. Unknown ages are as likely as these lives make them.
    """
    return _put_in(fit_lives(records, as_of), curves, {})


def one_known_life(
    fitted: FittedLives,
    shape: float,
    scale: float,
    *,
    levels: Mapping[str, float] | None = None,
    spread: float = 0.0,
) -> FittedLives:
    """The same with one life for parts of all kinds (open days), in as many draws as were fitted.

    ``levels``: how much a printer adds to the log hazard. ``spread``: of the log of the scale from
    draw to draw, normal. What a forecast would add is there: drift that goes on, lots that differ.
    """
    size = len(draws_of(fitted))
    rng = np.random.default_rng(3)
    noise = spread * rng.standard_normal(size)
    curves = np.column_stack((np.full(size, shape), scale * np.exp(noise - noise.mean())))
    kinds = {kind for kind, _, _ in told_of(fitted).groups}
    known = _put_in(fitted, dict.fromkeys(kinds, curves), levels or {})
    draws = draws_of(known)
    going_on = replace(
        draws, unseen_lot=rng.standard_normal(size), ahead=np.ones(draws.ahead.shape)
    )
    return replace(known, draws=going_on)


def draws_of(fitted: FittedLives) -> LifeDraws:
    """The draws, which are there wherever a part was ever fitted."""
    assert fitted.draws is not None
    return fitted.draws


def told_of(fitted: FittedLives) -> LifeHistory:
    """What the model learned from, there wherever a part was ever fitted."""
    assert fitted.told is not None
    return fitted.told


def _put_in(
    fitted: FittedLives,
    curves: Mapping[str, Curve | NDArray[np.float64]],
    levels: Mapping[str, float],
) -> FittedLives:
    draws, told = draws_of(fitted), told_of(fitted)
    rows = {kind: np.atleast_2d(np.asarray(curve, dtype=float)) for kind, curve in curves.items()}
    size = max(len(own) for own in rows.values())
    typical = draws.groups.told("typical_life")
    shape, log_rate = np.ones((size, len(typical))), np.zeros((size, len(typical)))
    for place, (kind, _, _) in enumerate(told.groups):
        own = np.resize(rows[kind], (size, 2))
        shape[:, place] = own[:, 0]
        log_rate[:, place] = own[:, 0] * np.log(typical[place] / own[:, 1])

    def none(values: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.zeros((size, *values.shape[1:]))

    calm = {
        name: none(getattr(draws, name))
        for name in ("accident", "lot", "drift", "ahead", "season", "effect", "spreads")
    }
    known = replace(
        draws,
        weight=np.full(size, 1 / size),
        log_rate=log_rate,
        shape=shape,
        unit=np.tile([levels.get(name, 0.0) for name in told.printers], (size, 1)),
        unseen_unit=np.zeros(size),
        unseen_lot=np.zeros(size),
        leaning=replace(
            draws.leaning,
            share=none(draws.leaning.share),
            accident_share=np.zeros(draws.leaning.accident_share.shape),
        ),
        **calm,
    )
    share = _shares_of_ages(fitted, known)
    return replace(fitted, draws=replace(known, ages=replace(draws.ages, share=share)))


def still_lives(records: Records, as_of: date, draws: int = 8000) -> FittedLives:
    """The fit of a workshop of which it is known that no printer, lot, quarter or season differs:
    nothing but lives and belief, so that a plain sum over shapes and rates is the answer.
    """
    fitted = fit_lives(records, as_of)
    assert fitted.told is not None
    grid = SpreadGrid((1e-4,), (1e-4,), (1e-4,))
    rng = np.random.default_rng(1)
    still = fit_life_model(fitted.told.history, draws, rng=rng, season=False, grid=grid)
    return replace(fitted, draws=still)


def _shares_of_ages(fitted: FittedLives, known: LifeDraws) -> NDArray[np.float64]:
    """By Bayes: each possible age on the first day counts by the chance of having worked on since.

    Of parts still in; (draws, possible ages).
    """
    assert fitted.told is not None
    lives, guesses = fitted.told.history.lives, fitted.told.history.guesses
    ages = known.ages
    share = np.zeros((len(known.weight), len(ages.owner)))
    if guesses is None:
        return share
    for owner, guess in enumerate(ages.row):
        (row,) = np.flatnonzero(lives.guess == guess)
        mine, group = ages.owner == owner, lives.group[row]
        first = ages.added[mine]
        scale = known.groups.beliefs[group].typical_life

        def gathered(age: NDArray[np.float64], group: int = group, scale: float = scale) -> Any:
            power = (age / scale) ** known.shape[:, group, None]
            return np.exp(known.log_rate[:, group, None]) * power

        survived = np.exp(gathered(first) - gathered(first + lives.age[row]))
        own = guesses.chance[guess] * survived
        share[:, mine] = own / own.sum(axis=1, keepdims=True)
    return share
