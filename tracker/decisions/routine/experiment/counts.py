"""What the log holds of an experiment: failures, and how often the task was done, by printer and
stretch."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

import numpy as np

from tracker.arrays import Array
from tracker.decisions.routine.before_after import StretchCounts, UsualLife, planned_days
from tracker.decisions.routine.experiment.crossover import doses
from tracker.lives.exposure.table import PER_DAYS, log2_rate
from tracker.lives.life_table import life_table
from tracker.lives.open_days import Closures
from tracker.workshop.experiments import Experiment
from tracker.workshop.records import Records


@dataclass(frozen=True, eq=False)
class ExperimentCounts:
    """Counts of one part kind, each (printers, stretches in which nobody changes).

    ``dose``: +½ at the shorter interval, −½ at the longer, 0 not taking part; ``usual``: failures
    usual at the parts' ages; ``actions``: planned ones, in so many ``open_days``.
    """

    printers: tuple[str, ...]
    dose: Array
    failures: Array
    part_days: Array
    usual: Array
    actions: Array
    open_days: Array

    @classmethod
    def of(
        cls, known: Records, as_of: date, experiment: Experiment, part_kind: str, until: date
    ) -> ExperimentCounts:
        """Up to the end of the day ``until``; ``known``: the records as known on ``as_of``."""
        lives = life_table(known, as_of)
        lives = lives[(lives["part_kind"] == part_kind) & lives["counted"]]
        usual = UsualLife.of(known, lives) if len(lives) else UsualLife({})
        days_done = planned_days(known, experiment.task)
        closures = Closures.of(known)
        bounds = experiment.bounds()
        day = timedelta(days=1)
        names = ("failures", "part_days", "usual", "actions", "open_days")
        tables = {name: np.zeros((len(experiment.printers), len(bounds) - 1)) for name in names}
        for row, printer in enumerate(experiment.printers):
            own = lives[lives["printer"] == printer]
            for column, (begins, after) in enumerate(pairwise(bounds)):
                ends = min(after - day, until)
                if ends < begins or experiment.phase_on(printer, begins) is None:
                    continue
                cell = StretchCounts.of(own, days_done[printer], usual, begins, ends)
                closed = closures.closed_between(printer, begins - day, ends)
                for name in names[:-1]:
                    tables[name][row, column] = getattr(cell, name)
                tables["open_days"][row, column] = cell.days - closed
        return cls(experiment.printers, doses(experiment), **tables)

    def arm(self, shorter: bool) -> ArmCounts:
        """All stretches at one of the two intervals together."""
        own = self.dose > 0 if shorter else self.dose < 0

        def total(table: Array) -> float:
            return float(table[own].sum())

        return ArmCounts(
            failures=round(total(self.failures)),
            part_days=total(self.part_days),
            usual=total(self.usual),
            actions=round(total(self.actions)),
            open_days=total(self.open_days),
        )

    def dose_done(self, step: float) -> Array:
        """The dose as it was really done: how far the frequency in each stretch lay from the
        printer's own mean, as a share of the ``step`` planned between the two intervals."""
        with np.errstate(divide="ignore", invalid="ignore"):
            rate = PER_DAYS * self.actions / self.open_days
        done = np.where(self.open_days > 0, log2_rate(np.nan_to_num(rate)), np.nan)
        seen = np.isfinite(done)
        mean = np.nansum(done, axis=1) / np.maximum(seen.sum(axis=1), 1)
        return np.where(seen, (np.nan_to_num(done) - mean[:, None]) / step, 0.0)


@dataclass(frozen=True)
class ArmCounts:
    """One interval: failures in so many days that parts were watched, those usual at the parts'
    ages, and planned actions in so many open days of printers."""

    failures: int
    part_days: float
    usual: float
    actions: int
    open_days: float

    @property
    def per_30_days(self) -> float:
        """How often the task was done."""
        return PER_DAYS * self.actions / self.open_days if self.open_days > 0 else float("nan")

    def kept(self, every_days: float, working_share: float) -> float:
        """How much of what was planned was done; more than 1 where it was done more often."""
        planned = self.open_days * min(1 / every_days, working_share)
        return self.actions / planned if planned > 0 else float("nan")
