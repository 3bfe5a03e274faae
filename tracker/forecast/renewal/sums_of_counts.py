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

from tracker.arrays import Array, Ints

EXACT_POSITIONS = 200
BIN = 1 / 30  # in √mean
_BLOCK = 60_000  # complex numbers held at once: what a processor's cache holds


def average_of_sums(counts: Array, times: Ints, weight: Array) -> Array:
    """The law of the total averaged over the nodes.

    ``counts`` (n, A, K) are the chances of 0, 1, … per node and kind of position, ``times`` (A,)
    says how many positions there are of each kind.
    """
    mean, variance = moments(counts, times)
    if times.sum() > EXACT_POSITIONS:
        return average_matched(mean, variance, weight)
    # Nodes of about the same reach share a grid: few light ones must not make it long for all.
    level = np.ceil(np.log2(np.maximum(mean + 8 * np.sqrt(variance) + 4, 8))).astype(int)
    size = law_size(mean, variance, weight)
    total = np.zeros(size)
    for own in np.unique(level):
        rows = np.flatnonzero(level == own)
        length = min(2 ** int(own), size)
        most = np.flatnonzero((weight[rows] @ counts[rows].max(axis=1)) > 1e-12)[-1] + 1
        spread = weight[rows] @ spectrum(counts[rows, :, :most], times, length)
        total[:length] += np.fft.irfft(spread, length)
    return trimmed(total)


def moments(counts: Array, times: Ints) -> tuple[Array, Array]:
    """Mean and variance of the total per node."""
    k = np.arange(counts.shape[-1], dtype=np.float64)
    first, second = np.moveaxis(counts @ np.stack([k, k**2], axis=1), -1, 0)
    return first @ times, np.maximum(second - first**2, 0) @ times


def law_size(mean: Array, variance: Array, weight: Array) -> int:
    """Length that holds all but 3 in 100 000 of the weight, a good one for Fourier transforms."""
    reach = mean + 8 * np.sqrt(variance) + 4
    order = np.argsort(reach)
    light = 1 - np.cumsum(weight[order]) < 3e-5
    needed = int(np.ceil(reach[order][np.argmax(light)])) + 1
    step = 2 ** max(3, int(np.ceil(np.log2(needed))) - 3)
    return max(8, -(-needed // step) * step)


def spectrum(counts: Array, times: Ints, size: int) -> NDArray[np.complex128]:
    """Fourier transform of the law of the total per node: (n, size // 2 + 1)."""
    frequencies = size // 2 + 1
    k = np.arange(counts.shape[-1])
    turn = np.exp(-2j * np.pi * np.outer(k, np.arange(frequencies)) / size)
    parts = turn.view(np.float64)  # real and imaginary parts in turn: one real matrix product
    total = np.ones((counts.shape[0], frequencies), dtype=np.complex128)
    block = max(1, _BLOCK // total.size)
    for start in range(0, counts.shape[1], block):
        part = np.moveaxis(counts[:, start : start + block], 1, 0)
        values = (part.reshape(-1, len(k)) @ parts).view(np.complex128)
        values = values.reshape(*part.shape[:2], frequencies)
        total *= _product(values, times[start : start + block])
    return total


def _product(values: NDArray[np.complex128], times: Ints) -> NDArray[np.complex128]:
    """Product over positions (the first axis), each to its number of times, by squaring."""
    product: NDArray[np.complex128] = np.multiply.reduce(values, axis=0)
    more = np.flatnonzero(times > 1)
    left, power = times[more] - 1, values[more]
    while left.size:
        odd = left & 1 == 1
        product *= np.multiply.reduce(power[odd], axis=0)
        left = left >> 1
        left, power = left[left > 0], power[left > 0] ** 2
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


def average_matched(mean: Array, variance: Array, weight: Array) -> Array:
    """The matched laws averaged over the nodes; nodes of nearly one mean are put together first.

    Means within a fifteenth of √mean of each other count as one; their spread goes to the variance.
    """
    bins = np.floor(np.sqrt(np.maximum(mean, 0)) / BIN).astype(int)
    place = np.unique(bins, return_inverse=True)[1]
    share: Array = np.bincount(place, weight).astype(np.float64)
    safe = np.maximum(share, 1e-300)
    middle = np.bincount(place, weight * mean) / safe
    around = np.bincount(place, weight * (variance + (mean - middle[place]) ** 2)) / safe
    return trimmed(share @ matched_law(middle, around, share))


def trimmed(law: Array) -> Array:
    """The law from 0 to the last chance worth showing (1e-12), summing to 1."""
    law = np.maximum(law, 0)
    worth = np.flatnonzero(law > 1e-12)
    law = law[: worth[-1] + 1] if worth.size else law[:1]
    return np.asarray(law / law.sum())
