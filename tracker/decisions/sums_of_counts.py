"""The law of a sum of independent counts, per parameter node and averaged over the nodes.

Few positions: exactly, by multiplying generating functions on a Fourier grid. Many positions: a
law of the (a, b, 0) class with the same mean and variance per node (binomial, Poisson or negative
binomial; Panjer, 1981, ASTIN Bulletin 12; Sundt & Jewell, 1981). For sums of nearly 0/1 counts its
total variation from the exact law is of the order of the spread of the chances over the number of
positions (Ehm, 1991); the tests hold it against the exact form.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

EXACT_POSITIONS = 200
_BLOCK = 2_000_000  # complex numbers held at once


def sum_law(counts: Array, times: NDArray[np.int64], weight: Array) -> Array:
    """The law of the total per node: (n, size).

    ``counts`` (n, A, K) are the chances of 0, 1, … per node and kind of position, ``times`` (A,)
    says how many positions there are of each kind. Nodes are not averaged yet.
    """
    if times.sum() > EXACT_POSITIONS:
        return matched_law(*moments(counts, times), weight)
    size = law_size(*moments(counts, times), weight)
    return np.fft.irfft(spectrum(counts, times, size), size)


def moments(counts: Array, times: NDArray[np.int64]) -> tuple[Array, Array]:
    """Mean and variance of the total per node."""
    k = np.arange(counts.shape[-1], dtype=np.float64)
    mean = counts @ k
    variance = np.maximum(counts @ k**2 - mean**2, 0)
    return mean @ times, variance @ times


def law_size(mean: Array, variance: Array, weight: Array) -> int:
    """Length that holds all but 3 in 100 000 of the weight, a good one for Fourier transforms."""
    reach = mean + 8 * np.sqrt(variance) + 4
    order = np.argsort(reach)
    light = 1 - np.cumsum(weight[order]) < 3e-5
    needed = int(np.ceil(reach[order][np.argmax(light)])) + 1
    step = 2 ** max(3, int(np.ceil(np.log2(needed))) - 3)
    return max(8, -(-needed // step) * step)


def spectrum(counts: Array, times: NDArray[np.int64], size: int) -> NDArray[np.complex128]:
    """Fourier transform of the law of the total per node: (n, size // 2 + 1)."""
    frequencies = np.arange(size // 2 + 1)
    k = np.arange(counts.shape[-1])
    turn = np.exp(-2j * np.pi * np.outer(k, frequencies) / size)
    cosine, sine = turn.real.copy(), turn.imag.copy()
    total = np.ones((counts.shape[0], len(frequencies)), dtype=np.complex128)
    block = max(1, _BLOCK // total.size)
    for start in range(0, counts.shape[1], block):
        part = counts[:, start : start + block]
        values = part @ cosine + 1j * (part @ sine)
        total *= _product(values, times[start : start + block])
    return total


def _product(values: NDArray[np.complex128], times: NDArray[np.int64]) -> NDArray[np.complex128]:
    """Product over positions, each to its number of times, by repeated squaring."""
    product = np.ones_like(values[:, 0])
    left, power = times, values
    while left.any():
        odd = np.flatnonzero(left & 1)
        if odd.size:
            product *= np.multiply.reduce(power[:, odd], axis=1)
        left = left >> 1
        keep = np.flatnonzero(left)
        if not keep.size:
            break
        left, power = left[keep], power[:, keep] ** 2
    return product


def matched_law(mean: Array, variance: Array, weight: Array) -> Array:
    """Per node the (a, b, 0) law of that mean and variance: (n, size)."""
    size = law_size(mean, variance, weight)
    variance = np.clip(variance, mean * 1e-3 + 1e-12, None)
    ratio = (mean / variance)[:, None]
    a, b = 1 - ratio, mean[:, None] * ratio - (1 - ratio)
    k = np.arange(1, size)
    # p(k) / p(k − 1) = a + b / k; where that is not positive the law has ended.
    with np.errstate(divide="ignore", invalid="ignore"):
        steps = np.log(np.maximum(a + b / k, 0))
    ended = np.logical_or.accumulate(a + b / k <= 0, axis=1)
    steps[ended] = -np.inf
    logs = np.concatenate([np.zeros((len(mean), 1)), np.cumsum(steps, axis=1)], axis=1)
    law = np.exp(logs - logs.max(axis=1, keepdims=True))
    return np.asarray(law / law.sum(axis=1, keepdims=True))


def average_law(weight: Array, law: Array) -> Array:
    """The law averaged over the nodes, without rounding dust."""
    return trimmed(weight @ law)


def trimmed(law: Array) -> Array:
    """The law from 0 to the last chance worth showing (1e-12), summing to 1."""
    law = np.maximum(law, 0)
    worth = np.flatnonzero(law > 1e-12)
    law = law[: worth[-1] + 1] if worth.size else law[:1]
    return np.asarray(law / law.sum())
