"""What was changed, by whom, and the way back."""

from __future__ import annotations

from datetime import datetime, time

import streamlit as st

from pages.sections import paging
from pages.shell import session, taking_back, telling
from pages.shell.words import plain
from tracker.language import _
from tracker.say import numbers
from tracker.say.entering.record_words import (
    LABELS,
    cell_words,
    column_label,
    in_words,
)
from tracker.sharing.roles import LOG, MANAGE
from tracker.store.change_log import LoggedChange
from tracker.store.logged_rows import RowChange
from tracker.workshop.contract import TABLE_BY_NAME

_NEWEST = 200  # looked through by a word; a page at a time
_OF_A_DAY = 500


def show(workshop: session.Workshop) -> None:
    """Today's changes, then the newest before; each can be taken back as a whole."""
    st.subheader(_("What was changed today"), anchor=False)
    show_today(workshop)
    st.subheader(_("Before today"), anchor=False)
    today = _morning()
    earlier = [change for change in workshop.store.changes(_NEWEST) if change.when < today]
    if not earlier:
        st.caption(_("The newest changes are all of today."))
    _lines(workshop, earlier, "changes-before")


def show_today(workshop: session.Workshop) -> None:
    """Every change of this day, the newest first, each with its way back."""
    changes = workshop.store.changes(_OF_A_DAY, since=_morning())
    if not changes:
        st.caption(_("Nothing was changed today."))
    _lines(workshop, changes, "changes-today")


def _lines(workshop: session.Workshop, changes: list[LoggedChange], key: str) -> None:
    for change in paging.found_page(changes, _words, key):
        _line(workshop, change)


def _words(change: LoggedChange) -> str:
    """What a change is found by: what was done, by whom, its number."""
    return f"{in_words(change.what)} {change.who} {change.batch}"


def _morning() -> datetime:
    return datetime.combine(session.today(), time())


def _line(workshop: session.Workshop, change: LoggedChange) -> None:
    text, button = st.columns([4, 1], vertical_alignment="center")
    by = _(" by {who}", who=plain(change.who)) if change.who else ""
    taken_back = "" if change.in_effect else _(" – taken back")
    text.markdown(
        _(
            "**{what}**{taken_back}  \nChange {number}, {day} {time}{by}, {records}",
            what=plain(in_words(change.what)),
            taken_back=taken_back,
            number=change.batch,
            day=numbers.day(change.when.date()),
            time=f"{change.when:%H:%M}",
            by=by,
            records=numbers.count(change.row_count, "record", "records"),
        )
    )
    role = LOG if change.who == session.who() else MANAGE
    with telling.errors_in_words(days=True):
        if change.in_effect and taking_back.wanted(
            workshop.store,
            workshop.shown,
            change.batch,
            at=button,
            key=f"undo-{change.batch}",
            role=role,
        ):
            done = workshop.store.undo(change.batch)
            telling.recorded(_("Taken back: {what}.", what=in_words(change.what)), done.batch)
    if change.rows:
        with text.expander(_("Before and after")):
            for row in change.rows:
                st.text(_told(row))


def _told(row: RowChange) -> str:
    """One record before and after, in words."""
    table = TABLE_BY_NAME[row.table]
    kept = row.after or row.before
    name = ", ".join(cell_words(table.column(key), kept[key]) for key in table.key if kept.get(key))
    cells = []
    for column, (before, after) in row.cells.items():
        spec = table.column(column)
        now = cell_words(spec, after)
        if row.before and row.after:
            now = f"{cell_words(spec, before)} → {now}"
        elif row.before:
            now = cell_words(spec, before)
        cells.append(f"{column_label(column)}: {now}")
    did = "" if row.before and row.after else (_(" – taken out") if row.before else _(" – new"))
    return _(
        "{table}, record {number}, {name}{did}. {cells}",
        table=_(LABELS[row.table]),
        number=row.row_id,
        name=name,
        did=did,
        cells="; ".join(cells),
    )
