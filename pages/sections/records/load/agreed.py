"""What goes along with old parts: guessed ages, and a printer's first day moved earlier."""

from __future__ import annotations

from datetime import date

import pandas as pd
import streamlit as st

from pages import frame
from pages.forms.ages import ask_ages
from tracker.intake.ages import ages_to_ask, with_guessed_ages
from tracker.say import numbers
from tracker.workshop.records import Records


def with_ages(workshop: frame.Workshop, records: Records) -> Records:
    """The records with the ages guessed of parts that were in before the log began."""
    printers = pd.concat([workshop.records.printers, records.printers])
    parts = ages_to_ask(records.with_table("printers", printers))
    if not parts:
        return records
    said = ask_ages(parts, "load")
    guessed = with_guessed_ages(records.with_table("printers", printers), said)
    return records.with_table("fittings", guessed.fittings)


def earlier_first_days(workshop: frame.Workshop, records: Records) -> dict[int, date]:
    """New first days, by the printer's record, where the files have older parts and it is agreed.

    A printer that was written down before its history is loaded often has the wrong first day.
    """
    fitted = records.fittings[["printer", "fitted_on"]].dropna()
    if fitted.empty:
        return {}
    oldest = fitted.groupby("printer")["fitted_on"].min()
    agreed = {}
    for row_id, row in workshop.records.printers.iterrows():
        day = oldest.get(row["printer"])
        if day is None or not day < row["started_on"]:
            continue
        if st.checkbox(
            f"Set the first day of {row['printer']} to {numbers.day(day.date())}: the file has "
            f"parts so old, your records say {numbers.day(row['started_on'].date())}",
            key=f"load-first-day-{row_id}",
        ):
            agreed[int(str(row_id))] = day.date()
    return agreed
