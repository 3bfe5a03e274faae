"""Does an experiment answer as often as it says, and falsely no more often than it says?

``python -m tests.bench.experiment_study 200``: one workshop of four printers is asked for an
experiment after 400 days at one interval; then it is lived through again and again by the
simulator, which knows nothing of the program's own play, and read out. Prints, for a true effect of
−0.6 per doubling and for none, the share of answers with its exact 95 % limits beside the stated.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import date, timedelta
from functools import cache

import numpy as np

from tests.bench.exact_limits import share
from tests.decisions.workshops import kept_as
from tests.simulation.simulator import simulate_workshop
from tests.simulation.workshop_plan import RoutinePlan, WorkshopPlan, study_plan
from tracker.arrays import Array
from tracker.decisions.routine.experiment.counts import ExperimentCounts
from tracker.decisions.routine.experiment.lives_ahead import AnswerChances, PartsAhead, Play
from tracker.decisions.routine.experiment.proposal import ExperimentProposal, propose_experiment
from tracker.decisions.routine.experiment.stopping_rule import answers
from tracker.models.events.crossed_rates import standardized_scores
from tracker.workshop.experiments import Experiment
from tracker.workshop.records import Records

TASK = "shake_dampers"
LOG_DAYS, NOW, EVERY, INSTEAD = 400, 14, 7, 30
_PLAYS = 1500


def workshop_plan(effect: float) -> WorkshopPlan:
    """Four printers, one interval for all so far; nothing ever waits for a delivery."""
    plan = study_plan(printers=4, days=LOG_DAYS, shake_effect=effect)
    heads, dampers = plan.parts
    names = tuple(printer.name for printer in plan.printers)
    return replace(
        plan,
        parts=(replace(heads, first_stock=2000), replace(dampers, first_stock=9000)),
        routines=(RoutinePlan(TASK, NOW, names),),
    )


LAST_DAY = workshop_plan(-0.6).log_ends_on


@cache
def asked() -> tuple[Records, date, ExperimentProposal]:
    """The workshop's log before the experiment, and what is proposed then."""
    plan = workshop_plan(-0.6)
    # Of the seeds 1, 2, … the first whose proposal nothing hinders, whose chance of an answer has
    # three standard errors of its plays to spare, and which answers the true effect more than nine
    # times in ten. One interval for all tells so little of the effect that most are too long.
    records, _ = simulate_workshop(plan, np.random.default_rng(25))
    return records, LAST_DAY, propose_experiment(records, LAST_DAY, TASK, EVERY, INSTEAD)


def stated(effect: float) -> AnswerChances:
    """What the program says of its experiment's ends where that is the true effect."""
    proposal = asked()[2]
    study, rng = proposal.kind.kind.study, np.random.default_rng(3)
    parts = PartsAhead.of(study, proposal.experiment.printers)
    picked = study.yearly.draws.matched(_PLAYS, rng)
    return Play(study, parts, picked, proposal.now_days).chances(proposal.experiment, rng, effect)


def lived_through(effect: float, experiment: Experiment, seed: int) -> Records:
    """The workshop's log when it is over, the plan in it, kept but for one action in ten."""
    plan, day = workshop_plan(effect), timedelta(days=1)
    names = tuple(printer.name for printer in plan.printers)
    routines = (
        RoutinePlan(TASK, NOW, names, None, experiment.starts_on),
        *(
            RoutinePlan(TASK, one.every_days, (one.printer,), one.starts_on, one.ends_on + day)
            for one in experiment.phases
        ),
    )
    plan = replace(plan, log_ends_on=experiment.ends_on + 2 * day, routines=routines)
    records, _ = simulate_workshop(plan, np.random.default_rng(seed))
    return records.with_table("experiments", kept_as(experiment))


def scores(effect: float, seeds: range) -> tuple[Array, Array]:
    """The standardized differences at the look and at the end, one per workshop."""
    experiment = asked()[2].experiment
    found = []
    for seed in seeds:
        known = lived_through(effect, experiment, seed)
        as_of = experiment.ends_on + timedelta(days=2)
        own = ExperimentCounts.of(known, as_of, experiment, "damper", experiment.ends_on)
        tables = (own.failures, own.usual, own.dose)
        half = own.dose.shape[1] // 2  # the look divides the stretches
        found.append((_score(*(table[:, :half] for table in tables)), _score(*tables)))
    at_look, at_end = np.array(found).T
    return at_look, at_end


def _score(events: Array, usual: Array, dose: Array) -> float:
    return float(standardized_scores(events[None], usual, dose)[0])


def main(workshops: int = 200) -> None:
    """Print the table."""
    for effect in (-0.6, 0.0):
        told = answers(*scores(effect, range(1000, 1000 + workshops)))
        said = stated(effect)
        for name, chance, hits in (
            ("shorter better", said.shorter, int((told < 0).sum())),
            ("longer better", said.longer, int((told > 0).sum())),
        ):
            print(f"{effect:+.1f} {name}: {share(hits, workshops)}, stated {chance:.1%}")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
