"""What files leave open, answered on the screen: columns, days, names, one value for all rows."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

import pandas as pd
import streamlit as st

from pages import frame
from pages.forms.ages import ask_ages
from pages.sections.records.record_words import LABELS, column_label, word_label
from tracker.intake.ages import ages_to_ask, with_guessed_ages
from tracker.intake.layout.asking import role_words
from tracker.intake.pieces import LEAVE_OUT, Piece
from tracker.intake.questions import LAYOUT, ROLES, Question
from tracker.say import numbers
from tracker.workshop.records import Records

_FEW = 4
_COLUMN = "load-column|"  # before a role's key, among the keys of the screen
_CHANGED = "load-columns-changed"  # what a person said of columns, by the role's key


def ask(questions: Iterable[Question], shown: set[str]) -> dict[str, str]:
    """The answers to questions not shown before; their keys are added to ``shown``."""
    answers = {}
    for question in questions:
        if question.key in shown:
            continue
        shown.add(question.key)
        about = column_label(question.column) if question.column else "The file"
        st.markdown(f"**{question.source}** – {about}: {question.what}")
        for example in question.examples:
            st.caption(example)
        pick = st.segmented_control if len(question.choices) <= _FEW else st.selectbox
        more = {} if len(question.choices) <= _FEW else {"index": None, "placeholder": "Choose one"}
        answer = pick(
            "Answer", list(question.choices), key=f"load-{question.key}",
            label_visibility="collapsed",
            format_func=lambda choice, asked=question: _in_words(choice, asked), **more,
        )  # type: ignore[operator] # fmt: skip
        if answer:
            answers[question.key] = str(answer)
    return answers


def _in_words(choice: str, question: Question) -> str:
    if question.topic == ROLES:
        return role_words(choice)
    if question.topic == LAYOUT:
        return LABELS.get(choice, choice)
    return word_label(choice, question.column) if question.column not in ("", "printer") else choice


def columns(piece: Piece) -> None:
    """Whose column is it: what was taken can be changed, and counts from the next run on."""
    if not piece.roles:
        return
    with st.expander("What each column holds"):
        for role in piece.roles:
            choices = list(dict.fromkeys([role.role or LEAVE_OUT, LEAVE_OUT, *role.choices]))
            st.selectbox(
                f"“{role.header}” is", choices, key=f"{_COLUMN}{role.key}",
                format_func=role_words, help=f"It {role.reason}.",
                on_change=_changed, args=(role.key,),
            )  # fmt: skip


def _changed(key: str) -> None:
    said = st.session_state.setdefault(_CHANGED, {})
    said[key] = st.session_state[f"{_COLUMN}{key}"]


def given_columns() -> dict[str, str]:
    """What a person said that columns are, other than what they were taken for."""
    return dict(st.session_state.get(_CHANGED, {}))


def with_ages(workshop: frame.Workshop, records: Records) -> Records:
    """The records with the ages guessed of parts that were in before the log began."""
    printers = pd.concat([workshop.records.printers, records.printers])
    parts = ages_to_ask(records.with_table("printers", printers))
    if not parts:
        return records
    said = ask_ages(parts, "load")
    guessed = with_guessed_ages(records.with_table("printers", printers), said)
    return records.with_table("fittings", guessed.fittings)


def earlier_first_days(workshop: frame.Workshop, records: Records) -> dict[int, date]:
    """New first days, by the printer's record, where the files have older parts and it is agreed.

    A printer that was written down before its history is loaded often has the wrong first day.
    """
    fitted = records.fittings[["printer", "fitted_on"]].dropna()
    if fitted.empty:
        return {}
    oldest = fitted.groupby("printer")["fitted_on"].min()
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
