"""Experiments begin and end: the plan and the routines that the due list follows, in one change."""

from __future__ import annotations

from datetime import date

import pandas as pd

from tracker.errors import RecordError
from tracker.language import _
from tracker.store.acts.positions import known_printer
from tracker.store.batch import Batch
from tracker.store.database import Store
from tracker.workshop.experiments import Experiment, Phase, experiment_named, routine_of_phase
from tracker.workshop.refusal import written
from tracker.workshop.vocabulary import task_label


def start_experiment(store: Store, experiment: Experiment) -> int | None:
    """Keeps the plan, and gives each printer a routine of its own for as long as a phase lasts.

    A printer's own routine goes before the one for all, and the later before the earlier, so what
    held before holds again by itself afterwards. Raises RecordError for a name that is taken, an
    unknown printer, another experiment or a new routine of the task on a printer meanwhile.
    """
    name = experiment.name.strip()
    if not name:
        raise RecordError(_("The experiment has no name; write the name you call it by."))
    with store.change(_("Experiment {name} begins", name=name)) as change:
        if (change.records.experiments["experiment"] == name).any():
            raise RecordError(
                _("There is an experiment {name} already; give this one another name.", name=name)
            )
        shared = {
            "experiment": name,
            "task": experiment.task,
            "part_kind": experiment.part_kind,
            "look_on": experiment.look_on,
            "note": experiment.note,
        }
        for phase in experiment.phases:
            known_printer(change.records, phase.printer)
            _nothing_begins_meanwhile(change, experiment.task, phase)
            change.add("experiments", {**shared, **vars(phase)})
        for phase in experiment.phases:
            change.add("routines", {"task": experiment.task, **vars(phase)})
    return change.number


def end_experiment(store: Store, name: str, last_day: date) -> int | None:
    """Ends it early: ``last_day`` is the last one that counts; the old routines hold from then on.

    A last day before it begins takes it out whole. Raises UsageError for an unknown name,
    RecordError where it is over by then.
    """
    with store.change(_("Experiment {name} ends", name=name)) as change:
        experiment = experiment_named(change.records, name)
        if experiment.ends_on <= last_day:
            raise RecordError(
                _(
                    "{name} ends on {ends_on} anyway; there is nothing left to end.",
                    name=name,
                    ends_on=experiment.ends_on,
                )
            )
        put_end(change, last_day, experiment=name)
    return change.number


def put_end(change: Batch, last_day: date, *, experiment: str = "", printer: str = "") -> None:
    """Cuts what an experiment, or a printer in any of them, still has before it."""
    rows = change.records.experiments
    if experiment:
        rows = rows[rows["experiment"] == experiment]
    if printer:
        rows = rows[rows["printer"] == printer]
    end = pd.Timestamp(last_day)
    for row_id, row in rows[rows["ends_on"] > end].iterrows():
        phase = Phase(
            row["printer"], row["every_days"], row["starts_on"].date(), row["ends_on"].date()
        )
        routines = routine_of_phase(change.records.routines, row["task"], phase)
        for table, ids in (("experiments", [row_id]), ("routines", routines)):
            for own in ids:
                if row["starts_on"] > end:
                    change.remove(table, int(own))
                else:
                    change.correct(table, int(own), {"ends_on": last_day})


def _nothing_begins_meanwhile(change: Batch, task: str, phase: Phase) -> None:
    """A routine of the printer's own that begins within the phase would go before it."""
    rows = change.records.routines
    rows = rows[(rows["task"] == task) & (rows["printer"] == phase.printer)]
    first, last = pd.Timestamp(phase.starts_on), pd.Timestamp(phase.ends_on)
    within = rows[(rows["starts_on"] >= first) & (rows["starts_on"] <= last)]
    taken = change.records.experiments
    taken = taken[(taken["task"] == task) & (taken["printer"] == phase.printer)]
    if taken["starts_on"].isin(within["starts_on"]).any():
        return  # another experiment, which the checks tell with its name
    if len(within):
        raise RecordError(
            _(
                "{printer} has a routine of its own for “{task}” that begins on {starts_on}, "
                "within the experiment; end that routine, or begin the experiment after that "
                "day.",
                printer=phase.printer,
                task=task_label(task),
                starts_on=written(within["starts_on"].iloc[0]),
            )
        )
