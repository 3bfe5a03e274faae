"""A printer stands still, or runs again."""

from __future__ import annotations

from datetime import datetime

import streamlit as st

from pages import frame
from pages.forms import saving
from pages.forms.fields import (
    ask_moment,
    number_in,
    pick_moment,
    pick_person,
    pick_printer,
    said_moment,
)
from pages.forms.together import twice
from pages.shell import session, telling
from pages.shell.time_zone import zone_name
from pages.shell.words import plain
from tracker.errors import RecordError
from tracker.language import _
from tracker.say import numbers
from tracker.store import acts
from tracker.workshop import vocabulary as words
from tracker.workshop.clocks.changes import true_time, with_pass, zone_named
from tracker.workshop.contract import STOPPAGES
from tracker.workshop.parts.cautions import of_parts
from tracker.workshop.stoppage_causes import STOPPAGE_CAUSES, cautions_of


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
        cause = plain(words.said(row.cause) or _("no cause written"))
        since = f"{numbers.day(row.began_at.date())} {row.began_at:%H:%M}"
        st.write(
            _(
                "{printer} stands still since {since} – {cause}",
                printer=plain(printer),
                since=since,
                cause=cause,
            )
        )
        ended = pick_moment(workshop, _("It ran again"), f"stop-end-{row_id}")
        scrap = st.text_input(_("Spoiled film and garments"), key=f"stop-scrap-{row_id}")
        with telling.errors_in_words():
            said = {"It ran again": ended, "Spoiled": scrap}
            if saving.tapped(
                workshop,
                f"stop-close-{row_id}",
                _("Log: {printer} runs again", printer=plain(printer)),
                said,
            ):
                refuse_end_before(with_pass(row.began_at, row.began_pass), ended, zone)
                batch_id = acts.end_stoppage(
                    workshop.store, int(str(row_id)), ended, scrap_cost=money(scrap),
                    time_zone=zone, who=session.who(), now=session.now(),
                )  # fmt: skip
                saving.saved(_("{printer} runs again.", printer=printer), batch_id, "stop-")
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
    scrap = st.text_input(_("Spoiled film and garments (money)"), key="stop-scrap")
    pick_person()
    frame.cautions((*cautions_of(cause), *(of_parts([kind]) if kind else ())))
    with telling.errors_in_words():
        said = {
            "Printer": printer, "It stopped": asked, "It ran again": ended_at, "Part": kind,
            "Cause": cause, "Spoiled": scrap,
        }  # fmt: skip
        if saving.tapped(
            workshop, "stop-save", _("Log: {printer} stood still", printer=plain(printer)), said
        ):
            began = said_moment(asked, _("It stopped"))
            if ended_at is not None:
                refuse_end_before(began, ended_at, zone)
            new = acts.Stoppage(printer, began, ended_at, cause, kind, money(scrap), time_zone=zone)
            batch_id = acts.begin_stoppage(
                workshop.store, new, again=twice.again(), who=session.who(), now=session.now()
            )
            saving.saved(_("Stoppage of {printer} logged.", printer=printer), batch_id, "stop-")


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


def money(spoiled: str) -> float | None:
    """The money typed into the field for what was spoiled."""
    return number_in(spoiled, STOPPAGES.column("scrap_cost"))


def refuse_end_before(began: datetime, ended: datetime, zone: str) -> None:
    """Raises RecordError unless the printer ran again after it stopped, by clocks of that zone."""
    if true_time(ended, zone_named(zone)) <= true_time(began, zone_named(zone)):
        raise RecordError(
            _(
                "It ran again {ended}, which is not after it stopped ({began}); correct the "
                "day or the time.",
                ended=f"{ended:%Y-%m-%d %H:%M}",
                began=f"{began:%Y-%m-%d %H:%M}",
            )
        )
