"""Look through the records, correct one, take one out."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd
import streamlit as st

from pages import frame
from pages.sections.records.record_fields import edit_row
from pages.sections.records.record_words import LABELS, errors_in_words, in_words, label, word_label
from tracker.errors import RecordError
from tracker.intake.cells.settings import setting_label
from tracker.say import numbers
from tracker.workshop.contract import TABLE_BY_NAME
from tracker.workshop.declarations import Column, Table
from tracker.workshop.refusal import written

_ROWS_SHOWN = 500


def show(workshop: frame.Workshop) -> None:
    """A table to look through; a tap on a row opens it for correction."""
    name = st.selectbox(
        "Which records?", list(LABELS), format_func=LABELS.__getitem__, key="browse-table"
    )
    table = TABLE_BY_NAME[name or "fittings"]
    st.caption(table.means)
    looked_for = st.text_input("Find", key="browse-find", placeholder="printer, part, note …")
    rows = _found(workshop.records.table(table.name), table, looked_for)
    if rows.empty:
        st.info(
            "No such record." if looked_for else "None written down yet.",
            icon=":material/arrow_forward:",
        )
    else:
        total = f"{numbers.count(len(rows), 'record')}; tap one to correct it."
        if len(rows) > _ROWS_SHOWN:
            total += f" The newest {_ROWS_SHOWN} are shown; type above to find others."
        st.caption(total)
        shown = rows.head(_ROWS_SHOWN)
        picked = st.dataframe(
            _for_screen(shown, table), hide_index=True, width="stretch",
            on_select="rerun", selection_mode="single-cell", key=f"browse-rows-{table.name}",
            column_config={c.name: st.column_config.Column(label(c)) for c in table.columns},
        )  # fmt: skip
        # A tap on any cell chooses its row; a box at the row's left would be too small for gloves.
        chosen = [at for at, _ in picked["selection"]["cells"]] if picked else []
        if chosen and chosen[0] < len(shown):
            _correct(workshop, table, shown.iloc[chosen[0]])
    with st.expander("Write a new record by hand"):
        _add(workshop, table)


def _found(frame_: pd.DataFrame, table: Table, looked_for: str) -> pd.DataFrame:
    rows = frame_.sort_index(ascending=False)
    if table.happened_on:
        rows = rows.sort_values(table.happened_on, ascending=False, kind="stable")
    for word in looked_for.lower().split():
        texts = rows.astype(str).agg(" ".join, axis=1).str.lower()
        rows = rows[texts.str.contains(word, regex=False)]
    return rows


def _for_screen(rows: pd.DataFrame, table: Table) -> pd.DataFrame:
    shown = rows.copy()
    for column in table.columns:
        if column.kind == "day":
            shown[column.name] = rows[column.name].dt.strftime("%Y-%m-%d").fillna("")
        elif column.kind == "moment":
            shown[column.name] = rows[column.name].dt.strftime("%Y-%m-%d %H:%M").fillna("")
        elif column.kind == "choice":
            labels = {
                word: word_label(word, column.name) if word else ""
                for word in rows[column.name].unique()
            }
            shown[column.name] = rows[column.name].map(labels)
        elif column.kind != "text" and rows[column.name].isna().any():
            # A number that is missing would be shown as "None".
            shown[column.name] = rows[column.name].map(written)
        elif column.name == "replaced_with":
            shown[column.name] = rows[column.name].map(
                lambda kind: word_label(kind) if kind else ""
            )
    if table.name == "settings":
        shown["name"] = rows["name"].map(setting_label)
    empty = [
        c.name
        for c in table.columns
        if not c.required and (shown[c.name].eq("") | shown[c.name].isna()).all()
    ]
    return shown.drop(columns=empty)


def _correct(workshop: frame.Workshop, table: Table, row: pd.Series) -> None:
    row_id = int(str(row.name))
    st.subheader("Correct this record", anchor=False)
    with errors_in_words(workshop):
        values = edit_row(table, row.to_dict(), f"edit-{table.name}-{row_id}")
        save, remove = st.columns(2)
        if save.button("Save correction", type="primary", width="stretch", key=f"save-{row_id}"):
            changed = _different(table, row.to_dict(), values)
            if not changed:
                raise RecordError("Nothing was different, so nothing was changed.")
            done = workshop.store.correct(
                table.name, row_id, changed, who=frame.who(), now=frame.now()
            )
            frame.recorded(in_words(done.what) + ".", done.batch)
        if remove.button("Remove this record", width="stretch", key=f"remove-{row_id}"):
            done = workshop.store.remove(table.name, row_id, who=frame.who(), now=frame.now())
            frame.recorded(in_words(done.what) + ".", done.batch)


def _different(
    table: Table, before: Mapping[str, object], typed: Mapping[str, object]
) -> dict[str, object]:
    """The fields that say something else than the record does."""
    was, is_now = (
        {column.name: _comparable(column, row.get(column.name)) for column in table.columns}
        for row in (before, typed)
    )
    return {name: typed[name] for name in typed if was[name] != is_now[name]}


def _comparable(column: Column, value: object) -> str:
    if column.kind in ("day", "moment") and value is not None:
        return written(pd.Timestamp(str(value)))
    return written(value)


def _add(workshop: frame.Workshop, table: Table) -> None:
    with errors_in_words(workshop):
        values = edit_row(table, {}, f"new-{table.name}")
        if st.button("Add this record", width="stretch", key=f"add-{table.name}"):
            done = workshop.store.add(table.name, values, who=frame.who(), now=frame.now())
            frame.recorded(in_words(done.what) + ".", done.batch)
