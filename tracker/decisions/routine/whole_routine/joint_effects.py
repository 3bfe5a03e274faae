"""What does the log tell of all tasks on one part kind, beside each other and from one fit?

Draws of two effects on a kind come from the same fit, so that a log in which two tasks changed
together says what their effects are in sum and leaves open which of them it was.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

import numpy as np
import pandas as pd

from tracker.decisions.routine.task_effect.adjustment import (
    LEAST_SPREAD,
    other_exposures,
    other_tasks,
)
from tracker.decisions.routine.task_effect.effect_draws import EffectDraws
from tracker.decisions.routine.task_effect.effect_fits import spread_left, with_printers_mean
from tracker.decisions.routine.task_effect.effect_history import effect_history
from tracker.decisions.routine.task_effect.task_frequency import is_task, together, variation
from tracker.decisions.routine.task_effect.telling import events_needed, leaves_out_none
from tracker.lives.episodes import part_episodes
from tracker.lives.log_gaps import NO_GAPS, LogGaps
from tracker.workshop.records import Records

_COARSE_DAYS = 7


@dataclass(frozen=True, eq=False)
class KindLog:
    """How the tasks that protect a kind varied while its parts were watched.

    ``varied``: those whose frequency changed enough to tell anything; ``lag_days`` are left out
    before each day, and ``gaps`` are missing from the log.
    """

    part_kind: str
    varied: tuple[str, ...]
    failures: int
    lag_days: int
    gaps: LogGaps = field(repr=False)
    rows: pd.DataFrame = field(repr=False)

    @classmethod
    def of(
        cls,
        known: Records,
        as_of: date,
        part_kind: str,
        tasks: Sequence[str],
        lag_days: int,
        *,
        gaps: LogGaps = NO_GAPS,
    ) -> KindLog | None:
        """None where no part of the kind was watched long enough."""
        beside = other_tasks(known, part_kind, tasks)
        rows = part_episodes(
            known, as_of, part_kind, [*tasks, *beside], lag_days=lag_days, step_days=_COARSE_DAYS,
            gaps=gaps,
        )  # fmt: skip
        if rows.empty:
            return None
        spreads = variation(rows, [f"x_{task}" for task in tasks]).spread
        pairs = zip(tasks, spreads, strict=True)
        varied = tuple(task for task, spread in pairs if spread > LEAST_SPREAD)
        return cls(part_kind, varied, int(rows.attrs["failures"]), lag_days, gaps, rows)


@dataclass(frozen=True, eq=False)
class JointEffects:
    """The fit of one kind with every task that varied; see ``KindLog``."""

    log: KindLog
    model: EffectDraws

    @classmethod
    def of(
        cls,
        known: Records,
        as_of: date,
        log: KindLog,
        rng: np.random.Generator,
        draws: int,
    ) -> JointEffects | None:
        """None where nothing was watched."""
        asked = [f"x_{task}" for task in log.varied]
        beside = other_exposures(log.rows, asked)
        history = effect_history(
            known, as_of, log.part_kind, asked, beside, log.lag_days, gaps=log.gaps
        )
        if history is None:
            return None
        return cls(log, EffectDraws.of(history, draws, rng))

    def learnt(self, task: str, along: Sequence[tuple[str, float]] = ()) -> float:
        """How much of what is known of the task's effect comes from the log: the share of the
        belief's variance that the log took away, 0 (nothing) to 1. ``along``: of its effect and
        those of tasks that go along with it (or against it), in sum."""
        if task not in self.log.varied:
            return 0.0
        effect, weights = self.model.effect(f"x_{task}"), self.model.weights
        for other, correlation in along:
            effect = effect + np.sign(correlation) * self.model.effect(f"x_{other}")
        variance = float(weights @ (effect - weights @ effect) ** 2) / (1 + len(along))
        believed = self.model.history.history.steps
        return 0.0 if believed is None else max(0.0, 1 - variance / believed.spread**2)

    def goes_along(self, task: str) -> tuple[tuple[str, float], ...]:
        """The tasks whose frequency goes along with this one's, or against it (``together``)."""
        if task not in self.log.varied:
            return ()
        exposure = f"x_{task}"
        others = [name for name in self.model.names if is_task(name) and name != exposure]
        return together(variation(self.log.rows, [exposure, *others]), exposure, others)

    def is_told(self, task: str, step: float) -> bool:
        """Can the log tell what a change of ``step`` in the task's exposure does to the kind?

        As the answer about the task alone has it (``RoutineEffect.is_enough``): the 95 % limits
        leave out no effect, or so many failed that a large one would have shown.
        """
        if task not in self.log.varied or not self.log.failures or not step:
            return False
        exposure = f"x_{task}"
        ratio = self.model.hazard_ratio({exposure: step})
        if leaves_out_none(ratio):
            return True
        return self.log.failures >= events_needed(ratio, step, self._spread_left(exposure))

    def _spread_left(self, exposure: str) -> float:
        rows = self.log.rows.copy()
        beside = other_exposures(rows, [exposure])
        apart = with_printers_mean(rows, exposure, self.model)
        varied = variation(rows, [exposure, *apart, *beside])
        return spread_left(rows, varied, exposure, apart, beside)
