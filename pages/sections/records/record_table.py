"""Records of one table as a table on screen: each under its number, words as they are read."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from pages.sections.data_table import data_table
from pages.shell.words import day_in_tables
from tracker.intake.cells.settings import setting_label
from tracker.language import N_, _
from tracker.say.entering.record_words import label, word_label
from tracker.workshop.declarations import Column, Table
from tracker.workshop.vocabulary import PART_KINDS, said

_NUMBER = N_("No.")
# Columns of free text whose words may be ours: those are said in the language in use.
_MAY_BE_OURS = ("head_type", "variant", "failure_mode", "cause", "note")


def record_table(rows: pd.DataFrame, table: Table, **how: Any) -> Any:
    """Draw these records; ``how`` and what comes back are those of ``data_table``."""
    return data_table(_for_screen(rows, table), column_config=_columns(table), **how)


def _columns(table: Table) -> dict[str, Any]:
    return {column.name: _column(column) for column in table.columns}


def _column(column: Column) -> Any:
    """A column under its name; a place wide enough for those called after their part."""
    width = None  # pixels; left to the table a phone cuts the last figures off
    if column.name == "position":  # “Waste tank”, “Depósito de residuos”
        width = 140
    elif column.is_number:
        width = 110
    if column.kind == "day":
        return st.column_config.DateColumn(label(column), format=day_in_tables())
    if column.kind == "moment":
        return st.column_config.DatetimeColumn(label(column), format=f"{day_in_tables()} HH:mm")
    return st.column_config.Column(label(column), width=width)


def _for_screen(rows: pd.DataFrame, table: Table) -> pd.DataFrame:
    shown = rows.copy()
    for column in table.columns:
        if column.kind == "choice":
            labels = {
                word: word_label(word, column.name) if word else ""
                for word in rows[column.name].unique()
            }
            shown[column.name] = rows[column.name].map(labels)
        elif column.name == "replaced_with":
            shown[column.name] = rows[column.name].map(
                lambda kind: word_label(kind) if kind else ""
            )
        elif column.name == "position":
            shown[column.name] = rows[column.name].map(_place_words)
        elif column.name in _MAY_BE_OURS:
            shown[column.name] = rows[column.name].map(said)
    if table.name == "settings":
        shown["name"] = rows["name"].map(setting_label)
    empty = [
        c.name
        for c in table.columns
        if not c.required and (shown[c.name].eq("") | shown[c.name].isna()).all()
    ]
    shown = shown.drop(columns=empty)
    shown.insert(0, _(_NUMBER), rows.index)
    return shown


def _place_words(position: str) -> str:
    """A position for reading: one called after its kind by the kind's name."""
    return word_label(position) if position in PART_KINDS else position
