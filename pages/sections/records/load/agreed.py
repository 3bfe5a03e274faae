"""What goes along with old parts: guessed ages, and first days moved earlier."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd
import streamlit as st

from pages.forms.ages import ask_ages
from pages.sections.records.load import log_start
from pages.shell import session
from pages.shell.words import plain
from tracker.intake.ages import ages_to_ask, with_guessed_ages
from tracker.language import _
from tracker.say import numbers
from tracker.store.loading import FirstDays, earlier_first_days
from tracker.workshop.records import Records


@dataclass(frozen=True)
class Agreed:
    """What would be loaded: the rows with the ages guessed, and the first days that move along."""

    records: Records
    first_days: FirstDays

    def fingerprint(self) -> tuple[object, ...]:
        """Differs when a person agreed to something else."""
        ages = self.records.fittings["age_guess_days"].dropna()
        days = self.first_days
        return (tuple(ages.items()), tuple(sorted(days.printers.items())), days.log)


def ask(workshop: session.Workshop, records: Records) -> Agreed:
    """What a person says to what the rows leave open beside themselves."""
    return Agreed(_with_ages(workshop, records), _first_days(workshop, records))


def _with_ages(workshop: session.Workshop, records: Records) -> Records:
    """The records with the ages guessed of parts that were in before the log began."""
    printers = pd.concat([workshop.records.printers, records.printers])
    parts = ages_to_ask(records.with_table("printers", printers))
    if not parts:
        return records
    said = ask_ages(parts, "load")
    guessed = with_guessed_ages(records.with_table("printers", printers), said)
    return records.with_table("fittings", guessed.fittings)


def _first_days(workshop: session.Workshop, records: Records) -> FirstDays:
    """The first days, of printers and of the log, that the files show to be too late, as far as it
    is agreed.

    A printer that was written down before its history is loaded often has the wrong first day.
    """
    printers = workshop.records.printers.set_index("printer")["started_on"]
    shown = earlier_first_days(workshop.records, records)
    days = {}
    for name, day in shown.printers.items():
        if st.checkbox(
            _(
                "Set the first day of {name} to {day}: the file has parts so old, your "
                "records say {printers}",
                name=plain(name),
                day=numbers.day(day),
                printers=numbers.day(printers[name].date()),
            ),
            key=f"load-first-day-{name}",
        ):
            days[name] = day
    return FirstDays(days, shown.log and log_start.ask(workshop, records, shown.log))
