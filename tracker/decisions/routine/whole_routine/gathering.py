"""Everything that the whole routine is judged by, read off the records once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

import numpy as np
import pandas as pd

from tracker.arrays import Array, Ints
from tracker.decisions.cost_draws import CostDraws
from tracker.decisions.cost_terms import FailureCost
from tracker.decisions.failure_cost import FailureCosts
from tracker.decisions.routine.cost import TaskCost, has_spare, open_days_per_year, task_cost
from tracker.decisions.routine.guard_rails import Kept
from tracker.decisions.routine.study import group_lives, other_removals
from tracker.decisions.routine.task_effect.kinds_together import EffectsOnKind, drawn_together
from tracker.decisions.routine.whole_routine.cases import Case, cases, practice_of
from tracker.decisions.routine.whole_routine.drop_outs import DropOutLosses, DropOuts, drop_outs
from tracker.decisions.routine.whole_routine.joint_effects import JointEffects
from tracker.decisions.routine.whole_routine.kind_losses import KindLosses, log_failures, together
from tracker.decisions.routine.whole_routine.practice import Practice
from tracker.decisions.routine.whole_routine.routine_costs import RoutineCosts
from tracker.decisions.routine.whole_routine.seen import seen_exposures
from tracker.decisions.routine.whole_routine.stops import Work, stop_minutes
from tracker.decisions.routine.whole_routine.told_effects import ToldEffects, told_effects
from tracker.decisions.routine.yearly_counts import GroupLives, YearlyCounts
from tracker.errors import NotEnoughData
from tracker.forecast.log_quality.judged_log import judge_log
from tracker.forecast.log_quality.suspects import Suspect
from tracker.language import _
from tracker.lives.life_table import life_table
from tracker.lives.open_days import closed_share
from tracker.workshop.records import Records

_DRAWS = 1000


@dataclass(frozen=True, eq=False)
class Gathered:
    """The costs of any routine, and what stands behind them.

    ``practice`` is that of every printer; in ``costs`` printers alike may stand as one ``case``.
    ``told``: on which kinds the log can tell what each task does; ``kept``: tasks that keep their
    interval, and why; ``along``: with which others tasks go along that keep theirs for that;
    ``seen``: between which exposures the log has seen each of the others kept up. ``effects`` by
    part kind; ``failure_costs`` of each kind counted; ``not_watched``: kinds protected, but not
    watched long enough. ``suspects``: planned entries of the tasks that look like work because of a
    symptom; nothing is counted from them.
    """

    as_of: date
    currency: str
    labour_per_hour: float
    shared_stop_minutes: float
    practice: Practice
    cases: tuple[Case, ...]
    costs: RoutineCosts = field(repr=False)
    told: Mapping[str, tuple[str, ...]]
    kept: Mapping[str, Kept]
    along: Mapping[str, tuple[str, ...]]
    seen: Mapping[str, tuple[float, float]]
    effects: Mapping[str, JointEffects]
    failure_costs: Mapping[str, FailureCost]
    task_costs: Mapping[str, TaskCost]
    drop_outs: DropOuts | None
    not_watched: tuple[str, ...]
    suspects: tuple[Suspect, ...] = ()

    @property
    def free(self) -> tuple[str, ...]:
        """The tasks whose interval is a question of money that the log can speak of."""
        return tuple(task for task in self.practice.tasks if task not in self.kept)


def gather(records: Records, as_of: date, *, rng: np.random.Generator | None = None) -> Gathered:
    """Read the whole log: one joint fit per part kind, costs, drop-outs, work.

    The log is judged first, as for one task (``routine_study``): suspects count as work because of
    a symptom, and a task with any keeps its interval until they are settled.
    ``rng`` draws the posterior and the costs; left out, always the same way.

    Raises NotEnoughData: no printer is at work, or nothing is done by plan.
    """
    rng = rng or np.random.default_rng(20240302)
    known = records.known_at(as_of)
    log = judge_log(known, as_of)
    practice = Practice.of(log.counted.records, as_of, closed_share(known, as_of))
    if not practice.tasks or not practice.printers:
        raise NotEnoughData(
            _(
                "No printer at work has a routine, and no task was done by plan twenty "
                "times; write down which task is due how often, or log what is done."
            )
        )
    told = told_effects(known, as_of, log, practice, rng)
    effects = told.effects
    lives = life_table(known, as_of)
    possible = CostDraws.of(known, _DRAWS, rng)
    found = cases(practice)
    failure_costs = _failure_costs(known, as_of, told)
    own = {
        kind: EffectsOnKind.of(effects[kind].model, effects[kind].log.varied) for kind in told.moved
    }
    picked = drawn_together(own, _DRAWS, rng)
    # What is only counted leaves the draws of the rest as they were without it.
    (apart,) = rng.spawn(1)
    still = replace(possible, rng=apart)
    picked |= {
        kind: one.model.matched(_DRAWS, apart) for kind, one in effects.items() if kind not in own
    }
    kinds = tuple(
        _losses(
            known, as_of, lives, practice, found, one, picked[kind],
            (possible if kind in own else still).of_failure(failure_costs[kind]),
        )
        for kind, one in effects.items()
    )  # fmt: skip
    nozzles = drop_outs(
        told.counted, as_of, lives, _varied(practice, effects), told.lag_days, gaps=log.counted.gaps
    )
    task_costs = {task: task_cost(known, task) for task in practice.tasks}
    shared = known.number("shared_stop_minutes")
    return Gathered(
        as_of=as_of,
        currency=known.setting("currency"),
        labour_per_hour=known.number("labour_per_hour"),
        shared_stop_minutes=shared,
        practice=practice,
        cases=found,
        costs=RoutineCosts(
            practice=practice_of(practice, found),
            weight=np.array([len(case.printers) for case in found]) / len(practice.printers),
            kinds=kinds,
            drop_outs=_drop_out_losses(known, practice, nozzles, possible, rng),
            work=_work(known, task_costs, possible, shared),
        ),
        told=told.told,
        kept=told.kept,
        along=told.along,
        seen=seen_exposures(told.counted, as_of, told.free, told.lag_days, gaps=log.counted.gaps),
        effects=effects,
        failure_costs=failure_costs,
        task_costs=task_costs,
        drop_outs=nozzles,
        not_watched=told.not_watched,
        suspects=told.suspects,
    )


def _varied(practice: Practice, effects: Mapping[str, JointEffects]) -> tuple[str, ...]:
    told = {task for one in effects.values() for task in one.log.varied}
    return tuple(task for task in practice.tasks if task in told)


def _failure_costs(known: Records, as_of: date, told: ToldEffects) -> dict[str, FailureCost]:
    """What a failure of one kind does to another is a saving of its own where no task in question
    moves the other."""
    costs = FailureCosts.of(known, as_of)
    return {
        kind: costs.of_kind(kind, spare_on_shelf=has_spare(known, kind, as_of)).beside(
            told.moved if kind in told.moved else tuple(told.effects)
        )
        for kind in told.effects
    }


def _losses(
    known: Records,
    as_of: date,
    lives: pd.DataFrame,
    practice: Practice,
    found: Sequence[Case],
    effects: JointEffects,
    picked: Ints,
    cost: Array,
) -> KindLosses:
    kind, model, tasks = effects.log.part_kind, effects.model, effects.log.varied
    others, planned_age = other_removals(known, lives, kind, as_of)
    groups = group_lives(known, kind, model, lambda power: np.zeros(len(power)), planned_age)
    groups = tuple(_picked(group, picked) for group in groups)
    yearly = YearlyCounts(
        draws=model,
        effect=np.zeros(_DRAWS),
        centre=0.0,
        groups=groups,
        other_removals_per_day=others,
        working_share=practice.working_share,
        closed_share=practice.closed_share,
        planned_age=planned_age,
    )
    power = np.average(
        [group.power(planned_age) for group in groups],
        axis=0,
        weights=[group.positions for group in groups],
    )
    fitted = known.fittings[known.fittings["removed_on"].isna()]
    number = fitted[fitted["part_kind"] == kind]["printer"].value_counts()
    held = np.array([number.get(name, 0) for name in practice.printers], dtype=np.float64)
    level = {
        name: model.levels[picked, model.printers.index(name)]
        if name in model.printers
        else np.zeros(_DRAWS)
        for name in practice.printers
    }
    return KindLosses(
        part_kind=kind,
        tasks=tasks,
        log_failures=log_failures(yearly),
        effect=np.array([model.effect(f"x_{task}")[picked] for task in tasks]).reshape(-1, _DRAWS),
        centre=np.array([model.centre(f"x_{task}") for task in tasks]),
        level=np.array(
            [together([level[name] for name in case.printers], power) for case in found]
        ),
        share=np.array([held[list(case.columns)].mean() for case in found])
        / max(float(held.mean()), 1e-9),
        cost=cost,
    )


def _picked(group: GroupLives, picked: Ints) -> GroupLives:
    return replace(group, log_rate=group.log_rate[picked], shape=group.shape[picked])


def _drop_out_losses(
    known: Records,
    practice: Practice,
    found: DropOuts | None,
    possible: CostDraws,
    rng: np.random.Generator,
) -> DropOutLosses | None:
    if found is None:
        return None
    rate, effect = found.rates.draws(_DRAWS, rng)
    open_days = open_days_per_year(practice.closed_share)
    once = _cost_of(known, found.minutes, found.fluid_ml, is_logged=True)
    return DropOutLosses(
        found.tasks, open_days * rate, effect.T, found.rates.centre, possible.of_task(once)
    )


def _work(
    known: Records, costs: Mapping[str, TaskCost], possible: CostDraws, shared_minutes: float
) -> Work:
    once, in_stop = np.zeros((2, len(costs), _DRAWS))
    stop = possible.of_task(_cost_of(known, 1.0, 0.0, is_logged=False))
    for row, (task, cost) in enumerate(costs.items()):
        once[row] = possible.of_task(cost)
        minutes = stop_minutes(task, cost.minutes, shared_minutes)
        in_stop[row] = np.minimum(stop * minutes, once[row])
    return Work(once, in_stop)


def _cost_of(known: Records, minutes: float, fluid_ml: float, *, is_logged: bool) -> TaskCost:
    work = minutes / 60 * known.number("labour_per_hour")
    fluid = fluid_ml / 1000 * known.number("fluid_per_litre")
    return TaskCost(minutes, fluid_ml, work, fluid, is_logged)
