"""A printer stands still, or runs again."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.forms import saving
from pages.forms.fields import (
    ask_moment,
    pick_moment,
    pick_person,
    pick_printer,
    said_moment,
)
from pages.forms.stops import runs_again
from pages.forms.stops.runs_again import ask_spoiled, money, refuse_end_before
from pages.forms.together import twice
from pages.shell import session, telling
from pages.shell.time_zone import zone_name
from pages.shell.words import plain
from tracker.language import N_, _
from tracker.store import acts
from tracker.workshop import vocabulary as words
from tracker.workshop.parts.cautions import of_parts
from tracker.workshop.stoppage_causes import STOPPAGE_CAUSES, cautions_of, is_head_strike


def show(workshop: session.Workshop) -> None:
    """An open stoppage is closed with one tap; otherwise a new one begins."""
    saving.nothing_unsaid()
    zone = zone_name(workshop.records)
    printer = pick_printer(workshop, "stop")
    if not printer:
        return
    rows = workshop.records.stoppages
    still = rows[(rows["printer"] == printer) & rows["ended_at"].isna()]
    for row_id, row in still.iterrows():
        runs_again.show(workshop, int(str(row_id)), row, zone)
    if len(still):
        return
    kinds = ["", *workshop.records.part_kinds()]
    kind = st.selectbox(
        _("Because of which part?"),
        kinds,
        key="stop-part",
        format_func=lambda k: words.part_label(k) if k else _("No part, or not known"),
    )
    cause = pick_cause("stop")
    over = st.toggle(_("It runs again already"), key="stop-over")
    ask = ask_moment if over else pick_moment
    asked = ask(workshop, _("It stopped"), "stop-begin")
    ended_at = pick_moment(workshop, _("It ran again"), "stop-over-at") if over else None
    scrap = ask_spoiled(workshop, "stop-scrap")
    pick_person()
    frame.cautions((*cautions_of(cause), *(of_parts([kind]) if kind else ())))
    with telling.errors_in_words():
        said = {
            "Printer": printer, "It stopped": asked, "It ran again": ended_at, "Part": kind,
            "Cause": cause, "Spoiled": scrap,
        }  # fmt: skip
        label = N_("Log: {printer} stood still") if over else N_("Log: {printer} stands still")
        label = _(label, printer=plain(printer))
        if saving.tapped(workshop, "stop-save", label, said, printers=[printer]):
            began = said_moment(asked, _("It stopped"))
            if ended_at is not None:
                refuse_end_before(began, ended_at, zone)
            new = acts.Stoppage(printer, began, ended_at, cause, kind, money(scrap), time_zone=zone)
            batch_id = acts.begin_stoppage(workshop.store, new, again=twice.again())
            struck = printer if is_head_strike(cause=cause) else ""
            told = _("Stoppage of {printer} logged.", printer=printer)
            saving.saved(told, batch_id, "stop-", struck=struck)


def pick_cause(key: str, *, start: str | None = None) -> str:
    """Why it stands still: one of the trade's words, or one's own; "" while none is said."""
    picked = st.pills(
        _("Why?"),
        list(STOPPAGE_CAUSES),
        format_func=lambda cause: plain(words.said(cause)),
        default=start,
        key=f"{key}-cause",
    )
    typed = st.text_input(_("More on that, or in your own words"), key=f"{key}-cause-typed").strip()
    if picked in (None, "other"):
        return typed or picked or ""
    return f"{picked}: {typed}" if typed else str(picked)
