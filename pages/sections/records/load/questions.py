"""What the files leave open, put with the person's own rows, one tap each."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import date

import streamlit as st

from pages.sections.records.load.reading import Reader
from pages.shell.words import plain
from tracker.intake import own_words
from tracker.intake.layout.asking import role_words
from tracker.intake.names import NEW
from tracker.intake.pieces import CALENDAR, LEAVE_OUT, WIDE, Intake
from tracker.intake.questions import LAYOUT, ONE_BY_ONE, ROLES, YES, Question, is_several
from tracker.intake.together.beside import MEANT, SLIP
from tracker.language import N_, _, month_name
from tracker.say.entering.record_words import LABELS, in_words, word_label
from tracker.say.phrases import first_up

_FEW = 6  # choices shown as taps; the others behind one more tap
_OTHER = N_("Something else …")
_LAYOUTS = {
    CALENDAR: N_("A calendar: days and marks"),
    WIDE: N_("One row per printer, days in its cells"),
    LEAVE_OUT: N_("Nothing to load"),
}
_PLAIN = {
    YES: N_("Yes, all of them"),
    ONE_BY_ONE: N_("No, ask one by one"),
    MEANT: N_("Yes, they are"),
    SLIP: N_("No, it is a mistake"),
    own_words.APART: N_("Yes, tasks of their own"),
    own_words.TOGETHER: N_("No, one task, whichever is written"),
}
_GIVEN = "load-given"  # the files, and what was answered about them by the question's key
_MONTH = re.compile(r"(\d{4})-(\d{2})")


def settle(
    reader: Reader, said: Mapping[str, str]
) -> tuple[Intake, dict[str, str], list[Question]]:
    """The reading with all answers given so far, those answers, and every question it asked.

    Nothing is drawn yet: what was understood stands above the questions, and drawn after them it
    would push them down from under the finger. What was said of several questions at once holds
    for each of them, also where a column chosen since puts them together with others.
    """
    files = tuple(reader.files)
    if st.session_state.get(_GIVEN, ((), {}))[0] != files:
        st.session_state[_GIVEN] = (files, {})
    given: dict[str, str] = st.session_state[_GIVEN][1]
    answers = dict(said)
    asked: dict[str, Question] = {}
    while True:
        intake = reader.read(answers)
        fresh = {}
        for question in intake.questions:
            if question.key not in asked:
                asked[question.key] = question
                if answer := _answer(question, given):
                    fresh[question.key] = answer
        if intake.questions and not fresh:
            several = {key: yes for key, yes in given.items() if yes and is_several(key)}
            fresh = {key: yes for key, yes in several.items() if key not in answers}
        if not fresh:
            open_yet = {question.key for question in intake.questions}
            shown = [q for key, q in asked.items() if key in answers or key in open_yet]
            return intake, answers, shown
        answers |= fresh


def _answer(question: Question, given: dict[str, str]) -> str:
    """What was tapped, also before the question was gone for a while, or taken back; it is
    ``given`` from then on."""
    key = f"load-{question.key}"
    if key not in st.session_state and given.get(question.key):
        st.session_state[key] = given[question.key]
    answer = given[question.key] = _tapped(question)
    return answer


def _tapped(question: Question) -> str:
    """What was tapped; an answer that is none of the choices any more is forgotten."""
    key = f"load-{question.key}"
    choices = _choices(question)
    answer = st.session_state.get(key)
    if answer not in (None, _OTHER, *choices):
        del st.session_state[key]
        return ""
    if answer == _OTHER:
        answer = st.session_state.get(f"{key}-more")
        return str(answer) if answer in choices else ""
    return str(answer or "")


def _choices(question: Question) -> list[str]:
    return list(dict.fromkeys([*filter(None, [question.suggested]), *question.choices]))


def show(asked: Sequence[Question], *, several: bool) -> None:
    """The questions with their choices; ``several`` files: each says which one it is about."""
    for question in asked:
        _ask(question, several=several)


def _ask(question: Question, *, several: bool) -> None:
    text = first_up(in_words(question.what))
    where = f"{question.source}: " if several and question.source else ""
    st.markdown(f"**{plain(where + text)}**")
    for example in question.examples:
        st.caption(plain(in_words(example)))
    key = f"load-{question.key}"
    choices = _choices(question)
    said = st.session_state.get(key)
    near = choices if len(choices) <= _FEW else [*choices[: _FEW - 1], _OTHER]
    if said in choices and said not in near:
        near.insert(-1, said)
    answer = st.pills(
        text, near, key=key, label_visibility="collapsed",
        format_func=lambda choice: plain(_choice(choice, question)),
    )  # fmt: skip
    if answer == _OTHER:
        st.selectbox(
            _("Which?"),
            [choice for choice in choices if choice not in near],
            index=None,
            placeholder=_("Choose one"),
            key=f"{key}-more",
            label_visibility="collapsed",
            format_func=lambda choice: plain(_choice(choice, question)),
        )


def _choice(choice: str, question: Question) -> str:
    if choice == _OTHER:
        return _(choice)
    if choice in _PLAIN:
        return _(_PLAIN[choice])
    told = _in_words(choice, question)
    if choice == question.suggested and len(question.choices) > 1:
        return _("{choice} (likely)", choice=told)
    return told


def _in_words(choice: str, question: Question) -> str:
    if question.topic == ROLES:
        return first_up(role_words(choice))
    if question.topic == LAYOUT:
        if month := _MONTH.fullmatch(choice):
            return month_name(date(int(month[1]), int(month[2]), 1))
        return layout_label(choice)
    if question.column == "printer":
        if choice == NEW:
            return _("A new printer") if len(question.choices) > 1 else _("Yes, add it")
        return choice
    return first_up(word_label(choice, question.column))


def layout_label(choice: str) -> str:
    """What a sheet can be taken for, in words."""
    return _(_LAYOUTS.get(choice) or LABELS.get(choice, choice))
