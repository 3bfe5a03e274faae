"""What is in the printer now, how old it is and how long it likely lasts; its heads first."""

from __future__ import annotations

from datetime import date
from typing import Any

import pandas as pd
import streamlit as st

from pages.shell import links, session
from pages.shell.words import plain
from tracker.forecast.outlook import outlook
from tracker.language import _
from tracker.lives.printer_history import RUNNING, printer_history
from tracker.say import part_types
from tracker.say.ages import age_assumed
from tracker.say.lives import remaining
from tracker.say.printer_page import parts as say
from tracker.say.printer_page.past import nozzles
from tracker.workshop import vocabulary as words
from tracker.workshop.empty_positions import waiting_positions

HORIZON_DAYS = 30
ASKED = "asked-part"  # the container of the part that a link names, so that it is marked
_IN_SIGHT = 2  # parts told without a tap beside heads: those likeliest to fail


def show(place: session.Workshop, printer: str) -> None:
    """The heads, the part that the address names, those likeliest to fail; the others on tap."""
    st.header(_("In it now"), anchor=False)
    history = session.ask(printer_history, printer, 365)
    fitted = history.fittings[history.fittings["end"] == RUNNING]
    asked = (links.wanted("part"), links.wanted("position"))
    _empty_place(printer, asked)
    if fitted.empty:
        st.info(_("No part of it is written down yet."), icon=":material/arrow_forward:")
        if st.button(_("Log the first part"), key="printer-first"):
            links.go_log(printer, "Part change")
        return
    told = session.ask(outlook, HORIZON_DAYS).reindex(fitted.index).dropna(subset=["part_kind"])
    told = told.sort_values("chance_of_failure", ascending=False, kind="stable")
    is_asked = _is(fitted, asked)
    is_head = told["part_kind"] == "head"
    likeliest = told[~is_head & ~is_asked[told.index]].head(_IN_SIGHT)
    heads = told[is_head].sort_values("position")
    asked_for = fitted[is_asked & ~fitted.index.isin(heads.index)]
    for index in heads.index:
        _part(place, printer, fitted.loc[index], told, is_asked[index])
    if len(heads) and not history.nozzle_checks.empty:
        st.caption(plain(nozzles(history)))
    in_sight = [*heads.index, *asked_for.index, *likeliest.index]
    for index in in_sight[len(heads) :]:
        _part(place, printer, fitted.loc[index], told, is_asked[index])
    folded = [index for index in (*told.index, *fitted.index) if index not in in_sight]
    if folded:
        with st.expander(_("All {count} parts", count=len(fitted))):
            for index in dict.fromkeys(folded):
                _part(place, printer, fitted.loc[index], told, False)


def _is(rows: pd.DataFrame, asked: tuple[str, str]) -> pd.Series:
    """Which rows are the part that the address names?"""
    found: pd.Series = (rows["part_kind"] == asked[0]) & (rows["position"] == asked[1])
    return found


def _empty_place(printer: str, asked: tuple[str, str]) -> None:
    """The place that the address names, where nothing is in it."""
    waiting = session.ask(waiting_positions)
    for row in waiting[(waiting["printer"] == printer) & _is(waiting, asked)].itertuples():
        with st.container(key=ASKED):
            st.markdown(f"**{plain(say.empty_place(row))}**")


def _part(
    place: session.Workshop, printer: str, part: pd.Series, told: pd.DataFrame, is_asked: bool
) -> None:
    """One part: its name and type, what is said of it, and the way to log its change."""
    index = part.name
    said = _sentence(place, part, told.loc[index] if index in told.index else None)
    with st.container(key=ASKED if is_asked else None):
        text, button = st.columns([4, 1], vertical_alignment="center")
        text.markdown(f"**{plain(part_types.named(part))}** – {plain(said)}")
        if button.button(_("Change"), key=f"change-{index}", width="stretch"):
            links.go_log(printer, "Part change", part=part.part_kind, position=part.position)


def _sentence(place: session.Workshop, part: pd.Series, row: Any) -> str:
    today: date = place.as_of
    if row is None:
        level = "" if words.wears(part.part_kind) else f"; {_(say.LEVEL_DECIDES)}"
        return say.age(part.fitted_on, today) + level
    guessed = place.records.part_facts(row.part_kind, row.variant).is_life_guessed
    age = age_assumed(row) or say.age(part.fitted_on, today, row.age_days)
    told = (age, remaining.lasts(row, today), say.evidence(row, guessed))
    return "; ".join(filter(None, told))
