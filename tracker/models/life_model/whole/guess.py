"""How much of an answer is the belief? The same draws, had typical lives been believed otherwise.

Given all else a kind's rate is Gamma(events, exposure), and the belief "a typical life is m"
brings worth · pace of that exposure. "It is f·m" brings f^shape as much. With the rate summed out,
what is left is a density of the kind's shape alone,

    prior(shape) · shape^failures · e^(shape · Σ log age) · f^(shape · worth) / exposure^events,

and each draw's shape moves as that density's top and width move; its rate then follows from the
exposure at the new shape. Exposures are worked out over all lives at a row of shapes, once per
fit: where lives hardly vary they grow by orders of magnitude with the shape, and any straight line
through the draws leads astray. What else tells the draws' exposures apart (units, lots, drift,
effects, groups) follows as in a normal curve tilted by a log weight, whose mean moves by each
level's covariance with it (Stein, 1981, Ann. Stat. 9:1135); the weight's slope is taken where the
draws end up. Ages stay scaled by m.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from scipy.special import expit, logit

from tracker.arrays import Array
from tracker.errors import ModelError
from tracker.models.life_model.whole.drawing import Drawn, exposures_of_rates, rate_events
from tracker.models.life_model.whole.history import Groups, tally
from tracker.models.life_model.whole.levels import Leaning, Levels
from tracker.models.life_model.whole.likelihood import GROUP_SPREAD, Likelihood

LevelsT = TypeVar("LevelsT", bound=Levels)
_NODES = np.linspace(-2.4, 2.8, 14)  # log shapes less the believed one
_FINE = np.linspace(_NODES[0], _NODES[-1], 521)
_NEVER_LESS = 1e-12  # of a share
_ROUNDS = 12
_FURTHEST = 2.0  # standard deviations: beyond, no straight line through draws is to be trusted
_MOST_WIDENED = 5.0  # times as wide, or as narrow; beyond, the top alone is trusted


def leaning_of(model: Likelihood, drawn: Drawn, accident_share: Array) -> Leaning:
    """What the fit's lives weigh against its beliefs, at a row of shapes."""
    at = np.tile(drawn.weight @ drawn.at, (len(_NODES), 1))
    at[:, model.layout.slices["shape"]] = _NODES[:, None]
    cells = model.cells
    believed, exposure = exposures_of_rates(model.thinned, at)
    intervals = cells.intervals  # long ones count at their middle, as in the rates' events
    group = cells.strata.group[intervals.stratum]
    count, log_age = (values.copy() for values in model.event_sums)
    count += tally(group, intervals.weight, len(count))
    middle = intervals.weight * (intervals.low + intervals.high) / 2
    log_age += tally(group, middle, len(count))
    return Leaning(
        worth=model.groups[0],
        events=rate_events(model),
        share=drawn.believed,
        accident_share=accident_share,
        count=count,
        log_age=log_age,
        lived=np.log(np.maximum(exposure / believed - 1, _NEVER_LESS)),
    )


def believed_otherwise(draws: LevelsT, factor: float) -> LevelsT:
    """The draws, had every group's typical life been believed ``factor`` times as long.

    What it returns leans as before: it is not to be moved again.
    """
    if not 0 < factor < np.inf:
        raise ModelError(f"factor is {factor:g}: a belief can be changed by a factor above 0.")
    if factor == 1:
        return draws
    kind, lean, by = draws.groups.kind, draws.leaning, float(np.log(factor))
    at = _Standing.of(draws)
    shape, slope = at.settled(by)
    pull = draws.weight * (at.odd @ slope)
    kind_shape = draws.shape @ _mean_of_kind(draws.groups)
    new_shape = kind_shape * np.exp(shape - at.shape)
    # Log of the exposure after over the one before: what lives bring, and what the belief does.
    of_lives = np.log1p(-at.share) + at.lived.each(shape) - at.lived.each(at.shape)
    longer = np.logaddexp(of_lives + pull @ at.odd, np.log(at.share) + new_shape * by)

    def moved(level: Array) -> Array:
        return level + pull @ level

    log_rate = draws.log_rate + pull @ (draws.log_rate - np.log(at.share)[:, kind])
    return replace(
        draws,
        log_rate=log_rate - longer[:, kind] - _departing(draws, kind_shape) * by,
        shape=draws.shape * np.exp(shape - at.shape)[:, kind],
        accident=draws.accident / (1 + lean.accident_share * (factor - 1))[kind],
        unit=moved(draws.unit),
        lot=moved(draws.lot),
        drift=moved(draws.drift),
        season=moved(draws.season),
        effect=moved(draws.effect),
    )


