"""Few points that stand for a smooth distribution: rules, quantiles and evenly spread points.

Nothing here is sampled: the same call gives the same points.
"""

from __future__ import annotations

from functools import lru_cache
from math import log

import numpy as np

from tracker.arrays import Array, Ints

_ROOT = 5.0  # rates are laid out for rules in their fifth root; see rate_rule


def log_gamma_ends(worth: Array, depth: float = 23.0) -> tuple[Array, Array]:
    """How far the log of a Gamma(worth, 1) rate reaches to either side of log(worth).

    Its density is e^−depth of the top there: worth · (e^y − 1 − y) = depth, by Newton steps from
    outside, where they cannot overshoot.
    """
    goal = depth / np.asarray(worth, dtype=float)
    low = -(goal + np.sqrt(2 * goal))
    high = np.log1p(goal + np.sqrt(2 * goal))
    for _ in range(6):
        low = low - (np.exp(low) - 1 - low - goal) / np.expm1(low)
        high = high - (np.exp(high) - 1 - high - goal) / np.expm1(high)
    return low, high


def gamma_density(worth: float, size: int) -> tuple[Array, Array]:
    """Evenly spaced logs of a Gamma(worth, 1) rate, and the share of the mass at each."""
    low, high = log_gamma_ends(np.array([worth]))
    ahead = np.linspace(low[0], high[0], size)
    with np.errstate(under="ignore"):
        density = np.exp(worth * (ahead - np.expm1(ahead)))
    return log(worth) + ahead, density / density.sum()


def gauss_rule(place: Array, mass: Array, size: int) -> tuple[Array, Array]:
    """``size`` points and weights with the mass's first 2·size − 1 moments, by row.

    ``place, mass (rows, points)``, each row's mass summing to 1. The recurrence of the
    orthogonal polynomials by Stieltjes' procedure, points and weights as eigenvalues of their
    Jacobi matrix (Golub and Welsch, 1969, Math. Comp. 23:221).
    """
    rows = len(place)
    jacobi = np.zeros((rows, size, size))
    before, current, beta = np.zeros_like(place), np.ones_like(place), np.zeros((rows, 1))
    for k in range(size):
        alpha = np.einsum("rp,rp->r", mass * current, place * current)[:, None]
        jacobi[:, k, k] = alpha[:, 0]
        following = (place - alpha) * current - np.sqrt(beta) * before
        beta = np.einsum("rp,rp->r", mass * following, following)[:, None]
        if k + 1 < size:
            jacobi[:, k, k + 1] = jacobi[:, k + 1, k] = np.sqrt(beta[:, 0])
        before, current = current, following / np.sqrt(np.maximum(beta, 1e-300))
    points, vectors = np.linalg.eigh(jacobi)
    return points, vectors[:, 0, :] ** 2


def rate_rule(log_rate: Array, mass: Array, size: int) -> tuple[Array, Array]:
    """The Gauss rule for rates, in their fifth root: (rows, size) log rates and weights.

    Survival is exp(−rate · c) for any c: a polynomial in the rate itself serves small c only, in
    the log only the middle. The fifth root serves all c to 1e-4 with 4 points where ten failures
    are known, 8 where two are, 14 where one is.
    """
    place = np.exp(log_rate / _ROOT)
    points, weight = gauss_rule(place, mass, size)
    return _ROOT * np.log(np.maximum(points, 1e-12)), weight


