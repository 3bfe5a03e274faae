"""What was changed, by whom, and the way back."""

from __future__ import annotations

from datetime import datetime, time

import streamlit as st

from pages import frame
from pages.sections.records.record_words import (
    LABELS,
    cell_words,
    column_label,
    errors_in_words,
    in_words,
)
from pages.sections.review.words import plain
from tracker.say import numbers
from tracker.store.change_log import LoggedChange
from tracker.store.logged_rows import RowChange
from tracker.workshop.contract import TABLE_BY_NAME

_NEWEST = 40
_OF_A_DAY = 500


def show(workshop: frame.Workshop) -> None:
    """Today's changes, then the newest before; each can be taken back as a whole."""
    st.subheader("What was changed today", anchor=False)
    show_today(workshop)
    st.subheader("Before today", anchor=False)
    today = _morning()
    earlier = [change for change in workshop.store.changes(_NEWEST) if change.when < today]
    if not earlier:
        st.caption("The newest changes are all of today.")
    for change in earlier:
        _line(workshop, change)


def show_today(workshop: frame.Workshop) -> None:
    """Every change of this day, the newest first, each with its way back."""
    changes = workshop.store.changes(_OF_A_DAY, since=_morning())
    if not changes:
        st.caption("Nothing was changed today.")
    for change in changes:
        _line(workshop, change)


def _morning() -> datetime:
    return datetime.combine(frame.today(), time())


def _line(workshop: frame.Workshop, change: LoggedChange) -> None:
    text, button = st.columns([4, 1], vertical_alignment="center")
    by = f" by {plain(change.who)}" if change.who else ""
    taken_back = "" if change.in_effect else " – taken back"
    text.markdown(
        f"**{plain(in_words(change.what))}**{taken_back}  \n"
        f"Change {change.batch}, {numbers.day(change.when.date())} {change.when:%H:%M}{by}, "
        f"{numbers.count(change.row_count, 'record')}"
    )
    if change.in_effect and button.button("Undo", key=f"undo-{change.batch}", width="stretch"):
        with errors_in_words(workshop):
            done = workshop.store.undo(change.batch, who=frame.who(), now=frame.now())
            frame.recorded(f"Taken back: {in_words(change.what)}.", done.batch)
    if change.rows:
        with text.expander("Before and after"):
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
    did = "" if row.before and row.after else (" – taken out" if row.before else " – new")
    return f"{LABELS[row.table]}, record {row.row_id}, {name}{did}. {'; '.join(cells)}"
