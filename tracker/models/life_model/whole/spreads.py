"""How much units and lots differ and lives drift: a small grid of spreads, by their evidence."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.special import erf, logsumexp

from tracker.arrays import Array
from tracker.models.life_model.whole.curvature import Bender
from tracker.models.life_model.whole.likelihood import Likelihood, Spreads
from tracker.models.life_model.whole.mode import Peak, begun, climbed, find_peak, foreseen


@dataclass(frozen=True)
class SpreadGrid:
    """The spreads tried, rising: of units and lots, of the drift per quarter and of the season."""

    units: tuple[float, ...] = (0.05, 0.25, 0.5, 0.9)
    walk: tuple[float, ...] = (0.01, 0.1, 0.25, 0.5)
    lots: tuple[float, ...] = (0.05, 0.3)
    season: tuple[float, ...] = (0.03, 0.4)


# Half-normal beliefs about the four, the scale of each (common practice, no source).
_SCALES = (0.5, 0.25, 0.3, 0.3)
_USUAL = np.array([0.25, 0.1, 0.05, 0.03])  # where the search begins
_NEGLIGIBLE = 9.0  # log evidence below the best at which a combination is left out
_HOPELESS = 12.0  # the same for what is only foreseen
_CLOSE = 4.0  # both, where the search begins at spreads known to be likely
# What a spread gains hardly hangs on the others: one that is so many times hopeless beside one peak
# is not looked at again beside another.
_SURELY = 3.0
# A large log's peaks so far below the best (a fiftieth of its weight) are taken as foreseen: in the
# fits of a fleet their log evidence was wrong by 0.3 at most, which moved no weight by 0.003. So
# are those to which all levels move by no more than `_MOVED`, halves of squares summed: about as
# much are the levels' information and with it the log evidence foreseen amiss.
_AS_FORESEEN = 4.0
_MOVED = 0.15
_GUESS_ROUNDS = 4
_GUESS_STEPS = 2  # a round need not reach its mode: the next one's is another


def likely_peaks(
    model: Likelihood,
    grid: SpreadGrid,
    near: Array | None = None,
    *,
    exact: bool = False,
    start: Array | None = None,
) -> tuple[Likelihood, list[Peak], Array]:
    """The modes worth keeping, with their weights; and the likelihood with unknown ages shared
    out by what was seen of them.

    From usual spreads outward (units' as rates and levels alone tell it), the most promising
    neighbour first by its foreseen evidence, so that a large log, which knows its spreads, visits
    few. ``near``: the four spreads to begin with instead, of a log that differs little; then only
    what comes close is visited.

    Neighbours of a peak are taken as foreseen from it where little hangs on them or they lie close;
    else they are climbed too. ``exact``: the draws will be weighed with the exact likelihood. Then
    all peaks beside a first that began ``near`` are taken as foreseen from it, for these weights
    put right what was foreseen amiss, evidence included; else all are climbed, as the log is small
    and its draws weigh the more alike. ``start``: levels at which the first climb begins.
    """
    rounds = _GUESS_ROUNDS if near is None else 2
    negligible, hopeless = (_NEGLIGIBLE, _HOPELESS) if near is None else (_CLOSE, _CLOSE)
    bender, axes = Bender(model), _axes(model, grid)
    usual = _USUAL if near is None else near
    if start is None:
        start, differ = begun(bender)
        usual = np.array([differ, *_USUAL[1:]]) if near is None else near
    first = _nearest(axes, usual)
    model, start = _settled(bender, _spreads(axes, first), rounds, start)
    found: dict[tuple[int, ...], tuple[Peak, float]] = {}
    waiting = {first: _Waiting(start, None, np.inf, start, np.inf)}
    ruled_out: set[tuple[int, int]] = set()
    while waiting:
        at = max(waiting, key=lambda point: waiting[point].hoped)
        ahead = waiting.pop(at)
        best = max((value for _, value in found.values()), default=-np.inf)
        if ahead.hoped < best - hopeless:
            break
        little = ahead.hoped < best - _AS_FORESEEN or ahead.moved < _MOVED
        little = near is not None if exact else little
        if ahead.peak is not None and little:
            peak, seen_from = ahead.peak, ahead.seen_from
        else:
            peak = find_peak(bender, _spreads(axes, at), ahead.begin, ahead.peak)
            seen_from = peak.at
        found[at] = (peak, peak.log_evidence + _log_belief(axes, at))
        if found[at][1] < best - negligible:
            continue
        for changed, neighbour in _neighbours(at, axes):
            # Foreseen by way of another foreseen peak, it is the same again.
            again = peak is ahead.peak and neighbour in waiting
            if neighbour in found or again or changed in ruled_out:
                continue
            seen = _Waiting.of(bender, peak, seen_from, _spreads(axes, neighbour))
            seen = replace(seen, hoped=seen.hoped + _log_belief(axes, neighbour))
            if seen.hoped < found[at][1] - _SURELY * hopeless:
                ruled_out.add(changed)
            if neighbour not in waiting or seen.moved < waiting[neighbour].moved:
                waiting[neighbour] = seen
    log_weight = np.array([value for _, value in found.values()])
    weight = np.exp(log_weight - logsumexp(log_weight))
    return model, [peak for peak, _ in found.values()], weight


@dataclass(frozen=True, eq=False)
class _Waiting:
    """Spreads not yet decided on: where to ``begin`` climbing, the ``peak`` foreseen there and the
    log evidence ``hoped`` for; the peak ``seen_from`` which, last climbed, and by how much the
    levels ``moved`` from it, half the sum of their squares.
    """

    begin: Array
    peak: Peak | None
    hoped: float
    seen_from: Array
    moved: float

    @classmethod
    def of(cls, bender: Bender, peak: Peak, seen_from: Array, spreads: Spreads) -> _Waiting:
        """What is seen of other spreads from a peak."""
        ahead = foreseen(bender, peak, spreads)
        if ahead is None:
            return cls(peak.at, None, peak.log_evidence, seen_from, np.inf)
        moved = float(((ahead.at - seen_from) ** 2).sum()) / 2
        return cls(ahead.at, ahead, ahead.log_evidence, seen_from, moved)


Axes = list[tuple[tuple[float, ...], Array]]


def _axes(model: Likelihood, grid: SpreadGrid) -> Axes:
    """Per spread the values tried and the belief in each: the half-normal's mass around it.

    A spread that nothing can tell or use (one quarter, no lots) is fixed; that of a single unit
    is not: a second unit's level depends on it, and so does how far its own may be from typical.
    """
    layout = model.layout
    used = (layout.units > 0, layout.quarters > 1, layout.lots > 0, layout.season)
    tried = (grid.units, grid.walk, grid.lots, grid.season)
    axes: Axes = []
    for values, scale, use in zip(tried, _SCALES, used, strict=True):
        kept = values if use else values[:1]
        ends = np.concatenate(([0.0], (np.array(kept[1:]) + kept[:-1]) / 2, [np.inf]))
        axes.append((kept, np.diff(erf(ends / (scale * np.sqrt(2))))))
    return axes


def _log_belief(axes: Axes, at: tuple[int, ...]) -> float:
    return float(sum(np.log(belief[i]) for (_, belief), i in zip(axes, at, strict=True)))


def _spreads(axes: Axes, at: tuple[int, ...]) -> Spreads:
    return Spreads(*(values[i] for (values, _), i in zip(axes, at, strict=True)))


def _neighbours(at: tuple[int, ...], axes: Axes) -> list[tuple[tuple[int, int], tuple[int, ...]]]:
    """The spreads beside these: which one has which other value, and all of them."""
    return [
        ((axis, value), (*at[:axis], value, *at[axis + 1 :]))
        for axis, (values, _) in enumerate(axes)
        for value in (at[axis] - 1, at[axis] + 1)
        if 0 <= value < len(values)
    ]


def _nearest(axes: Axes, spreads: Array) -> tuple[int, ...]:
    """The place in the grid nearest to these spreads."""
    pairs = zip(axes, spreads, strict=True)
    return tuple(int(np.argmin(np.abs(np.array(values) - value))) for (values, _), value in pairs)


def _settled(
    bender: Bender, spreads: Spreads, rounds: int, start: Array
) -> tuple[Likelihood, Array]:
    """A first mode, the shares of possible ages brought in line with it in so many rounds."""
    model = bender.model
    for _ in range(rounds if len(model.cells.owner) else 0):
        start = climbed(bender, spreads, start, _GUESS_STEPS)
        share = model.age_shares(model.age_chances(start[None, :]))[0]
        model = model.with_shares(share)
        bender.with_likelihood(model)
    return model, start
