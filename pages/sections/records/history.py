"""What was changed, by whom, and the way back."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.sections.records.record_words import (
    LABELS,
    cell_words,
    column_label,
    errors_in_words,
    in_words,
)
from tracker.say import numbers
from tracker.store.logged_rows import RowChange
from tracker.workshop.contract import TABLE_BY_NAME


def show(workshop: frame.Workshop) -> None:
    """The newest changes first; each can be taken back as a whole."""
    changes = workshop.store.changes(40)
    if not changes:
        st.info("Nothing was changed yet.", icon=":material/arrow_forward:")
    for change in changes:
        text, button = st.columns([4, 1], vertical_alignment="center")
        by = f" by {change.who}" if change.who else ""
        taken_back = "" if change.in_effect else " – taken back"
        text.markdown(
            f"**{in_words(change.what)}**{taken_back}  \n{change.when:%d %b %Y %H:%M}{by}, "
            f"{numbers.count(change.row_count, 'record')}"
        )
        if change.in_effect and button.button(
            "Take back", key=f"undo-{change.batch}", width="stretch"
        ):
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
    return f"{LABELS[row.table]}, {name}{did}. {'; '.join(cells)}"
