"""Entry fields made from the contract's columns, one per kind of column."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, time

import pandas as pd
import streamlit as st

from pages.forms.fields import number_in
from pages.shell.words import day_format
from tracker.language import _
from tracker.say.entering.record_words import label, word_label
from tracker.workshop.declarations import Column, Table
from tracker.workshop.refusal import written


def edit_row(table: Table, row: Mapping[str, object], key: str) -> dict[str, object]:
    """Fields for every column of a row; returns what they hold now.

    Numbers are typed as text, so that nothing a person typed is altered before it is checked.
    """
    values: dict[str, object] = {}
    # Pair by pair: two long columns would stand one under the other on a phone.
    for first in range(0, len(table.columns), 2):
        for place, column in zip(st.columns(2), table.columns[first : first + 2], strict=False):
            with place:
                values[column.name] = _field(column, row.get(column.name), f"{key}-{column.name}")
    return values


def _field(column: Column, value: object, key: str) -> object:
    missing = value is None or (not isinstance(value, str) and bool(pd.isna(value)))  # type: ignore[call-overload]
    name = label(column) + (" *" if column.required else "")
    if column.kind == "choice":
        options = ["", *dict.fromkeys((*column.choices, *([str(value)] if value else [])))]
        chosen = st.selectbox(
            name, options, index=options.index(str(value or "")),
            format_func=lambda word: word_label(word, column.name),
            accept_new_options=column.open_choices, help=column.means, key=key,
        )  # fmt: skip
        return chosen or ""
    if column.kind == "day":
        start = None if missing else pd.Timestamp(str(value)).date()
        return st.date_input(
            name, value=start, format=day_format(), help=column.means, key=key,
            min_value=date(1990, 1, 1), max_value=date(2100, 12, 31),
        )  # fmt: skip
    if column.kind == "moment":
        moment = None if missing else pd.Timestamp(str(value))
        day = st.date_input(
            _("{label}: day", label=name),
            value=None if moment is None else moment.date(), format=day_format(), key=key,
        )  # fmt: skip
        hour = st.time_input(
            _("{label}: time", label=name),
            value=time(8) if moment is None else moment.time(),
            key=f"{key}-time",
        )
        return datetime.combine(day, hour or time(8)) if isinstance(day, date) else None
    typed = st.text_input(name, value=written(value), help=column.means, key=key)
    if column.kind == "text":
        return typed.strip()
    if not missing and typed == written(value):  # nobody typed it, so nobody is asked about it
        return value
    return number_in(typed, column, label(column))
