"""Is the whole routine's saving honest, and does its advice reach what could be saved?

Run by hand: ``python -m tests.bench.routine_study [workshops]``. Simulated workshops of four
printers and 900 days, two tasks and three part kinds (``tests/simulation/routine_truth``); what
failures and work truly cost is drawn as the answer takes it to be uncertain. Prints one Markdown
table: how often the 80 % range of the saving holds the true saving of the advised routine, how
often each task's range holds its truly best interval, and how much of the saving that was possible
within what the log had seen the advice reaches, over all workshops.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from datetime import timedelta
from functools import partial
from itertools import product

import numpy as np
from scipy.stats import binomtest

from tests.bench.study_table import print_table
from tests.simulation.routine_truth import CLEAN, SHAKE, Effects, TrueRoutine, routine_plan
from tests.simulation.simulator import simulate_workshop
from tracker.decisions.failure_cost import FailureCosts
from tracker.decisions.routine.whole_routine.answer import WholeRoutine
from tracker.decisions.routine.whole_routine.least_cost import whole_routine
from tracker.decisions.routine.whole_routine.options import allowed_options
from tracker.decisions.routine.whole_routine.routine_costs import AS_NOW, TRIED
from tracker.workshop.records import Records

KINDS = ("head", "damper", "wiper")
SCENARIOS: dict[str, Effects | None] = {
    "effects as believed": None,
    "shaking −0.6 and −0.3, cleaning −0.4 and −0.3": Effects(-0.6, -0.3, -0.4, -0.3),
    "none": Effects(0.0, 0.0, 0.0, 0.0),
}


@dataclass(frozen=True)
class Found:
    """One workshop: is the true saving in its range, what of the possible one was reached?"""

    failures: int
    told: float
    low: float
    high: float
    true: float
    possible: float
    intervals_held: tuple[bool, ...]

    @property
    def held(self) -> bool:
        """Does the 80 % range hold the true saving?"""
        return self.low <= self.true <= self.high


def one_workshop(seed: int, effects: Effects | None = None) -> Found:
    """Simulate, ask, and compare with the truth; effects as believed where none are given."""
    rng = np.random.default_rng(seed)
    effects = effects or Effects.believed(rng)
    plan = routine_plan(effects)
    records, _ = simulate_workshop(plan, rng)
    answer = whole_routine(records, plan.log_ends_on + timedelta(days=1))
    truth = true_routine(answer, records, effects, rng)
    advised = {task: answer.task(task) for task in (SHAKE, CLEAN)}
    changed = {task: one.every_days for task, one in advised.items() if one.is_changed}
    seen = (within_seen(answer, task) for task in (SHAKE, CLEAN))
    possible = min(truth.per_year(shake, clean) for shake, clean in product(*seen))
    best = dict(zip(advised, truth.best(TRIED), strict=True))
    return Found(
        failures=sum(one.log.failures for one in answer.gathered.effects.values()),
        told=answer.saving.expected,
        low=answer.saving.p10,
        high=answer.saving.p90,
        true=truth.now - truth.partly({SHAKE: changed.get(SHAKE), CLEAN: changed.get(CLEAN)}),
        possible=truth.now - possible,
        intervals_held=tuple(
            one.low <= best[task] <= one.high for task, one in advised.items() if one.kept is None
        ),
    )


def within_seen(answer: WholeRoutine, task: str) -> list[float]:
    """The intervals tried that the log has seen; all of them where the answer keeps the task."""
    own = answer.gathered.practice.tasks.index(task)
    options = [one for one in allowed_options(answer.gathered)[own] if one != AS_NOW]
    return [TRIED[option - 1] for option in options] or list(TRIED)


def true_routine(
    answer: WholeRoutine, records: Records, effects: Effects, rng: np.random.Generator
) -> TrueRoutine:
    """The truth of costs: one of the draws that the answer takes them from."""
    costs = answer.gathered.costs
    draw = int(rng.integers(costs.work.once.shape[1]))
    counted = FailureCosts.of(records.known_at(answer.as_of), answer.as_of)
    cost = {kind: counted.of_kind(kind, spare_on_shelf=True).total for kind in KINDS}
    cost |= {one.part_kind: float(one.cost[draw]) for one in costs.kinds}
    at = {task: costs.tasks.index(task) for task in (SHAKE, CLEAN)}
    return TrueRoutine(
        effects,
        cost,
        {task: float(costs.work.once[row, draw]) for task, row in at.items()},
        {task: float(costs.work.in_stop[row, draw]) for task, row in at.items()},
    )


def line(title: str, effects: Effects | None, workshops: int) -> str:
    """One line of the table; shares with their exact 95 % limits (Clopper & Pearson 1934)."""
    found = [one_workshop(400_000 + seed, effects) for seed in range(workshops)]
    intervals = [held for one in found for held in one.intervals_held]
    possible = sum(one.possible for one in found)
    cells = [
        title,
        str(workshops),
        f"{np.mean([one.failures for one in found]):.0f}",
        share(sum(one.held for one in found), workshops),
        share(sum(intervals), len(intervals)),
        f"{np.mean([one.told for one in found]):.0f}",
        f"{np.mean([one.true for one in found]):.0f}",
        f"{possible / workshops:.0f}",
        f"{sum(one.true for one in found) / possible:.0%}",
    ]
    return "| " + " | ".join(cells) + " |"


def share(held: int, of: int) -> str:
    """A share in percent with its 95 % limits."""
    if not of:
        return "–"
    limits = binomtest(held, of).proportion_ci()
    return f"{100 * held / of:.0f} ({100 * limits.low:.0f}–{100 * limits.high:.0f})"


def main(workshops: int = 60, only: str = "") -> None:
    """Print the table."""
    head = (
        "effects", "workshops", "failures", "saving's range holds truth, %",
        "interval's range holds the best, %", "saving told", "true saving", "possible", "reached",
    )  # fmt: skip
    rows = {title: partial(line, title, own, workshops) for title, own in SCENARIOS.items()}
    print_table(head, rows, only)


if __name__ == "__main__":
    main(*(int(sys.argv[1]),) if len(sys.argv) > 1 else (), *sys.argv[2:3])
