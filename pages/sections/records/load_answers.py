"""What a file leaves open, answered on the screen: days, numbers, one value for all rows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

import pandas as pd
import streamlit as st

from pages import frame
from pages.forms.ages import ask_ages
from pages.sections.records.record_words import column_label, word_label
from tracker.intake.ages import ages_to_ask, with_guessed_ages
from tracker.intake.questions import COLUMNS, DATES, NUMBERS, Question
from tracker.intake.sheet import SheetReading
from tracker.say import numbers
from tracker.workshop.contract import TABLE_BY_NAME
from tracker.workshop.declarations import Column
from tracker.workshop.records import Records
from tracker.workshop.refusal import nearest_word

_FEW = 4


def ask(reading: SheetReading, key: str) -> dict[str, str]:
    """The answers given so far; one answer serves all columns that leave the same open."""
    answers = {}
    alike: dict[tuple[str, tuple[str, ...]], list[Question]] = {}
    for question in reading.questions:
        if question.topic == COLUMNS:
            continue
        own = question.topic if question.topic in (DATES, NUMBERS) else question.key
        alike.setdefault((own, question.choices), []).append(question)
    for group in alike.values():
        first = group[0]
        columns = ", ".join(column_label(q.column) for q in group if q.column)
        st.markdown(f"**{columns or 'The file'}** – {first.what}")
        for question in group:
            for example in question.examples[: 1 if len(group) > 1 else None]:
                st.caption(example)
        answer = st.segmented_control(
            "Answer", list(first.choices), key=f"{key}-{first.key}", label_visibility="collapsed"
        )
        if answer:
            answers.update({question.key: answer for question in group})
    return answers


def for_all_rows(
    workshop: frame.Workshop, table: str, mapping: Mapping[str, str], key: str
) -> dict[str, str]:
    """One value for all rows of a column that every row needs and the file does not have."""
    constants = {}
    for column, choices in _lacking(workshop, table, mapping):
        st.markdown(
            f"**{column_label(column.name)}** – the file has no column for it "
            f"({column.means}). Which is it, for all rows?"
        )
        pick = st.segmented_control if len(choices) <= _FEW else st.selectbox
        more = {} if len(choices) <= _FEW else {"index": None, "placeholder": "Choose one"}
        answer = pick(
            "For all rows", choices, label_visibility="collapsed", key=f"{key}-all-{column.name}",
            format_func=lambda word, name=column.name: word_label(word, name)
            if name != "printer" else word, **more,
        )  # type: ignore[operator] # fmt: skip
        if answer:
            constants[column.name] = str(answer)
    return constants


def open_columns(
    workshop: frame.Workshop, table: str, mapping: Mapping[str, str], constants: Mapping[str, str]
) -> frozenset[str]:
    """The columns that ``for_all_rows`` asks about and nobody has answered yet."""
    lacking = {column.name for column, _ in _lacking(workshop, table, mapping)}
    return frozenset(lacking - set(constants))


def _lacking(
    workshop: frame.Workshop, table: str, mapping: Mapping[str, str]
) -> list[tuple[Column, list[str]]]:
    """Required columns no header holds, with what may stand in all their rows."""
    found = []
    for column in TABLE_BY_NAME[table].columns:
        if not column.required or column.name in mapping.values():
            continue
        if column.name == "printer" and table != "printers":
            choices = sorted(set(workshop.records.printers["printer"]))
        else:
            choices = list(column.choices)
        if choices:
            found.append((column, choices))
    return found


def with_ages(workshop: frame.Workshop, readings: Sequence[SheetReading]) -> list[SheetReading]:
    """The files with the ages guessed of parts that were in before the log began."""
    named = [r.frame for r in readings if r.table == "printers" and r.frame is not None]
    printers = pd.concat([workshop.records.printers, *named])
    answered = []
    for reading in readings:
        if reading.table == "fittings" and reading.frame is not None:
            read = Records.of({"printers": printers, "fittings": reading.frame})
            if parts := ages_to_ask(read):
                said = ask_ages(parts, f"load-{reading.source}")
                reading = replace(reading, frame=with_guessed_ages(read, said).fittings)
        answered.append(reading)
    return answered


def printers_to_add(workshop: frame.Workshop, readings: Sequence[SheetReading]) -> pd.DataFrame:
    """The printers that the files name and nobody wrote down, as far as they are to be added."""
    known = set(workshop.records.printers["printer"])
    first_days: dict[str, list[pd.Timestamp]] = {}
    for reading in readings:
        if reading.frame is None or "printer" not in reading.frame:
            continue
        if reading.table == "printers":
            known |= set(reading.frame["printer"])
        happened = TABLE_BY_NAME[reading.table].happened_on
        for printer, rows in reading.frame.groupby("printer"):
            days = rows[happened].dropna() if happened else pd.Series(dtype="datetime64[ns]")
            first_days.setdefault(str(printer), []).extend([days.min()] if len(days) else [])
    added = []
    for printer in sorted(set(first_days) - known - {""}):
        days = first_days[printer]
        day = pd.Timestamp(min(days) if days else workshop.as_of).normalize()
        likeness = nearest_word(printer, sorted(known))
        hint = f" Or did you mean {likeness}? Then correct it in the file." if likeness else ""
        st.markdown(f"**{printer}** – the files name this printer, your records do not.{hint}")
        if st.checkbox(
            f"Add {printer} as a printer, first day {numbers.day(day.date())}",
            key=f"load-add-{printer}",
        ):
            added.append({"printer": printer, "started_on": day})
    return pd.DataFrame(added, columns=["printer", "started_on"])


def earlier_first_days(
    workshop: frame.Workshop, readings: Sequence[SheetReading]
) -> dict[int, date]:
    """New first days, by the printer's record, where the files have older parts and it is agreed.

    A printer that was written down before its history is loaded often has the wrong first day.
    """
    fitted = [
        reading.frame[["printer", "fitted_on"]].dropna()
        for reading in readings
        if reading.table == "fittings" and reading.frame is not None
    ]
    if not fitted:
        return {}
    oldest = pd.concat(fitted).groupby("printer")["fitted_on"].min()
    agreed = {}
    for row_id, row in workshop.records.printers.iterrows():
        day = oldest.get(row["printer"])
        if day is None or not day < row["started_on"]:
            continue
        if st.checkbox(
            f"Set the first day of {row['printer']} to {numbers.day(day.date())}: the file has "
            f"parts so old, your records say {numbers.day(row['started_on'].date())}",
            key=f"load-first-day-{row_id}",
        ):
            agreed[int(str(row_id))] = day.date()
    return agreed
