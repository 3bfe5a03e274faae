"""What the files leave open, put with the person's own rows, one tap each."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from pages import frame
from pages.sections.records.load.reading import Reader
from pages.sections.records.record_words import LABELS, in_words, word_label
from tracker.intake.layout.asking import role_words
from tracker.intake.names import NEW
from tracker.intake.pieces import CALENDAR, LEAVE_OUT, WIDE, Intake
from tracker.intake.questions import LAYOUT, ROLES, Question
from tracker.intake.talk import ONE_BY_ONE, YES
from tracker.say.phrases import first_up

_FEW = 6  # choices shown as taps; the others behind one more tap
_OTHER = "Something else …"
_LAYOUTS = {
    CALENDAR: "A calendar: days and marks",
    WIDE: "One row per printer, days in its cells",
    LEAVE_OUT: "Nothing to load",
}
_PLAIN = {YES: "Yes, all of them", ONE_BY_ONE: "No, ask one by one"}
_MONTH = re.compile(r"(\d{4})-(\d{2})")


def settle(
    place: DeltaGenerator, reader: Reader, said: Mapping[str, str], *, several: bool
) -> tuple[Intake, dict[str, str]]:
    """The reading with all answers given so far; what is open yet stands in ``place``.

    ``several`` files: each question says which one it is about.
    """
    answers = dict(said)
    shown: set[str] = set()
    while True:
        intake = reader.read(answers)
        fresh = {}
        for question in intake.questions:
            if question.key not in shown:
                shown.add(question.key)
                with place:
                    if answer := _ask(question, several=several):
                        fresh[question.key] = answer
        if not fresh:
            return intake, answers
        answers |= fresh


def _ask(question: Question, *, several: bool) -> str:
    text = first_up(in_words(question.what))
    where = f"{question.source}: " if several else ""
    st.markdown(f"**{frame.words(where + text)}**")
    for example in question.examples:
        st.caption(frame.words(in_words(example)))
    key = f"load-{question.key}"
    choices = list(dict.fromkeys([*filter(None, [question.suggested]), *question.choices]))
    said = st.session_state.get(key)
    if said not in (None, _OTHER, *choices):  # answered for another file of that name
        del st.session_state[key]
    near = choices if len(choices) <= _FEW else [*choices[: _FEW - 1], _OTHER]
    if said in choices and said not in near:
        near.insert(-1, said)
    answer = st.pills(
        text, near, key=key, label_visibility="collapsed",
        format_func=lambda choice: _choice(choice, question),
    )  # fmt: skip
    if answer == _OTHER:
        answer = st.selectbox(
            "Which?", [choice for choice in choices if choice not in near], index=None,
            placeholder="Choose one", key=f"{key}-more", label_visibility="collapsed",
            format_func=lambda choice: _choice(choice, question),
        )  # fmt: skip
    return str(answer or "")


def _choice(choice: str, question: Question) -> str:
    if choice == _OTHER:
        return choice
    likely = " (likely)" if choice == question.suggested and len(question.choices) > 1 else ""
    if choice in _PLAIN:
        return _PLAIN[choice]
    return _in_words(choice, question) + likely


def _in_words(choice: str, question: Question) -> str:
    if question.topic == ROLES:
        return first_up(role_words(choice))
    if question.topic == LAYOUT:
        if month := _MONTH.fullmatch(choice):
            return f"{date(int(month[1]), int(month[2]), 1):%B %Y}"
        return layout_label(choice)
    if question.column == "printer":
        if choice == NEW:
            return "A new printer" if len(question.choices) > 1 else "Yes, add it"
        return choice
    return first_up(word_label(choice, question.column))


def layout_label(choice: str) -> str:
    """What a sheet can be taken for, in words."""
    return _LAYOUTS.get(choice) or LABELS.get(choice, choice)
