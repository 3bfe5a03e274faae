"""Does the review's fit of skipped tasks find their true effect? Simulated workshops.

Run by hand: ``python -m tests.bench.skipping_study [workshops]`` prints a Markdown table: for the
worlds of ``value_study``, how far the mean effect of shaking on dampers lies from the truth and how
often its 95 % limits hold that, in the fit of all lives and in the review's, which has printers'
own means beside the task; and how often an effect of the wrong sign, or one where there is none,
would be told. A short form runs in the tests.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from functools import partial

import numpy as np

from tests.bench.exact_limits import share
from tests.bench.study_table import print_table
from tests.bench.value_study import STEADY_PACES, TASK, World, as_of
from tests.simulation.simulator import simulate_workshop
from tracker.arrays import Array
from tracker.forecast.fitted_lives import fit_lives
from tracker.forecast.routine_exposure import Exposure
from tracker.review.skipping import SURE
from tracker.review.skipping_effect import TaskEffects

ASKED = Exposure(TASK, "damper")
CAREFUL = World(
    "steady paces, no effect, careful people with better printers",
    (0.0, 0.0),
    printers=6,
    paces=STEADY_PACES,
    careful=-0.8,
)
WORLDS = (
    World("effects drawn from the belief", None),
    World("effect −0.6, lives halve half-way", halved=True),
    World("effect −0.6, printers differ (0.5)", differ=0.5),
    World("no effect", (0.0, 0.0)),
    World("no effect, printers differ (0.5)", (0.0, 0.0), differ=0.5),
    World("effect −0.6, steady paces", printers=6, paces=STEADY_PACES),
    CAREFUL,
)


@dataclass(frozen=True)
class Told:
    """An effect as one fit tells it beside the ``true`` one."""

    true: float
    mean: float
    spread: float
    chance_it_helps: float

    @classmethod
    def of(cls, true: float, effect: Array, weight: Array) -> Told:
        """From weighted draws."""
        mean = float(weight @ effect)
        spread = float(np.sqrt(weight @ (effect - mean) ** 2))
        return cls(true, mean, spread, float(weight @ (effect < 0)))

    @property
    def held(self) -> bool:
        """Do the 95 % limits hold the truth?"""
        return abs(self.mean - self.true) < 1.96 * self.spread

    @property
    def wrongly(self) -> bool:
        """Would an effect be told that is not there, or is the other way round?"""
        helps, harms = self.chance_it_helps > SURE, self.chance_it_helps < 1 - SURE
        return (helps and self.true >= 0) or (harms and self.true <= 0)


def one_workshop(world: World, seed: int) -> tuple[Told, Told]:
    """Shaking's effect on dampers by the fit of all lives, and by the review's."""
    rng = np.random.default_rng(8000 + seed)
    plan = world.plan(rng)
    records, _ = simulate_workshop(plan, rng)
    true = next(part.effects.get(TASK, 0.0) for part in plan.parts if part.kind == "damper")
    fitted = fit_lives(records, as_of(plan))
    found = TaskEffects.of(fitted, {ASKED})
    assert found is not None
    assert fitted.draws is not None
    at = found.told.exposures.index(ASKED)
    of_all, own = (
        Told.of(true, draws.effect[:, at], draws.weight) for draws in (fitted.draws, found.draws)
    )
    return of_all, own


def line(world: World, workshops: int) -> str:
    """A row of the table."""
    cells = [world.title, str(workshops)]
    for told in zip(*(one_workshop(world, seed) for seed in range(workshops)), strict=True):
        off = np.mean([one.mean - one.true for one in told])
        cells += [f"{off:+.2f}", share(sum(one.held for one in told), workshops)]
        cells.append(str(sum(one.wrongly for one in told)))
    return "| " + " | ".join(cells) + " |"


def main(workshops: int = 24, only: str = "") -> None:
    """Print the table."""
    head = ["world", "workshops"]
    for fit in ("all lives", "review"):
        head += [f"{fit}: off by", "95 % limits hold the effect", "told wrongly"]
    print_table(head, {one.title: partial(line, one, workshops) for one in WORLDS}, only)


if __name__ == "__main__":
    main(*(int(sys.argv[1]),) if len(sys.argv) > 1 else (), *sys.argv[2:3])