def between(size: int, place: Array) -> Array:
    """(places, size) weights that read a smooth table of ``size`` even steps at any place.

    Cubic through the four nearest entries; linear or constant in a table shorter than that.
    """
    order = min(4, size)
    first = np.clip(np.floor(place).astype(int) - (order // 2 - 1), 0, size - order)
    part = place - first
    weights = np.zeros((len(place), size))
    for i in range(order):
        others = [j for j in range(order) if j != i]
        value = np.prod([(part - j) / (i - j) for j in others], axis=0)
        weights[np.arange(len(place)), first + i] = value
    return weights


def quantiles(place: Array, mass: Array, u: Array) -> Array:
    """The place below which a share u of the mass lies; the mass is a smooth density on a grid.

    The density is filled in between the even grid points by its sinc series, which is as exact
    as sums over them, so that the quantiles do not show the grid.
    """
    row = np.zeros(len(u), dtype=np.intp)
    return row_quantiles(place[None, :], mass[None, :], row, u)


def row_quantiles(place: Array, mass: Array, row: Ints, u: Array) -> Array:
    """The same from the row of ``place, mass (rows, points)`` that goes with each u."""
    size = place.shape[1]
    if size < 2:
        return place[row, 0]
    fine, sinc = _sinc_series(size)
    filled = np.maximum(mass @ sinc.T, 0)
    total = np.zeros((len(place), len(fine)))
    np.cumsum(filled[:, 1:] + filled[:, :-1], axis=1, out=total[:, 1:])
    empty = total[:, -1] <= 0
    total[empty] = np.linspace(0, 1, len(fine))
    total /= total[:, -1:]
    # All rows in one table: the shares of row k run from 2·k to 2·k + 1.
    shares = (total + 2.0 * np.arange(len(place))[:, None]).ravel()
    at = np.interp(np.clip(u, 0, 1) + 2.0 * row, shares, np.tile(fine, len(place)))
    left = np.minimum(at.astype(int), size - 2)
    part = at - left
    result: Array = place[row, left] * (1 - part) + place[row, left + 1] * part
    return result


@lru_cache(maxsize=8)
def _sinc_series(size: int) -> tuple[Array, Array]:
    """Places between 0 and size − 1, and the matrix that reads a band-limited table there."""
    fine = np.linspace(0, size - 1, max(401, 4 * size))
    return fine, np.sinc(fine[:, None] - np.arange(size))


def gamma_quantiles(worth: Array, u: Array) -> Array:
    """The log of the rate below which a Gamma(worth, 1) lies with chance u: (worths, chances)."""
    low, high = log_gamma_ends(worth)
    ahead = low[:, None] + (high - low)[:, None] * np.linspace(0, 1, 401)
    density = np.exp(worth[:, None] * (ahead - np.expm1(ahead)))
    total = np.cumsum(density[:, 1:] + density[:, :-1], axis=1)
    total = np.concatenate((np.zeros((len(worth), 1)), total), axis=1) / total[:, -1:]
    rows = [np.interp(u, total[k], ahead[k]) for k in range(len(worth))]
    return np.array(rows) + np.log(worth)[:, None]


def lattice(size: int, dimensions: int) -> Array:
    """(size, dimensions) evenly spread points of the unit cube: deterministic, no sampling.

    Steps by powers of 1/g, g the real root of g^(dimensions + 1) = g + 1, which generalises the
    golden ratio (Roberts, 2018, "The unreasonable effectiveness of quasirandom sequences").
    """
    g = 1.5
    for _ in range(60):
        g = (1 + g) ** (1 / (dimensions + 1))
    return (0.5 + np.arange(1, size + 1)[:, None] * g ** -np.arange(1.0, dimensions + 1)) % 1.0


def inverse_trigamma(value: float) -> float:
    """The k with ψ′(k) = value, by Newton steps on 1/ψ′ (nearly a straight line in k)."""
    k = 0.5 + 1 / value
    for _ in range(20):
        slope = (trigamma(k * 1.0001) - trigamma(k)) / (k * 0.0001)
        k = max(k * 0.1, k + trigamma(k) * (1 - trigamma(k) / value) / slope)
    return k


def trigamma(k: float) -> float:
    """ψ′(k) by recurrence and its asymptotic series (Abramowitz and Stegun, 6.4.12)."""
    total = 0.0
    while k < 8:
        total += 1 / k**2
        k += 1
    return total + 1 / k + 1 / (2 * k**2) + 1 / (6 * k**3) - 1 / (30 * k**5) + 1 / (42 * k**7)


def log_gamma(x: Array) -> Array:
    """log Γ(x) for x > 0 by Stirling's series on x + 8 (Abramowitz and Stegun, 6.1.41)."""
    shift = sum(np.log(x + k) for k in range(8))
    z = x + 8
    series = 1 / (12 * z) - 1 / (360 * z**3) + 1 / (1260 * z**5) - 1 / (1680 * z**7)
    result: Array = (z - 0.5) * np.log(z) - z + 0.5 * log(2 * np.pi) + series - shift
    return result
