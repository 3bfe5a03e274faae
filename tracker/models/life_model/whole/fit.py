"""From a history to weighted draws: the whole model's entry."""

from __future__ import annotations

import numpy as np
from scipy.special import gammaincinv, ndtri

from tracker.arrays import Array
from tracker.models.life_model.whole.calendar_time import SEASON_FROM, OpenDays
from tracker.models.life_model.whole.drawing import Drawn, draw_levels, is_exact, stratified
from tracker.models.life_model.whole.draws import LifeDraws
from tracker.models.life_model.whole.guess import leaning_of
from tracker.models.life_model.whole.history import History, tally
from tracker.models.life_model.whole.levels import Ages
from tracker.models.life_model.whole.likelihood import Likelihood, likelihood_of
from tracker.models.life_model.whole.score_test import (
    AskedOfFit,
    Difference,
    difference_by_age,
)
from tracker.models.life_model.whole.spreads import SpreadGrid, likely_peaks
from tracker.models.life_model.whole.summed import LifeSums

QUARTERS_AHEAD = 24  # the drift goes on so far, then stands
# Belief about accidents: one in ten typical lives, worth half a failure (common practice, no
# source).
ACCIDENTS_PER_LIFE = 0.1
ACCIDENT_WORTH = 0.5


def fit_life_model(
    history: History | LifeSums,
    size: int = 1000,
    *,
    rng: np.random.Generator,
    season: bool | None = None,
    grid: SpreadGrid | None = None,
    near: LifeDraws | None = None,
    like: LifeDraws | None = None,
) -> LifeDraws:
    """What do these lives teach about every group, unit, lot and the drift, with all uncertainty?

    ``history``: the lives, or what was summed of them elsewhere. ``size`` draws. ``season``:
    whether a yearly swing is sought (left out: where the history is longer than eighteen months).
    ``grid``: other spreads to try. ``near``: the fit of a history that differs little, such as the
    month before's: only spreads close to its likeliest are tried, which is several times quicker
    where a history is played again. ``like``: a fit of nearly the same lives and exposures, with
    the same units and lots, in whose middle the search for the likeliest levels begins.

    >>> from tracker.models.life_model.posterior import LifeBelief
    >>> from tracker.models.life_model.whole import Groups, Lives, Parts
    >>> groups = Groups(np.array([0]), (LifeBelief(300),))
    >>> lives = Lives.of(0, 0, [-400, -200], [200.0, 200.0], [True, False])
    >>> history = History(lives, groups, as_of=0.0, n_units=1)
    >>> draws = fit_life_model(history, 500, rng=np.random.default_rng(1))
    >>> part = Parts.of_lives(lives, np.array([1]))
    >>> bool(0.05 < draws.chance_of_failure(part, [30])[0, 0] < 0.25)
    True
    """
    return fit_and_ask(
        history, size, None, rng=rng, season=season, grid=grid, near=near, like=like
    )[0]


def fit_and_ask(
    history: History | LifeSums,
    size: int,
    asks: AskedOfFit | None,
    *,
    rng: np.random.Generator,
    season: bool | None = None,
    grid: SpreadGrid | None = None,
    near: LifeDraws | None = None,
    like: LifeDraws | None = None,
) -> tuple[LifeDraws, Difference | None]:
    """The same, and what the likeliest peak tells of a difference that the fit leaves out."""
    if season is None:
        season = history.as_of - history.first_day > SEASON_FROM
    begin = None if near is None else _likeliest_spreads(near)
    model = likelihood_of(history, season)
    exact = is_exact(model, size)
    start = None if like is None else middle_of(model, like)
    tried = grid or SpreadGrid()
    model, peaks, weight = likely_peaks(model, tried, begin, exact=exact, start=start)
    draws = _told(model, draw_levels(model, peaks, weight, size, rng), rng)
    asked = None if asks is None else asks(draws)
    if asked is None:
        return draws, None
    return draws, difference_by_age(model, peaks[int(np.argmax(weight))], asked)


