"""The contract's names in the words of the screen: columns, tables, kinds, tasks, days."""

from __future__ import annotations

import math
import re
from datetime import date
from functools import cache

import pandas as pd

from tracker.intake.headers.column_labels import COLUMN_LABELS
from tracker.intake.headers.sheet_tables import SHEET_TABLES
from tracker.language import LANGUAGES, N_, _, exact, speaking
from tracker.language.days import month_name
from tracker.say import numbers
from tracker.say.phrases import quoted
from tracker.workshop import vocabulary as words
from tracker.workshop.contract import TABLE_BY_NAME, TABLES
from tracker.workshop.declarations import Column
from tracker.workshop.refusal import written

LABELS = {
    "fittings": N_("Parts fitted"),
    "maintenance": N_("Tasks done"),
    "printers": N_("Printers"),
    "nozzle_checks": N_("Nozzle checks"),
    "counters": N_("Counters"),
    "stoppages": N_("Stoppages"),
    "stock": N_("Shelf"),
    "orders": N_("Orders"),
    "parts": N_("Parts catalogue"),
    "closures": N_("Closed days"),
    "routines": N_("Routines"),
    "experiments": N_("Experiments"),
    "conditions": N_("Room and ink"),
    "actions": N_("To-dos of the reviews"),
    "review_notes": N_("Notes of the reviews"),
    "settings": N_("Settings"),
}

_WHY_LABELS = {"planned": N_("Planned"), "symptom": N_("Because of a symptom")}
_DID = (N_("Added to"), N_("Corrected in"), N_("Removed from"))  # how the log begins
_COLUMNS = {column.name for table in SHEET_TABLES for column in table.columns}
_CHOICES = {
    *(word for table in TABLES for column in table.columns for word in column.choices),
    *words.PART_KINDS,
    *words.TASKS,
    *words.REMOVAL_REASONS,
}
_ISO_DAY = re.compile(r"\b(\d{4})-(\d{2})-(\d{2})(?:[T ]00:00(?::00)?)?(?![-\d])")
_QUOTED = re.compile(r"(?<=[“«])[a-z][a-z0-9_]*(?=[”»])")  # how a refusal names one
_UNDERSCORED = re.compile(r"\b[a-z]+[0-9]*(?:_[a-z0-9]+)+\b")


def table_label(name: str) -> str:
    """The table in the words of the screen: ``nozzle_checks`` → ``Nozzle checks``."""
    return _(LABELS.get(name, name))


def column_label(name: str) -> str:
    """The column in the words of the screen: ``removed_on`` → ``Removed on``."""
    known = COLUMN_LABELS.get(name)
    return _(known) if known else name.replace("_", " ").capitalize()


def label(column: Column) -> str:
    """The column with its unit where the words do not say it."""
    text = column_label(column.name)
    said_already = column.unit in COLUMN_LABELS.get(column.name, "").split()
    return text if not column.unit or said_already else f"{text} ({words.said(column.unit)})"


def word_label(word: str, column: str = "") -> str:
    """A contract word as the screens say it."""
    if word in words.PART_KINDS and column in ("", "part_kind", "replaced_with"):
        return words.part_label(word)
    if word in words.TASKS:
        return words.task_label(word)
    if column == "why" and word in _WHY_LABELS:
        return _(_WHY_LABELS[word])
    if column in ("removal_reason", "") and word in words.REMOVAL_REASONS:
        return words.removal_reason_label(word)
    return words.said(word).replace("_", " ") or "–"


def cell_words(column: Column, text: str) -> str:
    """A cell as the log keeps it, for reading: a day as people say it, a kind by its label."""
    if not text:
        return _("nothing")
    if column.kind == "choice" or column.name == "replaced_with":
        return word_label(text, column.name)
    if column.is_time:
        return _days_in_words(text.replace("T", " "))
    number = exact(float(text)) if column.is_number and _is_number(text) else text
    return f"{number} {words.said(column.unit)}".strip()


def _is_number(text: str) -> bool:
    try:
        return math.isfinite(float(text))
    except ValueError:
        return False


def in_words(text: str, records: object = None, *, days: bool = True) -> str:
    """A sentence of the store for the screen: its columns, tables, words and days said plainly.

    ``records`` lets "row 7289" be said as the record's own printer and day. ``days=False`` keeps
    days as they are to be typed.
    """
    text = _places_in_words(text, records)
    did = {said: word for word in _DID for said in ever_said(word)}
    log = re.match(rf"({'|'.join(did)}) ([a-z_]+): ", text)
    if log and log[2] in TABLE_BY_NAME:
        text = f"{_(did[log[1]])} {quoted(_(LABELS[log[2]]))}: {text[log.end() :]}"
        text = re.sub(r" \(([a-z0-9_]+(?:, [a-z0-9_]+)*)\)$", _listed_columns, text)
        text = _rows_in_words(text, records, log[2])
    text = _QUOTED.sub(_labelled, text)
    text = _UNDERSCORED.sub(_plain, text)
    return _days_in_words(text) if days else text