@dataclass(frozen=True, eq=False)
class _Standing:
    """Where the draws stand, per kind: log ``shape`` less the believed one, the belief's ``share``
    of the exposure, and ``odd``, by how much the log of what lives bring differs from its mean at
    that shape, as units, drift and the like differ: (draws, kinds). ``lived``: that mean by shape.
    """

    weight: Array
    groups: Groups
    lean: Leaning
    shape: Array
    share: Array
    odd: Array
    lived: _Curves
    usual: Array  # log shape of each group about its kind's

    @classmethod
    def of(cls, draws: Levels) -> _Standing:
        groups, lean = draws.groups, draws.leaning
        departs = np.log(draws.shape) - np.log(groups.told("shape"))
        shape = np.clip(departs @ _mean_of_kind(groups), _FINE[0], _FINE[-1])
        usual = draws.weight @ (departs - shape[:, groups.kind])
        share = np.clip(lean.share, _NEVER_LESS, 1 - _NEVER_LESS)
        lived = _Curves.through(lean.lived)
        odd = -logit(share) - lived.each(shape)
        odd -= draws.weight @ odd
        return cls(draws.weight, groups, lean, shape, share, odd, lived, usual)

    def settled(self, by: float) -> tuple[Array, Array]:
        """The shapes of all draws had lives been believed e^``by`` times as long, and by how much
        the log density rises there with each kind's ``odd``: (draws, kinds), (kinds,).
        """
        varies = (self.odd * self.weight[:, None]).T @ self.odd
        slope = np.zeros(self.groups.n_kinds)
        top, width = self._likely(0.0, slope)
        new_top, new_width = top, width
        for _ in range(_ROUNDS):
            raised = varies @ slope
            new_top, new_width = self._likely(by, raised)
            lived, stretch = self.lived.each(new_top[None])[0], self._mean_shape(new_top) * by
            # The lesser of the slopes here and there: one that grows on the way has no end.
            here, there = (expit(at) - expit(at - stretch) for at in (lived, lived + raised))
            rise = self.lean.events * np.where(np.abs(here) < np.abs(there), here, there)
            slope = (slope + rise) / 2
            far = np.abs(varies @ slope) / np.sqrt(np.diag(varies) + _NEVER_LESS)
            slope *= min(1.0, _FURTHEST / max(float(far.max()), _FURTHEST))
        wider = np.clip(new_width / width, 1 / _MOST_WIDENED, _MOST_WIDENED)
        about = self.shape - self.weight @ self.shape
        moved = self.shape + (new_top - top) + (wider - 1) * about
        return np.clip(moved, _FINE[0], _FINE[-1]), slope

    def _mean_shape(self, log_shape: Array) -> Array:
        own = np.exp(log_shape[self.groups.kind] + np.log(self.groups.told("shape")) + self.usual)
        return np.asarray(own @ _mean_of_kind(self.groups))

    def _likely(self, by: float, raised: Array) -> tuple[Array, Array]:
        """Where each kind's shape most likely lies, and the standard deviation there: (kinds,)."""
        groups, lean, log_shape = self.groups, self.lean, _FINE[:, None]
        own = np.exp(log_shape + np.log(groups.told("shape")) + self.usual)  # (fine, groups)
        stretch = own @ _mean_of_kind(groups) * by
        spread = groups.per_kind(groups.told("shape_spread"))
        belongs = (groups.kind[:, None] == np.arange(groups.n_kinds)).astype(float)
        value = (lean.count * log_shape + own * lean.log_age) @ belongs
        value += -((log_shape / spread) ** 2) / 2 + lean.worth * stretch
        value -= lean.events * np.logaddexp(
            self.lived.each(np.tile(log_shape, groups.n_kinds)) + raised, stretch
        )
        at = np.clip(value.argmax(0), 1, len(_FINE) - 2)
        low, top, high = (np.take_along_axis(value, at[None] + k, 0)[0] for k in (-1, 0, 1))
        bend, step = np.maximum(2 * top - low - high, 1e-9), _FINE[1] - _FINE[0]
        beside = step * np.clip((high - low) / (2 * bend), -1, 1)
        return _FINE[at] + beside, step / np.sqrt(bend)


@dataclass(frozen=True, eq=False)
class _Curves:
    """A cubic spline for each kind through its values at the nodes, the outer pieces of either end
    one curve ("not a knot": de Boor, 1978, A Practical Guide to Splines, chapter IV). Written out,
    for the library's takes longer to import than an answer may.

    ``value`` and ``bend`` (the second derivative, times the square of a step over 6) at each node:
    (nodes, kinds).
    """

    value: Array
    bend: Array

    @classmethod
    def through(cls, value: Array) -> _Curves:
        """The curves with these values at the nodes: (nodes, kinds)."""
        n = len(_NODES)
        equations = 4 * np.eye(n) + np.eye(n, k=1) + np.eye(n, k=-1)
        equations[0], equations[-1] = 0, 0
        equations[0, :3] = equations[-1, -3:] = 1, -2, 1
        turns = np.zeros_like(value)
        turns[1:-1] = value[2:] - 2 * value[1:-1] + value[:-2]
        return cls(value, np.asarray(np.linalg.solve(equations, turns), dtype=np.float64))

    def each(self, shape: Array) -> Array:
        """Each kind's own curve at its own shapes: (rows, kinds)."""
        steps = (shape - _NODES[0]) / (_NODES[1] - _NODES[0])
        low = np.clip(steps.astype(np.int64), 0, len(_NODES) - 2)
        found = np.zeros_like(shape)
        for node, share in ((low, low + 1 - steps), (low + 1, steps - low)):
            value, bend = (np.take_along_axis(at, node, axis=0) for at in (self.value, self.bend))
            found += share * value + (share**3 - share) * bend
        return found


def _mean_of_kind(groups: Groups) -> Array:
    """Weights by which groups' numbers become their kind's mean: (groups, kinds)."""
    belongs = groups.kind[:, None] == np.arange(groups.n_kinds)
    return belongs / np.maximum(belongs.sum(0), 1)


def _departing(draws: Levels, kind_shape: Array) -> Array:
    """How much more than its kind's the log rate of each group moves per log of the factor.

    With a shape of its own a group's rate moves by more or less than its kind's, as far as its
    departure is still the belief's and not its failures': by precision, 1/spread² against them.
    """
    belief = GROUP_SPREAD**-2
    share = belief / (belief + draws.failures)
    moved: Array = (draws.shape - kind_shape[:, draws.groups.kind]) * share
    return moved