def _likeliest_spreads(draws: LifeDraws) -> Array:
    tried, which = np.unique(draws.spreads, axis=0, return_inverse=True)
    likeliest: Array = tried[np.argmax(np.bincount(which.ravel(), draws.weight))]
    return likeliest


def middle_of(model: Likelihood, draws: LifeDraws) -> Array | None:
    """Where those draws lie among the parameters of this likelihood; an exposure that they do not
    know has no effect, and before their first quarter the drift stands. None where other units or
    lots are told of.
    """
    layout, groups = model.layout, model.history.groups
    rate, shape = draws.weight @ draws.log_rate, draws.weight @ np.log(draws.shape)
    shape = shape - model.groups[1]
    quarter = np.minimum(np.arange(1, layout.quarters), draws.drift.shape[1] - 1)
    found = {"drift": draws.weight @ draws.drift[:, quarter], "effect": np.zeros(layout.effects)}
    for name, of in (("rate", rate), ("shape", shape)):
        found[name] = groups.per_kind(of)
        departs = "departure" if name == "rate" else "shape_departure"
        found[departs] = (of - found[name][groups.kind])[layout.departing]
    for name in ("season", "unit", "lot"):
        found[name] = draws.weight @ getattr(draws, name)
    effect = (draws.weight @ draws.effect)[: layout.effects]
    found["effect"][: len(effect)] = effect
    start = np.zeros(layout.slices["lot"].stop)
    for name, part in layout.slices.items():
        if len(found[name]) != part.stop - part.start:
            return None
        start[part] = found[name]
    return start


def _told(model: Likelihood, drawn: Drawn, rng: np.random.Generator) -> LifeDraws:
    """The draws under the names by which they are read."""
    history, groups, part = model.history, model.history.groups, model.layout.slices
    x, size = drawn.at, len(drawn.at)
    log_rate = x[:, part["rate"]][:, groups.kind]
    log_rate[:, model.layout.departing] += x[:, part["departure"]]
    normal = ndtri(stratified(size, QUARTERS_AHEAD + 2, rng))
    ahead = np.cumsum(normal[:, 2:], axis=1) * drawn.spreads[:, 1:2]
    cells = model.cells
    accident, accident_share = _accident_rates(history, size, rng)
    return LifeDraws(
        groups=groups,
        as_of=history.as_of,
        open_days=OpenDays(history.closed),
        exposures=history.exposures,
        exposure_mean=model.exposure_mean,
        weight=drawn.weight,
        log_rate=log_rate,
        shape=model.shape(x),
        accident=accident,
        unit=x[:, part["unit"]],
        lot=x[:, part["lot"]],
        unseen_unit=normal[:, 0] * drawn.spreads[:, 0],
        unseen_lot=normal[:, 1] * drawn.spreads[:, 2],
        drift=np.concatenate((np.zeros((size, 1)), x[:, part["drift"]]), axis=1),
        ahead=ahead,
        season=x[:, part["season"]],
        effect=x[:, part["effect"]],
        spreads=drawn.spreads,
        ages=Ages(cells.guess_row, cells.owner, cells.guess_age, drawn.ages),
        leaning=leaning_of(model, drawn, accident_share),
        failures=history.totals.failures,
    )


def _accident_rates(
    history: History | LifeSums, size: int, rng: np.random.Generator
) -> tuple[Array, Array]:
    """Accidents per open day, one constant per kind: gamma, as nothing else touches it; and the
    belief's share of its exposure.
    """
    groups, totals = history.groups, history.totals
    watched = tally(groups.kind, totals.watched, groups.n_kinds)
    count = tally(groups.kind, totals.accidents, groups.n_kinds)
    believed = ACCIDENT_WORTH / ACCIDENTS_PER_LIFE * groups.per_kind(groups.told("typical_life"))
    u = stratified(size, groups.n_kinds, rng)
    rate: Array = gammaincinv(ACCIDENT_WORTH + count, u) / (believed + watched)
    return rate[:, groups.kind], believed / (believed + watched)
