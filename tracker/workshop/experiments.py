"""Experiments as they are kept: a task at two intervals, each printer at both, from day to day."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

import pandas as pd

from tracker.errors import UsageError
from tracker.language import _
from tracker.workshop.records import Records
from tracker.workshop.refusal import meant_or


@dataclass(frozen=True)
class Phase:
    """One printer at one interval, from a day to a day, both included."""

    printer: str
    every_days: float
    starts_on: date
    ends_on: date


@dataclass(frozen=True)
class Experiment:
    """A trial of ``task`` at two intervals; ``part_kind``: whose failures are counted.

    ``look_on``: the last day of the half that is looked at before the end, None where no look is
    planned. Phases in the order of printers and days, at least one.
    """

    name: str
    task: str
    part_kind: str
    look_on: date | None
    phases: tuple[Phase, ...]
    note: str = ""

    @property
    def starts_on(self) -> date:
        """Its first day."""
        return min(phase.starts_on for phase in self.phases)

    @property
    def ends_on(self) -> date:
        """Its last day."""
        return max(phase.ends_on for phase in self.phases)

    @property
    def days(self) -> int:
        """How long it lasts."""
        return (self.ends_on - self.starts_on).days + 1

    @property
    def printers(self) -> tuple[str, ...]:
        """The printers that take part, in the order of the phases."""
        return tuple(dict.fromkeys(phase.printer for phase in self.phases))

    @property
    def every_days(self) -> float:
        """The shorter interval."""
        return min(phase.every_days for phase in self.phases)

    @property
    def instead_of_days(self) -> float:
        """The longer interval; the same where only one was begun."""
        return max(phase.every_days for phase in self.phases)

    def phase_on(self, printer: str, day: date) -> Phase | None:
        """What the printer does on that day; None when it does not take part then."""
        for phase in self.phases:
            if phase.printer == printer and phase.starts_on <= day <= phase.ends_on:
                return phase
        return None

    def beginning(self, day: date) -> Experiment:
        """The same, begun on another day."""
        later = day - self.starts_on
        phases = tuple(
            replace(phase, starts_on=phase.starts_on + later, ends_on=phase.ends_on + later)
            for phase in self.phases
        )
        return replace(self, phases=phases, look_on=self.look_on and self.look_on + later)

    def with_note(self, note: str) -> Experiment:
        """The same with that note."""
        return replace(self, note=note)

    def bounds(self) -> tuple[date, ...]:
        """The first day of every stretch in which nobody changes, then the day after the end; the
        look divides too."""
        day = timedelta(days=1)
        found = {phase.starts_on for phase in self.phases}
        found |= {phase.ends_on + day for phase in self.phases}
        if self.look_on is not None and self.starts_on <= self.look_on < self.ends_on:
            found.add(self.look_on + day)
        return tuple(sorted(found))


def experiments(records: Records) -> tuple[Experiment, ...]:
    """Every experiment written down, in the order in which they begin."""
    found = []
    rows = records.experiments.dropna(subset=["starts_on", "ends_on", "every_days"])
    for name, own in rows.groupby("experiment", sort=True):
        own = own.sort_values(["printer", "starts_on"], kind="stable")
        first = own.iloc[0]
        notes = [note for note in own["note"] if note]
        found.append(
            Experiment(
                str(name),
                str(first["task"]),
                str(first["part_kind"]),
                None if own["look_on"].isna().all() else own["look_on"].max().date(),
                tuple(
                    Phase(
                        str(row["printer"]),
                        float(row["every_days"]),
                        row["starts_on"].date(),
                        row["ends_on"].date(),
                    )
                    for row in own.to_dict("records")
                ),
                notes[0] if notes else "",
            )
        )
    return tuple(sorted(found, key=lambda one: (one.starts_on, one.name)))


def experiment_named(records: Records, name: str) -> Experiment:
    """The experiment of that name; UsageError when there is none."""
    known = {one.name: one for one in experiments(records)}
    if name in known:
        return known[name]
    if not known:
        raise UsageError(
            _("No experiment is written down, so none is called {name}.", name=repr(name))
        )
    hint = meant_or(name, known, _("there are {known}.", known=", ".join(known)))
    raise UsageError(_("No experiment is called {name}; {hint}", name=repr(name), hint=hint))


def phases_on(records: Records, day: date) -> dict[tuple[str, str], Phase]:
    """What printers do for an experiment on that day, by task and printer."""
    return {
        (one.task, phase.printer): phase
        for one in experiments(records)
        for phase in one.phases
        if phase.starts_on <= day <= phase.ends_on
    }


def routine_of_phase(routines: pd.DataFrame, task: str, phase: Phase) -> pd.Index:
    """The rows of ``routines`` that a phase put there."""
    same = (
        routines["task"].eq(task)
        & routines["printer"].eq(phase.printer)
        & routines["starts_on"].eq(pd.Timestamp(phase.starts_on))
        & routines["every_days"].eq(phase.every_days)
    )
    return routines.index[same]
