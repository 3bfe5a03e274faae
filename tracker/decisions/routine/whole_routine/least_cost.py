"""All intervals together at least cost, beside what is done now, nothing, and common practice."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import partial

import numpy as np

from tracker.decisions.routine.interval import weighted_ends
from tracker.decisions.routine.whole_routine.answer import (
    Beyond,
    PrinterInterval,
    Routine,
    TaskInterval,
    WholeRoutine,
)
from tracker.decisions.routine.whole_routine.gathering import Gathered, gather
from tracker.decisions.routine.whole_routine.one_change import change_to
from tracker.decisions.routine.whole_routine.options import (
    ALL_TRIED,
    allowed_options,
    beyond,
    common_practice,
    hardly_any,
    seen_days,
)
from tracker.decisions.routine.whole_routine.routine_costs import (
    AS_NOW,
    TRIED,
    Choice,
    Figures,
)
from tracker.decisions.routine.whole_routine.search import least_cost_choice, put, worth_changing
from tracker.decisions.routine.yearly_counts import Saving
from tracker.language import N_
from tracker.workshop.records import Records

# A year's gain below so much work is no reason to change a habit.
LEAST_GAIN_MINUTES = 15.0
# So sure has it to be that a printer is another than the rest before it is treated so.
LEAST_CHANCE = 0.8


def whole_routine(
    records: Records, as_of: date, *, rng: np.random.Generator | None = None
) -> WholeRoutine:
    """How often should every task be done, so that all work and all failures together cost least?

    ``rng`` draws what is not known; left out, always the same way.

    Raises NotEnoughData: no printer is at work, or nothing is done by plan.
    """
    return least_cost_routine(gather(records, as_of, rng=rng))


def least_cost_routine(gathered: Gathered) -> WholeRoutine:
    """The same from what was gathered already; quick."""
    costs, options = gathered.costs, allowed_options(gathered)
    starts = _starts(gathered, options)
    gain = LEAST_GAIN_MINUTES / 60 * gathered.labour_per_hour
    found = least_cost_choice(costs.cost, options, starts)
    choice = worth_changing(costs.cost, found, gain)
    told = partial(_routine, gathered, least=costs.figures(choice))
    now = told(N_("As now"), costs.as_now)
    return WholeRoutine(
        gathered=gathered,
        tasks=tuple(_interval(gathered, choice, number) for number in range(len(choice))),
        now=now,
        least=told(N_("Least cost"), choice),
        common=told(N_("Common practice"), common_practice(gathered)),
        nothing=told(N_("Hardly any"), hardly_any(gathered)),
        by_printer=_by_printer(gathered, choice, options, gain),
        saving_if_told=_saving_if_told(gathered, choice),
        choice=choice,
    )


def _starts(gathered: Gathered, options: Sequence[Sequence[int]]) -> list[Choice]:
    """As now, common practice, and everything as often, as seldom and middling as was seen."""
    common = common_practice(gathered)
    usual = (
        option if option in allowed else AS_NOW
        for option, allowed in zip(common, options, strict=True)
    )
    ends = (tuple(one[place(one)] for one in options) for place in (_first, _middle, _last))
    return [gathered.costs.as_now, tuple(usual), *ends]


def _first(allowed: Sequence[int]) -> int:
    return min(1, len(allowed) - 1)


def _middle(allowed: Sequence[int]) -> int:
    return len(allowed) // 2


def _last(allowed: Sequence[int]) -> int:
    return len(allowed) - 1


def _interval(gathered: Gathered, choice: Choice, number: int) -> TaskInterval:
    practice = gathered.practice
    task = practice.tasks[number]
    now = practice.usual_days[task]
    every = now if choice[number] == AS_NOW else TRIED[choice[number] - 1]
    where: Beyond = ""
    low = high = every
    if task in gathered.free:
        low, high, where = _range(gathered, choice, number)
    return TaskInterval(
        task=task,
        every_days_now=now,
        now_on=practice.days_on(task),
        every_days=every,
        low=min(low, every),
        high=max(high, every),
        beyond=where,
        seen=seen_days(gathered, task) if task in gathered.free else None,
        kept=gathered.kept.get(task),
        is_changed=choice[number] != AS_NOW,
        is_told=bool(gathered.told[task]),
        alone=change_to(gathered, number, choice[number]),
        along_with=gathered.along.get(task, ()),
    )


def _range(gathered: Gathered, choice: Choice, number: int) -> tuple[float, float, Beyond]:
    """Where four draws in five have their least cost, of all intervals tried, the other tasks at
    theirs; and whether the least expected cost lies where the log has not seen it."""
    costs = gathered.costs
    totals = np.array([costs.figures(put(choice, number, one)).total for one in ALL_TRIED])
    low, high = weighted_ends(np.array(TRIED)[totals.argmin(axis=0)], costs.draws.weights)
    best = ALL_TRIED[int(totals.mean(axis=1).argmin())]
    return low, high, beyond(gathered, costs.tasks[number], best)


def _routine(gathered: Gathered, name: str, choice: Choice, least: Figures) -> Routine:
    costs, practice = gathered.costs, gathered.practice
    own, draws = costs.figures(choice), gathered.costs.draws
    return Routine(
        name=name,
        every_days={
            task: practice.usual_days[task] if option == AS_NOW else TRIED[option - 1]
            for task, option in zip(practice.tasks, choice, strict=True)
        },
        work=draws.mean(own.work),
        failures={kind: draws.mean(each) for kind, each in own.failures.items()},
        failure_costs={kind: draws.mean(each) for kind, each in own.failure_costs.items()},
        drop_outs=draws.mean(own.drop_outs),
        drop_out_costs=draws.mean(own.drop_out_costs),
        total=draws.expected(own.total),
        saving=Saving.of(draws, own.total - least.total),
    )


def _saving_if_told(gathered: Gathered, choice: Choice) -> Saving | None:
    costs = gathered.costs
    told = tuple(
        option if gathered.told[task] else AS_NOW
        for task, option in zip(costs.tasks, choice, strict=True)
    )
    if told == costs.as_now:
        return None
    now, then = (costs.figures(one).total for one in (costs.as_now, told))
    return Saving.of(costs.draws, now - then)


def _by_printer(
    gathered: Gathered, choice: Choice, options: Sequence[Sequence[int]], least_gain: float
) -> tuple[PrinterInterval, ...]:
    """Printers that on their own would have another interval than the rest, where that is sure and
    worth it.

    Its own level and how many parts it holds make a printer's costs another; printers that stand as
    one are not told apart.
    """
    costs, found = gathered.costs, []
    for column, case in enumerate(gathered.cases):
        if len(gathered.cases) < 2 or len(case.printers) > 1:
            continue
        own_costs = costs.of_printer(column)
        own = least_cost_choice(own_costs.cost, options, [choice])
        least = own_costs.figures(own).total
        for number, option in enumerate(own):
            task, common = costs.tasks[number], choice[number]
            there = gathered.practice.days_on(task)[case.printers[0]]
            instead = there if common == AS_NOW else TRIED[common - 1]
            if option in (AS_NOW, common) or TRIED[option - 1] == instead:
                continue
            as_others = own_costs.figures(put(own, number, common)).total
            gain, chance = as_others - least, costs.draws.chance(as_others > least)
            if gain.mean() >= least_gain and chance >= LEAST_CHANCE:
                every = TRIED[option - 1]
                found.append(
                    PrinterInterval(
                        case.printers[0], task, every, instead, float(gain.mean()), chance
                    )
                )
    return tuple(found)
