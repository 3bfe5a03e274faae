"""The contract's names in the words of the screen: columns, tables, kinds, tasks, days."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date

import pandas as pd
import streamlit as st

from pages import frame
from tracker.errors import TrackerError
from tracker.say import numbers
from tracker.workshop import vocabulary as words
from tracker.workshop.contract import TABLE_BY_NAME, TABLES
from tracker.workshop.declarations import Column
from tracker.workshop.refusal import written

LABELS = {
    "fittings": "Parts fitted",
    "maintenance": "Tasks done",
    "printers": "Printers",
    "nozzle_checks": "Nozzle checks",
    "counters": "Counters",
    "stoppages": "Stoppages",
    "stock": "Shelf",
    "orders": "Orders",
    "parts": "Parts catalogue",
    "closures": "Closed days",
    "routines": "Routines",
    "experiments": "Experiments",
    "conditions": "Room and ink",
    "actions": "Actions of the reviews",
    "review_notes": "Notes of the reviews",
    "settings": "Settings",
}

# Columns whose name alone does not say what to write.
_COLUMN_LABELS = {
    "part_kind": "Part",
    "started_on": "First day",
    "retired_on": "Last day",
    "head_type": "Type of printhead",
    "fitted_counter_m2": "Counter when fitted",
    "removed_counter_m2": "Counter when removed",
    "removal_reason": "Why it came out",
    "failure_mode": "How it failed",
    "last_ok_on": "Last seen good on",
    "unit_cost": "Price of one piece",
    "pack_size": "Pieces in a pack",
    "lead_days": "Usual delivery",
    "lead_days_late": "Nine in ten delivered within",
    "shelf_life_days": "Keeps on the shelf",
    "warranty_days": "Warranty",
    "typical_life_days": "Typical life",
    "belief_failures": "Failures your belief counts as",
    "hours_to_change": "Work to change it",
    "replaced_with": "Changed along with",
    "why": "Planned or symptom",
    "fluid_ml": "Fluid used",
    "minutes": "Time it took",
    "area_m2": "Counter reading",
    "every_days": "Every so many days",
    "every_m2": "Every so many m²",
    "humidity_percent": "Humidity",
    "white_share_percent": "Share of white",
    "made_from": "Proposed from",
}
_WHY_LABELS = {"planned": "Planned", "symptom": "Because of a symptom"}
_COLUMNS = {column.name for table in TABLES for column in table.columns}
_ISO_DAY = re.compile(r"\b(\d{4})-(\d{2})-(\d{2})(?:[T ]00:00(?::00)?)?(?![-\d])")
_UNDERSCORED = re.compile(r"\b[a-z]+[0-9]*(?:_[a-z0-9]+)+\b")


def column_label(name: str) -> str:
    """The column in the words of the screen: ``removed_on`` → ``Removed on``."""
    plain = name.removesuffix("_m2").removesuffix("_ml").replace("_", " ").capitalize()
    return _COLUMN_LABELS.get(name, plain)


def label(column: Column) -> str:
    """The column with its unit where the words do not say it."""
    text = column_label(column.name)
    return text if not column.unit or column.unit in text.split() else f"{text} ({column.unit})"


def word_label(word: str, column: str = "") -> str:
    """A contract word as the screens say it."""
    if word in words.PART_KINDS and column in ("", "part_kind", "replaced_with"):
        return words.part_label(word)
    if word in words.TASKS:
        return words.task_label(word)
    if column == "why" and word in _WHY_LABELS:
        return _WHY_LABELS[word]
    if column in ("removal_reason", "") and word in words.REMOVAL_REASONS:
        return words.removal_reason_label(word)
    return words.said(word).replace("_", " ") or "–"


def cell_words(column: Column, text: str) -> str:
    """A cell as the log keeps it, for reading: a day as people say it, a kind by its label."""
    if not text:
        return "nothing"
    if column.kind == "choice" or column.name == "replaced_with":
        return word_label(text, column.name)
    if column.kind in ("day", "moment"):
        return _days_in_words(text.replace("T", " "))
    return f"{text} {column.unit}".strip()


def in_words(text: str, records: object = None) -> str:
    """A sentence of the store for the screen: its columns, tables, words and days said plainly.

    ``records`` lets "row 7289" be said as the record's own printer and day.
    """
    table = ""
    begins = re.match(r"([a-z_]+)(?: row (\d+))?(?:, ([a-z0-9_]+))?: ", text)
    if begins and begins[1] in TABLE_BY_NAME:
        table = begins[1]
        column = f", “{column_label(begins[3])}”" if begins[3] else ""
        text = f"{LABELS[table]}{column}: {text[begins.end() :]}"
    log = re.match(r"(Added to|Corrected in|Removed from) ([a-z_]+): ", text)
    if log and log[2] in TABLE_BY_NAME:
        table = log[2]
        text = f"{log[1]} “{LABELS[table]}”: {text[log.end() :]}"
        text = re.sub(r" \(([a-z0-9_]+(?:, [a-z0-9_]+)*)\)$", _listed_columns, text)
    if table:
        text = re.sub(r"\brow (\d+)", lambda m: _record(records, table, int(m[1])), text)
    return _days_in_words(_UNDERSCORED.sub(_plain, text))


def _listed_columns(match: re.Match[str]) -> str:
    names = match[1].split(", ")
    if not set(names) <= _COLUMNS:
        return match[0]
    return f" ({', '.join(column_label(name).lower() for name in names)})"


def _plain(match: re.Match[str]) -> str:
    word = match[0]
    if word in _COLUMNS:
        return f"“{column_label(word)}”"
    if word in LABELS:
        return f"“{LABELS[word]}”"
    return word_label(word)


def _record(records: object, table: str, row_id: int) -> str:
    """The record by what tells it from others: ``the record of Ada, 2026-03-01``."""
    frame_ = records.table(table) if hasattr(records, "table") else pd.DataFrame()
    if row_id not in frame_.index:
        return f"record {row_id}"
    key = [written(frame_.loc[row_id, name]) for name in TABLE_BY_NAME[table].key]
    return f"the record of {', '.join(cell for cell in key if cell)}"


def _days_in_words(text: str) -> str:
    def said(match: re.Match[str]) -> str:
        try:
            return numbers.day(date(int(match[1]), int(match[2]), int(match[3])))
        except ValueError:
            return match[0]

    return _ISO_DAY.sub(said, text)


@contextmanager
def errors_in_words(workshop: frame.Workshop) -> Iterator[None]:
    """Shows a refusal as a sentence in the words of the screen."""
    try:
        yield
    except TrackerError as problem:
        st.error(in_words(str(problem), workshop.records), icon=":material/front_hand:")
