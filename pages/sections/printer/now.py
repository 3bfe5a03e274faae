"""What is in the printer now, how old it is and how long it likely lasts."""

from __future__ import annotations

from datetime import date
from typing import Any

import pandas as pd
import streamlit as st

from pages import frame
from pages.sections.review.words import plain
from pages.shell import links
from tracker.forecast.outlook import outlook
from tracker.language import _
from tracker.lives.printer_history import RUNNING, printer_history
from tracker.say import part_types
from tracker.say.ages import age_assumed
from tracker.say.lives import remaining
from tracker.say.nozzles import checks_say
from tracker.say.printer_page import parts as say_parts
from tracker.workshop import vocabulary as words

HORIZON_DAYS = 30
_IN_SIGHT = 3  # parts told without a tap: those likeliest to fail


def show(place: frame.Workshop, printer: str) -> None:
    """The parts likeliest to fail in sight, the others on tap."""
    st.header(_("In it now"), anchor=False)
    history = frame.ask(printer_history, printer, 1)
    fitted = history.fittings[history.fittings["end"] == RUNNING]
    if fitted.empty:
        st.info(_("No part of it is written down yet."), icon=":material/arrow_forward:")
        if st.button(_("Log the first part"), key="printer-first"):
            links.go_log(printer, "Part change")
        return
    told = frame.ask(outlook, HORIZON_DAYS).reindex(fitted.index).dropna(subset=["part_kind"])
    told = told.sort_values("chance_of_failure", ascending=False, kind="stable")
    rest = fitted.drop(told.index)
    for row in told.head(_IN_SIGHT).itertuples():
        _part(place, printer, row, fitted.loc[row.Index, "fitted_on"])
    if len(told) + len(rest) > _IN_SIGHT:
        with st.expander(_("All {count} parts", count=len(fitted))):
            for row in told.tail(-_IN_SIGHT).itertuples():
                _part(place, printer, row, fitted.loc[row.Index, "fitted_on"])
            for row in rest.itertuples():
                level = "" if words.wears(row.part_kind) else f"; {_(say_parts.LEVEL_DECIDES)}"
                st.markdown(
                    f"**{plain(part_types.named(row))}** – "
                    f"{plain(say_parts.age(row.fitted_on, place.as_of) + level)}"
                )


def _part(place: frame.Workshop, printer: str, row: Any, fitted_on: pd.Timestamp) -> None:
    text, button = st.columns([4, 1], vertical_alignment="center")
    text.markdown(f"**{plain(part_types.named(row))}** – {plain(_sentence(place, row, fitted_on))}")
    if button.button(_("Change"), key=f"change-{row.Index}", width="stretch"):
        links.go_log(printer, "Part change", part=row.part_kind, position=row.position)


def _sentence(place: frame.Workshop, row: Any, fitted_on: pd.Timestamp) -> str:
    today: date = place.as_of
    guessed = "typical_life_days" in place.records.part_facts(row.part_kind, row.variant).guessed
    age = age_assumed(row) or say_parts.age(fitted_on, today)
    told = (f"{age}; {remaining.lasts(row, today)}", say_parts.evidence(row, guessed))
    return ". ".join(filter(None, ("; ".join(filter(None, told)), checks_say(row, HORIZON_DAYS))))
