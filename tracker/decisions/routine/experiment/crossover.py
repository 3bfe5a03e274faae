"""Which printer does the task at which interval, from when to when?

Every printer does both, in quarters: one interval, the other twice, the first again; about half
the printers begin with the shorter, the others with the longer. So each printer is compared with
itself, a steady drift falls out within each of them, and at the half already both have been seen
on all of them – a single change half-way would leave the look before it nothing but different
printers to compare.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from tracker.arrays import Array, Bools
from tracker.workshop.experiments import Experiment, Phase

QUARTERS = 4
_TRIED = 400  # ways of dividing the printers among which one of the best balanced is drawn
_BEST = 0.1


@dataclass(frozen=True)
class TwoIntervals:
    """What is compared, and by whose failures: ``every_days`` is the shorter."""

    task: str
    part_kind: str
    every_days: float
    instead_of_days: float


def balanced_order(failures: Array, rng: np.random.Generator) -> Bools:
    """Which printers begin with the shorter interval? True for about half of them.

    ``failures``: how many are expected on each. Drawn by lot among the tenth of possible ways in
    which both groups expect most nearly the same number (constrained randomization; Moulton 2004,
    Clinical Trials 1, 297–305).
    """
    size = len(failures)
    ways = np.zeros((_TRIED, size), dtype=bool)
    for way in ways:
        way[rng.permutation(size)[: size // 2 + int(size % 2 and rng.random() < 0.5)]] = True
    gap = np.abs(np.where(ways, failures, -failures).sum(axis=1))
    good = np.flatnonzero(gap <= np.quantile(gap, _BEST))
    return np.asarray(ways[rng.choice(good)])


def crossover(
    name: str,
    compared: TwoIntervals,
    shorter_first: Mapping[str, bool],
    starts_on: date,
    quarter_days: int,
) -> Experiment:
    """The plan: each printer's three phases (a quarter, two, a quarter), the look at the half."""
    intervals = (compared.every_days, compared.instead_of_days)
    begins = [starts_on + timedelta(days=quarter_days * at) for at in (0, 1, 3, QUARTERS)]
    day = timedelta(days=1)
    phases = tuple(
        Phase(printer, interval, begin, end - day)
        for printer, first in shorter_first.items()
        for interval, begin, end in zip(
            (intervals[not first], intervals[first], intervals[not first]),
            begins[:-1],
            begins[1:],
            strict=True,
        )
    )
    look_on = starts_on + timedelta(days=2 * quarter_days) - day
    return Experiment(name, compared.task, compared.part_kind, look_on, phases)


def doses(experiment: Experiment) -> Array:
    """+½ at the shorter interval, −½ at the longer, 0 where a printer does not take part.

    (printers, stretches between ``experiment.bounds()``).
    """
    longer = experiment.instead_of_days
    table = []
    for printer in experiment.printers:
        phases = [experiment.phase_on(printer, day) for day in experiment.bounds()[:-1]]
        table.append(
            [0.0 if own is None else -0.5 if own.every_days == longer else 0.5 for own in phases]
        )
    return np.array(table)
