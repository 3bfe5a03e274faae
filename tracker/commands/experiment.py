"""The command about experiments: propose one, begin it, end it, read out those begun."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from datetime import date
from typing import TYPE_CHECKING, Any

from tracker.commands.printing import as_json, show
from tracker.commands.sources import by_command, database_there, records_and_day
from tracker.commands.typed_words import known_task
from tracker.errors import NotEnoughData, UsageError
from tracker.language import _
from tracker.workshop import vocabulary as words
from tracker.workshop.experiments import Experiment, experiments

if TYPE_CHECKING:
    from tracker.decisions.routine.experiment.proposal import ExperimentProposal
    from tracker.decisions.routine.experiment.read_out import ExperimentReading
    from tracker.say.listing import Listing


def experiment(options: argparse.Namespace) -> int:
    """Propose with a task and two intervals, end one by its name, else read out."""
    asked = (options.task, options.every, options.instead_of)
    if options.end is not None:
        return _end(options)
    if all(value is None for value in asked):
        if options.start:
            raise UsageError(_("--start: needs --task, --every and --instead-of, to know what."))
        return _read(options)
    if any(value is None for value in asked):
        raise UsageError(_("give --task, --every and --instead-of together, or none of them."))
    return _propose(options)


def _propose(options: argparse.Namespace) -> int:
    from tracker.decisions.routine.experiment.proposal import propose_experiment
    from tracker.say.maintenance import experiment as say

    records, as_of = records_and_day(options)
    options.task = known_task(options.task, words.BUILT_IN_TASKS)
    try:
        proposal = propose_experiment(
            records, as_of, options.task, options.every, options.instead_of, options.part
        )
    except NotEnoughData as problem:
        if options.start:
            raise
        sentence = _("Cannot propose an experiment yet. {problem}", problem=problem)
        if options.json:
            return as_json({"as_of": as_of, "phases": [], "sentence": sentence})
        return show(sentence, [])
    plan, batch = proposal.experiment, None
    if options.start:
        plan = proposal.beginning(options.start).with_note(say.plan_note(proposal))
        batch = _keep(options, plan, as_of)
    sentence = say.proposal_sentence(proposal)
    if options.json:
        values = _proposal_values(proposal, plan)
        return as_json({"as_of": as_of, **values, "batch": batch, "sentence": sentence})
    show(sentence, _rows(say.schedule_listing(plan)))
    for line in say.proposal_lines(proposal):
        print(line)
    if options.start:
        print(
            _(
                "Kept as {name}; the due list follows it from {starts_on} on.",
                name=plan.name,
                starts_on=plan.starts_on,
            )
        )
    return 0


def _keep(options: argparse.Namespace, plan: Experiment, as_of: date) -> int | None:
    from tracker.store.acts import start_experiment
    from tracker.store.database import open_store

    _needs_database(options, "--start")
    if plan.starts_on < as_of:
        raise UsageError(
            _(
                "--start {starts_on}: is past; an experiment begins today ({as_of}) or later.",
                starts_on=plan.starts_on,
                as_of=as_of,
            )
        )
    with open_store(database_there(options)) as store:
        return start_experiment(by_command(store), plan)


def _end(options: argparse.Namespace) -> int:
    from tracker.store.acts import end_experiment
    from tracker.store.database import open_store

    _needs_database(options, "--end")
    _records, as_of = records_and_day(options)
    with open_store(database_there(options)) as store:
        batch = end_experiment(by_command(store), options.end, as_of)
    if options.json:
        return as_json({"experiment": options.end, "ended_on": as_of, "batch": batch})
    return show(
        _("{end} ended on {as_of}; the old routine holds again.", end=options.end, as_of=as_of), []
    )


def _needs_database(options: argparse.Namespace, what: str) -> None:
    if options.data:
        raise UsageError(
            _(
                "{what}: a folder of spreadsheets is only read; load it into a database, and "
                "give --database.",
                what=what,
            )
        )


def _read(options: argparse.Namespace) -> int:
    from tracker.decisions.routine.experiment.read_out import read_experiment
    from tracker.say.maintenance import experiment_result as result

    records, as_of = records_and_day(options)
    readings = [read_experiment(records, as_of, one) for one in experiments(records)]
    if options.json:
        return as_json({"as_of": as_of, "experiments": [_reading_values(one) for one in readings]})
    if not readings:
        return show(
            _("No experiment is written down; propose one with --task, --every and --instead-of."),
            [],
        )
    for reading in readings:
        show(f"{reading.experiment.name}: {result.reading_sentence(reading)}", [])
        if reading.meant is not None:
            show("", _rows(result.arms_listing(reading)))
        for line in result.reading_lines(reading):
            print(line)
    return 0


def _proposal_values(proposal: ExperimentProposal, plan: Experiment) -> dict[str, Any]:
    from tracker.say.maintenance.experiment import proposal_lines

    return {
        **_plan_values(plan),
        "worth_doing": proposal.is_worth_it,
        "hindrances": list(proposal.hindrances),
        "hazard_ratio_to_tell": proposal.planned_ratio,
        "failures_needed": proposal.failures_needed,
        "failures_expected": proposal.failures_expected,
        "chance_of_answer": proposal.planned.any_answer,
        "chance_of_answer_as_the_log_has_it": proposal.possible.any_answer,
        "chance_of_false_answer": proposal.none.any_answer,
        "money_at_risk": {
            name: dict(zip(("median", "p10", "p90"), spread, strict=True))
            for name, spread in asdict(proposal.risk).items()
        },
        "expected_saving_decided_now": proposal.value.without,
        "expected_saving_decided_after": proposal.value.with_result,
        "worth_of_answer": proposal.value.gain,
        "cost_of_experiment": proposal.value.cost,
        "chance_it_changes_the_decision": proposal.value.chance_of_change,
        "notes": list(proposal_lines(proposal)),
    }


def _plan_values(plan: Experiment) -> dict[str, Any]:
    return {
        "experiment": plan.name,
        "task": plan.task,
        "part_kind": plan.part_kind,
        "starts_on": plan.starts_on,
        "look_on": plan.look_on,
        "ends_on": plan.ends_on,
        "phases": [asdict(phase) for phase in plan.phases],
    }


def _reading_values(reading: ExperimentReading) -> dict[str, Any]:
    from tracker.say.maintenance.experiment_result import reading_lines, reading_sentence

    kind = reading.log_of_kind
    whole = kind and {
        "hazard_ratio": kind.effect.hazard_ratio.estimate,
        "lower": kind.effect.hazard_ratio.lower,
        "upper": kind.effect.hazard_ratio.upper,
    }
    compared = reading.meant is not None
    return {
        **_plan_values(reading.experiment),
        "stage": reading.stage,
        "counted_until": reading.counted_until,
        "failures": reading.failures,
        "arms": [
            {"every_days": days, **asdict(arm), "kept": kept}
            for days, arm, kept in zip(
                (reading.experiment.every_days, reading.experiment.instead_of_days),
                reading.arms,
                reading.kept,
                strict=True,
            )
        ]
        if compared
        else [],
        "as_meant": reading.meant and asdict(reading.meant),
        "as_done": reading.done and asdict(reading.done),
        "whole_log": whole,
        "verdict": reading.verdict,
        "sentence": reading_sentence(reading),
        "notes": list(reading_lines(reading)),
    }


def _rows(listing: Listing) -> list[dict[str, object]]:
    return [dict(zip(listing.heads, row, strict=True)) for row in listing.rows]