def _places_in_words(text: str, records: object) -> str:
    """The text with the place of each refusal in it said as on screen; the first one's record is
    the one that is looked at.
    """
    row = "|".join(ever_said("row"))
    place = rf"(?:^|(?<=[.?:] ))([a-z_]+)(?:,? (?:{row}) (\d+))?(?:, ([a-z0-9_]+))?: "
    table, done, end = "", "", 0
    for found in re.finditer(place, text):
        if found[1] not in TABLE_BY_NAME:
            continue
        done += _rows_in_words(text[end : found.start()], records, table)
        table, end = found[1], found.end()
        which = f", {_record(records, table, int(found[2]))}" if found[2] and done else ""
        column = f", {quoted(column_label(found[3]))}" if found[3] else ""
        done += f"{_(LABELS[table])}{which}{column}: "
    return done + _rows_in_words(text[end:], records, table)


def _rows_in_words(text: str, records: object, table: str) -> str:
    if not table:
        return text
    row = "|".join(ever_said("row"))
    return re.sub(rf"\b(?:{row}) (\d+)", lambda m: _record(records, table, int(m[1])), text)


def noticed(notice: str) -> tuple[str, str, int | None]:
    """A notice of ``checks`` for the screen, the table of the records that it names, the first of
    them: ("" and None where it names none).

    >>> noticed("fittings rows 23, 38: came out without a removal_reason.")
    ('Parts fitted, No. 23, 38: came out without a “Why it came out”.', 'fittings', 23)
    """
    row, rows = ("|".join(ever_said(word)) for word in ("row", "rows"))
    named = re.match(rf"([a-z_]+),? (?:{rows}|{row}) ((\d+)(?:, \d+)*)", notice)
    if named is None or named[1] not in TABLE_BY_NAME:
        return in_words(notice), "", None
    said = f"{_(LABELS[named[1]])}, {_('No.')} {named[2]}{notice[named.end() :]}"
    return in_words(said), named[1], int(named[3])


@cache
def ever_said(text: str) -> tuple[str, ...]:
    """A text in every language: what the log keeps was said in the one of its day."""
    said = []
    for language in LANGUAGES:
        with speaking(language):
            said.append(_(text))
    return tuple(said)


def _listed_columns(match: re.Match[str]) -> str:
    names = match[1].split(", ")
    if not set(names) <= _COLUMNS:
        return match[0]
    return f" ({', '.join(column_label(name).lower() for name in names)})"


def _labelled(match: re.Match[str]) -> str:
    word = match[0]
    return column_label(word) if word in _COLUMNS else table_label(word)


def _plain(match: re.Match[str]) -> str:
    word = match[0]
    if word in _COLUMNS:
        return quoted(column_label(word))
    if word in LABELS:
        return quoted(_(LABELS[word]))
    return word_label(word) if word in _CHOICES else word


def _record(records: object, table: str, row_id: int) -> str:
    """The record by what tells it from others: ``the record of Ada, 2026-03-01``."""
    frame_ = records.table(table) if hasattr(records, "table") else pd.DataFrame()
    if row_id not in frame_.index:
        return _("record {number}", number=row_id)
    key = [written(frame_.loc[row_id, name]) for name in TABLE_BY_NAME[table].key]
    return _("the record of {key}", key=", ".join(cell for cell in key if cell))


def days_as_kept(looked_for: str) -> str:
    """What is looked for, with days typed as screens say them written as records hold them.

    >>> days_as_kept("wiper 31 Oct"), days_as_kept("Oct 3, 2026")
    ('wiper -10-31', '2026-10-03')
    """
    for month in range(1, 13):
        first = date(2001, month, 1)
        names = {month_name(first, year=False, short=short).rstrip(".") for short in (True, False)}
        name = "|".join(sorted(map(re.escape, names), key=len, reverse=True))
        of = "(?: de)?"
        for day_of in (
            rf"\b(?P<day>\d{{1,2}})\.?{of} (?:{name})\.?(?:{of},? (?P<year>\d{{4}}))?(?!\w)",
            rf"\b(?:{name})\.? (?P<day>\d{{1,2}})(?:,? (?P<year>\d{{4}}))?(?!\w)",
        ):
            looked_for = re.sub(
                day_of,
                lambda said, month=month: (  # type: ignore[misc]
                    f"{said['year'] or ''}-{month:02d}-{int(said['day']):02d}"
                ),
                looked_for,
                flags=re.IGNORECASE,
            )
    return looked_for


def _days_in_words(text: str) -> str:
    def said(match: re.Match[str]) -> str:
        try:
            return numbers.day(date(int(match[1]), int(match[2]), int(match[3])))
        except ValueError:
            return match[0]

    return _ISO_DAY.sub(said, text)
