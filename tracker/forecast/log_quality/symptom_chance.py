"""How likely is each planned entry before a failure really work because of a symptom?

Planned work follows a schedule: from one entry to the next lie about the usual days. Other entries
come in between: now and then at any time, and more often in the days before failures if work
because of a symptom is among them. Which entries are which is not known; all ways of telling them
apart are added up with their likelihoods (sums over the paths of a hidden Markov chain: Baum et al.
1970, Annals of Mathematical Statistics 41:164). The law of the days between scheduled entries and
the rates of the others follow from the chances, and the chances from them, in turn (Dempster, Laird
& Rubin 1977, J. R. Statist. Soc. B 39:1). Where more comes in between than elsewhere, it is put
down to symptoms.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import logsumexp

from tracker.arrays import Array, Bools, Ints
from tracker.forecast.log_quality.failure_runs import LAST_DAYS

_ROUNDS = 15
_WIDTH, _WIDEST = 0.5, 5  # of log2(days between / usual days): classes, as far as they reach
_CLASSES = int(2 * _WIDEST / _WIDTH) + 1
_PRIOR = 0.2  # entries thought to be in each class
_MOST_BETWEEN = 12  # entries between two scheduled ones; a path with more is next to impossible
_BETWEEN, _BEFORE_FAILURE = 0.05, 0.3  # first guesses: others per usual interval
_LEAST = 1e-4
_LEAST_KEPT = 0.3
_MORE_OFTEN = 1.5
_ELSEWHERE = len(LAST_DAYS)  # the bin of all other days


@dataclass(frozen=True, eq=False)
class EntryTrack:
    """The entries of a task on one printer, in order: ``at`` (days), ``usual`` days between two,
    and ``bin`` of the days before a failure (−1: none ahead); ``asked`` where it may be because of
    a symptom.
    """

    at: Ints
    usual: Array
    bin: Ints
    asked: Bools


def symptom_chances(tracks: Sequence[EntryTrack], days: Array, due: Array) -> list[Array]:
    """The chance of each entry of each track.

    ``days``: how many days of each bin there are in all, the last bin those not before a failure;
    ``due``: the scheduled entries due on them, were the usual interval kept.
    """
    if not any(len(track.at) for track in tracks):
        return [np.zeros(0) for _ in tracks]
    table = _Table.of(tracks)
    mean_usual = float(table.usual[table.there].mean())
    rate = np.array([_BEFORE_FAILURE] * _ELSEWHERE + [_BETWEEN]) / mean_usual
    share = _first_law(table)
    other, kept = np.zeros(table.there.shape), np.ones(len(days))
    for _ in range(_ROUNDS):
        scheduled, share = _one_round(table, share, rate, kept)
        other = np.where(table.there, 1 - scheduled, 0.0)
        found = np.bincount(table.bin[table.there], other[table.there], minlength=len(rate))
        rate = np.maximum(found / np.maximum(days, 1), _LEAST / mean_usual)
        sure = np.bincount(table.bin[table.there], scheduled[table.there], minlength=len(rate))
        # A part fails the sooner after a time of neglect where a task helps: before failures
        # fewer scheduled entries are to be expected than the law says.
        usually = sure[-1] / max(due[-1], 1e-9)
        kept = np.clip(sure / np.maximum(usually * due, 1e-9), _LEAST_KEPT, 1.0)
    # Only where entries come in between more often than elsewhere is there something to explain.
    chance = other * (rate > _MORE_OFTEN * rate[-1])[table.bin] * table.asked
    return [row[: len(track.at)] for row, track in zip(chance, tracks, strict=True)]


@dataclass(frozen=True, eq=False)
class _Table:
    """All tracks side by side: (tracks, entries), ``there`` where one is."""

    at: Array
    usual: Array
    bin: Ints
    there: Bools
    asked: Bools

    @classmethod
    def of(cls, tracks: Sequence[EntryTrack]) -> _Table:
        longest = max(len(track.at) for track in tracks)
        shape = (len(tracks), longest)
        at, usual = np.zeros(shape), np.full(shape, np.nan)
        bins = np.full(shape, -1, dtype=np.int64)
        there, asked = np.zeros(shape, dtype=bool), np.zeros(shape, dtype=bool)
        for row, track in enumerate(tracks):
            length = len(track.at)
            at[row, :length], usual[row, :length] = track.at, track.usual
            bins[row, :length], there[row, :length] = track.bin, True
            asked[row, :length] = track.asked
        told = np.isfinite(usual) & (usual > 0)
        usual = np.where(told, usual, np.median(usual[told]) if told.any() else 30.0)
        return cls(at, usual, np.where(bins < 0, _ELSEWHERE, bins), there, asked)


def _class_of(gap: Array, usual: Array) -> Ints:
    classes = np.rint((np.log2(np.maximum(gap, 1) / usual) + _WIDEST) / _WIDTH)
    return np.clip(classes, 0, _CLASSES - 1).astype(np.int64)


def _first_law(table: _Table) -> Array:
    gap = np.diff(table.at, axis=1)
    here = table.there[:, 1:]
    found = np.bincount(_class_of(gap, table.usual[:, 1:])[here], minlength=_CLASSES) + _PRIOR
    return np.asarray(found / found.sum())


def _log_density(share: Array, classes: Ints, usual: Array) -> Array:
    """Of a gap, per usual interval, so that numbers stay near 1 however long a path is."""
    middle = usual * 2.0 ** (_WIDTH * classes - _WIDEST)
    # A class that spans less than a day still takes one day.
    wide = np.maximum(middle * (2 ** (_WIDTH / 2) - 2 ** (-_WIDTH / 2)), 1.0)
    return np.asarray(np.log(share[classes] * usual / wide))


def _one_round(table: _Table, share: Array, rate: Array, kept: Array) -> tuple[Array, Array]:
    """The chance of each entry to be a scheduled one, and the law of the days between those."""
    tracks, length = table.there.shape
    seldom = np.log(kept[table.bin])
    other = np.log(rate[table.bin] * table.usual)
    passed = np.concatenate((np.zeros((tracks, 1)), np.cumsum(other * table.there, axis=1)), axis=1)
    depth = min(_MOST_BETWEEN + 1, max(length - 1, 0))
    step, classes = [], []
    for back in range(1, depth + 1):
        gap = table.at[:, back:] - table.at[:, :-back]
        own = _class_of(gap, table.usual[:, back:])
        between = passed[:, back:-1] - passed[:, 1 : length - back + 1]
        step.append(_log_density(share, own, table.usual[:, back:]) + between + seldom[:, back:])
        classes.append(own)
    ahead = np.full((tracks, length), -np.inf)
    for to in range(length):
        paths = [passed[:, to] + seldom[:, to]]  # everything before it is something else
        paths += [ahead[:, to - k] + step[k - 1][:, to - k] for k in range(1, min(depth, to) + 1)]
        ahead[:, to] = logsumexp(paths, axis=0)
    ahead[~table.there] = -np.inf
    rest = passed[:, -1:] - passed[:, 1:]
    back_sum = np.full((tracks, length), -np.inf)
    for of in range(length - 1, -1, -1):
        paths = [rest[:, of]]
        for k in range(1, min(depth, length - 1 - of) + 1):
            onward = step[k - 1][:, of] + back_sum[:, of + k]
            paths.append(np.where(table.there[:, of + k], onward, -np.inf))
        back_sum[:, of] = logsumexp(paths, axis=0)
    whole = logsumexp(ahead + np.where(table.there, rest, -np.inf), axis=1, keepdims=True)
    whole = np.where(np.isfinite(whole), whole, 0.0)  # of a printer without entries
    scheduled = np.where(table.there, np.exp(ahead + back_sum - whole), 0.0)
    weight = np.full(_CLASSES, _PRIOR)
    for k, (own, cost) in enumerate(zip(classes, step, strict=True), start=1):
        taken = ahead[:, :-k] + cost + back_sum[:, k:] - whole
        here = table.there[:, k:]
        weight += np.bincount(own[here], np.exp(taken[here]), minlength=_CLASSES)
    return np.clip(scheduled, 0, 1), weight / weight.sum()
