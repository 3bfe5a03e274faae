"""Routines whose cost can be worked out by hand: certain lives without memory, alike printers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import log, log2

import numpy as np

from tracker.decisions.routine.task_effect.weighted_draws import WeightedDraws
from tracker.decisions.routine.whole_routine.kind_losses import KindLosses, log_failures
from tracker.decisions.routine.whole_routine.practice import Practice
from tracker.decisions.routine.whole_routine.routine_costs import RoutineCosts
from tracker.decisions.routine.whole_routine.stops import Work
from tracker.decisions.routine.yearly_counts import GroupLives, YearlyCounts

YEAR, DRAWS, SHARE = 365.25, 2, 5 / 7
# By task: what it costs once, what of that is switching off and on, days between two times now on
# each printer.
TASKS = {"shake_dampers": (12.0, 2.0), "clean_wiper_cap": (4.0, 2.0), "flush_in_place": (20.0, 2.0)}
NOW: Mapping[str, tuple[float, float]] = {
    "shake_dampers": (7.0, 30.0), "clean_wiper_cap": (3.0, 3.0), "flush_in_place": (30.0, 60.0),
}  # fmt: skip
# By kind: positions, mean life in days where each task is done 2 times in 30 days, what one failure
# costs, and by which power of (times in 30 days + ½) each task divides the hazard.
KINDS: Mapping[str, tuple[float, float, float, Mapping[str, float]]] = {
    "damper": (6, 300, 30, {"shake_dampers": 1.0}),
    "wiper": (1, 150, 25, {"clean_wiper_cap": 0.5}),
    "head": (1, 400, 500, {"shake_dampers": 0.5, "clean_wiper_cap": 0.2, "flush_in_place": 0.4}),
}


def costs_of(
    tasks: Sequence[str] = tuple(TASKS), levels: Sequence[float] = (0.0, 0.0)
) -> RoutineCosts:
    """Two printers with these levels on the log hazard; every draw the same."""
    per_day = np.array([[1 / days for days in NOW[task]] for task in tasks])
    practice = Practice(
        tuple(tasks), ("A", "B"), per_day, np.full(per_day.shape, np.inf),
        np.zeros(per_day.shape), SHARE, 0.0,
    )  # fmt: skip
    kinds = []
    for kind, (positions, days, cost, powers) in KINDS.items():
        own = tuple(task for task in powers if task in tasks)
        if not own:
            continue
        lives = GroupLives(np.zeros(DRAWS), np.ones(DRAWS), days, positions)
        certain = WeightedDraws(np.full(DRAWS, 1 / DRAWS))
        yearly = YearlyCounts(certain, np.zeros(DRAWS), 0.0, (lives,), 0.0, SHARE)
        kinds.append(
            KindLosses(
                part_kind=kind,
                tasks=own,
                log_failures=log_failures(yearly),
                # Per doubling: −power · log 2.
                effect=np.array([[-powers[task] * log(2)] * DRAWS for task in own]).reshape(
                    len(own), DRAWS
                ),
                centre=np.full(len(own), log2(2.5)),
                level=np.tile(np.array(levels, dtype=float)[:, None], DRAWS),
                share=np.ones(2),
                cost=np.full(DRAWS, float(cost)),
            )
        )
    work = Work(*(np.tile(np.array([TASKS[t][n] for t in tasks])[:, None], DRAWS) for n in (0, 1)))
    return RoutineCosts(practice, np.full(2, 0.5), tuple(kinds), None, work)


def yearly_cost(every: Mapping[str, float], level: float = 0.0) -> float:
    """The same on paper: failures of lives without memory, the work, one stop for all."""
    rates = {task: min(1 / days, SHARE) for task, days in every.items()}
    total = 0.0
    for positions, days, cost, powers in KINDS.values():
        slower = 1.0
        for task, power in powers.items():
            if task in every:
                slower *= ((30 * rates[task] + 0.5) / 2.5) ** power
        total += cost * positions * YEAR / days / slower * np.exp(level)
    times = {task: YEAR * rate for task, rate in rates.items()}
    most = max(times, key=lambda task: times[task])
    total += sum(TASKS[task][0] * number for task, number in times.items())
    return total - sum(TASKS[task][1] * times[task] for task in times if task != most)
