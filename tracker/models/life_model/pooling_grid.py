"""Integrates what ties groups together: their shape, their middle rate and their spread.

Given these three, each group's rate is a gamma and drops out in closed form; see ``pooling``.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import lgamma, log

import numpy as np

from tracker.arrays import Array, Ints
from tracker.models.life_model.posterior_grid import (
    Evidence,
    GammaForm,
    columns,
    gamma_form,
    log_normal,
)
from tracker.models.life_model.quadrature import gauss_rule, log_gamma

SPREAD_SCALE = 0.7  # of the half-normal belief in how far groups differ; see the module's text
_SPREADS = 8  # Gauss points for the spread
_MIDDLES = 48  # even points for the middle rate, brought down to _FEW by a Gauss rule
_FEW = 6
_COLUMNS = 25
_DEPTH = 23.0
_SMALL = 1e-6  # share of the weight below which an entry is dropped


@dataclass(frozen=True, eq=False)
class Hyper:
    """Entries of the grid: column of the log shape, weight, 1/spread² and 1/spread²/middle."""

    column: Ints
    weight: Array
    worth: Array
    exposure: Array


def integrate(
    evidence: Sequence[Evidence], a0: float, middle: float, shape_spread: float
) -> tuple[Array, tuple[GammaForm, ...], Hyper, float]:
    """The grid over shape, spread and middle, weighted by every group's marginal likelihood."""
    spread, spread_mass = _spreads()

    def height(log_shape: Array) -> Array:
        forms = [gamma_form(each, log_shape, a0) for each in evidence]
        _, tall = _middles(forms, spread, a0, len(log_shape))
        with np.errstate(divide="ignore"):
            inner = _log_sum(tall, axis=2) + np.log(spread_mass)
        return _log_sum(inner, axis=1) + log_normal(log_shape, middle, shape_spread)

    log_shape = columns(height, middle, shape_spread, _COLUMNS)
    forms = tuple(gamma_form(each, log_shape, a0) for each in evidence)
    y, tall = _middles(forms, spread, a0, len(log_shape))
    tall = tall + np.log(spread_mass)[None, :, None]
    tall = tall + log_normal(log_shape, middle, shape_spread)[:, None, None]
    top = tall.max()
    with np.errstate(under="ignore"):
        weight = np.exp(tall - top)
    step = log_shape[1] - log_shape[0] if len(log_shape) > 1 else 1.0
    log_evidence = float(top + log(weight.sum() * step))
    return log_shape, forms, _fewer(y, weight, spread), log_evidence


def _spreads() -> tuple[Array, Array]:
    """Gauss points and weights for the half-normal belief in the spread."""
    fine = (np.arange(400) + 0.5) / 400 * 4 * SPREAD_SCALE
    mass = np.exp(-0.5 * (fine / SPREAD_SCALE) ** 2)
    points, weight = gauss_rule(fine[None, :], mass[None, :] / mass.sum(), _SPREADS)
    return points[0], weight[0]


def _middles(
    forms: Sequence[GammaForm], spread: Array, a0: float, size: int
) -> tuple[Array, Array]:
    """Logs of the middle rate and the log density (step included): (columns, spreads, middles).

    The range runs from where the density has fallen by e^-23 on the left to the same on the
    right, found by growing steps from the top.
    """
    alpha = np.broadcast_to(spread**-2.0, (size, len(spread)))[..., None]
    grouped = [(f.worth[:, None, None], f.exposure[:, None, None]) for f in forms]
    base = np.full((size, len(spread), 1), a0 * log(a0) - lgamma(a0))
    for form, (worth, _) in zip(forms, grouped, strict=True):
        base = base + form.height[:, None, None] + log_gamma(alpha + worth) - log_gamma(alpha)
        base = base - worth * np.log(alpha)

    def density(y: Array) -> Array:
        rate = np.exp(y)
        total = base + a0 * (y - rate)
        for worth, exposure in grouped:
            # worth·log(middle) − (alpha + worth)·log(alpha + exposure·middle), alpha·log(alpha)
            total = total + worth * y - (alpha + worth) * np.log1p(exposure * rate / alpha)
        return total

    known = sum((worth for worth, _ in grouped), np.full((size, 1, 1), a0))
    spent = sum((exposure for _, exposure in grouped), np.full((size, 1, 1), a0))
    top = np.broadcast_to(np.log(known / spent), alpha.shape)
    for _ in range(30):  # Newton steps to the top: the density has one, and bends down everywhere
        rate = np.exp(top)
        slope, bend = a0 * (1 - rate), a0 * rate
        for worth, exposure in grouped:
            part = exposure * rate / (alpha + exposure * rate)
            slope = slope + worth - (alpha + worth) * part
            bend = bend + (alpha + worth) * part * (1 - part)
        move = np.clip(slope / bend, -2, 2)
        top = top + move
        if np.abs(move).max() < 1e-3:
            break
    deep = density(top) - _DEPTH
    width = np.sqrt(2 * _DEPTH / bend)
    low, high = (_reach(density, top, deep, sign * width) for sign in (-1.0, 1.0))
    y = low + (high - low) * np.linspace(0, 1, _MIDDLES)
    return y, density(y) + np.log((high - low) / (_MIDDLES - 1))


def _reach(
    density: Callable[[Array], Array],
    top: Array,
    deep: Array,
    step: Array,
) -> Array:
    """A place on one side of the top where the density is below ``deep``, not far beyond."""
    for _ in range(30):
        short = density(top + step) > deep
        if not short.any():
            break
        step = np.where(short, 1.35 * step, step)
    return top + step


def _fewer(y: Array, weight: Array, spread: Array) -> Hyper:
    """The entries worth keeping, the middle rate brought down to a Gauss rule in each cell."""
    cell = weight.sum(axis=2)
    keep = cell > _SMALL * cell.sum()
    column, which = np.nonzero(keep)
    mass = weight[keep] / cell[keep][:, None]
    points, share = gauss_rule(y[keep], mass, _FEW)
    entries = (cell[keep] / cell.sum())[:, None] * share
    alpha = np.broadcast_to(spread[which][:, None] ** -2, entries.shape)
    exposure = alpha * np.exp(-points)
    heavy = entries > _SMALL
    rows = np.broadcast_to(column[:, None], entries.shape)[heavy]
    return Hyper(rows, entries[heavy] / entries[heavy].sum(), alpha[heavy], exposure[heavy])


def _log_sum(values: Array, axis: int) -> Array:
    top = values.max(axis=axis, keepdims=True)
    with np.errstate(invalid="ignore", divide="ignore"):
        total = np.log(np.exp(values - top).sum(axis=axis)) + top.squeeze(axis)
    return np.nan_to_num(total, nan=-np.inf)
