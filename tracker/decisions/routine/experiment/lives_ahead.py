"""The experiment played many times with possible truths: how likely is it to answer?

In each play a draw of the life model is the truth: the fitted parts go on living from their ages,
week by week, at their printers' own levels and with the task's effect as its frequency over the
trailing window follows the plan; what fails is replaced. The counts are then compared exactly as
the read-out does it, the analyst knowing the mean life curve only. So the weeks in which the old
frequency still acts, parts that are new at the start, and few failures are all in the chance.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array, Ints
from tracker.decisions.routine.experiment.crossover import QUARTERS, doses
from tracker.decisions.routine.experiment.stopping_rule import answers
from tracker.decisions.routine.study import RoutineStudy
from tracker.forecast.exposure_tables import WINDOW_DAYS
from tracker.lives.exposure.table import PER_DAYS, log2_rate
from tracker.lives.exposure.whole_weeks import window_weights
from tracker.models.events.crossed_rates import standardized_scores
from tracker.workshop.experiments import Experiment

_WEEK = 7


@dataclass(frozen=True)
class AnswerChances:
    """How the plays ended: shares in which the shorter or the longer interval was found to have
    fewer failures, and in which the look sufficed; ``failures`` on average to the end."""

    shorter: float
    longer: float
    at_look: float
    failures: float

    @property
    def any_answer(self) -> float:
        """The chance of an answer, right or wrong."""
        return self.shorter + self.longer


@dataclass(frozen=True, eq=False)
class PartsAhead:
    """The parts of one kind in the printers of an experiment: in the order of ``printers`` the
    ``printer`` of each, its ``unit`` and ``group`` in the life model, its ``age`` in open days."""

    printers: tuple[str, ...]
    printer: Ints
    unit: Ints
    group: Ints
    age: Array

    @classmethod
    def of(cls, study: RoutineStudy, printers: tuple[str, ...]) -> PartsAhead:
        """Those still in whose age is known; printers without any are left out."""
        told = study.fits.model.history.told
        lives = told.history.lives
        running = [
            row
            for row in np.flatnonzero(told.running).tolist()
            if told.printers[lives.unit[row]] in printers
        ]
        names = [told.printers[lives.unit[row]] for row in running]
        there = tuple(name for name in printers if name in set(names))
        at = np.array([there.index(name) for name in names], dtype=np.int64)
        rows = np.array(running, dtype=np.int64)
        return cls(there, at, lives.unit[rows], lives.group[rows], lives.age[rows])

    def expected(self, study: RoutineStudy) -> Array:
        """Failures to be expected on each printer, in proportion: how fast its parts live, by the
        printers' own levels."""
        model = study.fits.model.model
        level = model.log_rate[:, self.group] + study.fits.model.levels[:, self.unit]
        lived = np.exp(level / model.shape[:, self.group])
        lived = lived / model.groups.told("typical_life")[self.group]
        pace = study.fits.model.weights @ lived
        return np.asarray(np.bincount(self.printer, pace, len(self.printers)), dtype=np.float64)


@dataclass(frozen=True, eq=False)
class Play:
    """A way of playing an experiment: ``study`` holds the possible truths, ``picked`` those to
    play; ``now_days``: how often the task is done before it begins."""

    study: RoutineStudy
    parts: PartsAhead
    picked: Ints
    now_days: float

    def chances(
        self, experiment: Experiment, rng: np.random.Generator, effect: float | None = None
    ) -> AnswerChances:
        """How does the experiment end? ``effect``: the true change of the log hazard per doubling;
        left out, each draw's own."""
        events, usual = self.counts(experiment, rng, effect)
        dose = doses(experiment)
        half = QUARTERS // 2
        at_look = standardized_scores(events[..., :half], usual[..., :half], dose[:, :half])
        at_end = standardized_scores(events, usual, dose)
        found = answers(at_look, at_end)
        return AnswerChances(
            shorter=float(np.mean(found < 0)),
            longer=float(np.mean(found > 0)),
            at_look=float(np.mean(answers(at_look, np.zeros_like(at_end)) != 0)),
            failures=float(events.sum(axis=(1, 2)).mean()),
        )

    def counts(
        self, experiment: Experiment, rng: np.random.Generator, effect: float | None = None
    ) -> tuple[Array, Array]:
        """Failures, and those usual at the parts' ages: (plays, printers, quarters) each."""
        study, parts = self.study, self.parts
        model = study.fits.model.model
        unit = model.groups.told("typical_life")[parts.group]
        shape = model.shape[self.picked][:, parts.group]
        level = (
            model.log_rate[self.picked][:, parts.group]
            + study.fits.model.levels[self.picked][:, parts.unit]
        )
        weights = study.fits.model.weights
        mean_shape = (weights @ model.shape)[parts.group]
        mean_rate = np.exp(weights @ model.log_rate)[parts.group]
        own = study.yearly.effect[self.picked]
        acts = own if effect is None else np.full_like(own, effect)
        exposed = self._exposure(experiment) - study.yearly.centre
        # Where the effect is given, the level at today's frequency stays what the log tells.
        today = study.yearly.exposure_at(self.now_days) - study.yearly.centre
        level = level + ((own - acts) * today)[:, None]
        weeks = exposed.shape[1]
        open_days = _WEEK * (1 - study.yearly.closed_share)  # of a week, in which alone parts live
        lost = -np.expm1(-study.yearly.other_removals_per_day * open_days)
        age = np.broadcast_to(parts.age, shape.shape).copy()
        size = (len(self.picked), len(parts.printers), QUARTERS)
        events, usual = np.zeros(size), np.zeros(size)
        member = np.zeros((len(parts.age), len(parts.printers)))
        member[np.arange(len(parts.age)), parts.printer] = 1.0
        for week in range(weeks):
            quarter = week * QUARTERS // weeks
            hazard = level + acts[:, None] * exposed[parts.printer, week]
            before, after = np.log(age / unit), np.log((age + open_days) / unit)
            gathered = np.exp(hazard) * (np.exp(shape * after) - np.exp(shape * before))
            expected = mean_rate * (np.exp(mean_shape * after) - np.exp(mean_shape * before))
            failed = rng.random(age.shape) < -np.expm1(-gathered)
            # A part that fails is at risk for about half of its last week.
            events[..., quarter] += failed @ member
            usual[..., quarter] += np.where(failed, expected / 2, expected) @ member
            # What was replaced is half a week old at its end.
            # One let run past the age of a planned change stays in until it fails.
            planned = (age < study.yearly.planned_age) & (
                age + open_days >= study.yearly.planned_age
            )
            gone = failed | planned | (rng.random(age.shape) < lost)
            age = np.where(gone, open_days / 2, age + open_days)
        return events, usual

    def _exposure(self, experiment: Experiment) -> Array:
        """The task's exposure on each printer in the middle of each week: (printers, weeks)."""
        share, weights = self.study.yearly.working_share, window_weights(WINDOW_DAYS)
        table = []
        for printer in self.parts.printers:
            before = [min(1 / self.now_days, share)] * len(weights)
            days = [
                min(1 / phase.every_days, share)
                for phase in experiment.phases
                if phase.printer == printer
                for _ in range((phase.ends_on - phase.starts_on).days + 1)
            ]
            windows = np.lib.stride_tricks.sliding_window_view(before + days, len(weights))
            middles = np.arange(_WEEK // 2, len(days), _WEEK)
            table.append(PER_DAYS * (windows[middles] @ weights) / WINDOW_DAYS)
        return np.asarray(log2_rate(np.array(table)))
