"""The choice of options that costs least: one task after the other, from several starts."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from tracker.decisions.routine.whole_routine.routine_costs import AS_NOW, Choice

_MOST_ROUNDS = 20


def least_cost_choice(
    cost: Callable[[Choice], float], options: Sequence[Sequence[int]], starts: Iterable[Choice]
) -> Choice:
    """Which choice costs least, as far as coordinate descent finds it from these starts?

    ``options``: those allowed for each task. From each start every task in turn is moved to its
    best option, the others held, until none moves.
    """
    ends = [_descend(cost, options, start) for start in dict.fromkeys(starts)]
    return min(ends, key=cost)


def worth_changing(cost: Callable[[Choice], float], choice: Choice, least_gain: float) -> Choice:
    """The same choice with every task left as now that gains less than so much a year by moving."""
    for task, option in enumerate(choice):
        back = put(choice, task, AS_NOW)
        if option != AS_NOW and cost(back) - cost(choice) < least_gain:
            choice = back
    return choice


def _descend(
    cost: Callable[[Choice], float], options: Sequence[Sequence[int]], choice: Choice
) -> Choice:
    for _ in range(_MOST_ROUNDS):
        before = choice
        for task, allowed in enumerate(options):
            if len(allowed) > 1:
                tries = [put(choice, task, option) for option in allowed]
                choice = min(tries, key=cost)
        if choice == before:
            break
    return choice


def put(choice: Choice, task: int, option: int) -> Choice:
    """The choice with another option for one task."""
    return (*choice[:task], option, *choice[task + 1 :])
