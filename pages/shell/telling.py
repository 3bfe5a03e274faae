"""What a page tells of what was done: recorded, with a way back; refused; or asked about first."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import streamlit as st

from pages.shell import acting, session, taking_back
from pages.shell.words import plain
from tracker.defects import defect_sentence, note_defect
from tracker.errors import TrackerError, UnusualFigure
from tracker.intake.cells.one_cell import as_typed
from tracker.language import _
from tracker.say.entering.record_words import column_label, in_words
from tracker.say.phrases import shortened
from tracker.store.acts import LoggedAlready
from tracker.workshop.checks import odd_price, unusual
from tracker.workshop.declarations import Column
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType

_TOAST = 60  # letters: longer ones hide a phone's screen, and the library cuts them, in English
_NOTICE = "recorded-notice"  # where this run tells what was recorded
_LOGGED_ALREADY = "logged-already"  # what somebody else was first to log, asked about until then


@contextmanager
def errors_in_words(*, days: bool = False) -> Iterator[None]:
    """A section of a page that fails alone: what follows it is drawn all the same.

    What somebody logged already becomes a question, where ``about_to_log`` said what it is.
    A refusal is shown as its sentence, a figure that may be a slip with a button that says it is
    meant; anything else is a mistake of the program and is said so, its trace in the log file.
    ``days``: as people say them, where a refusal tells of records instead of what was typed.
    """
    try:
        yield
    except LoggedAlready as problem:
        what = st.session_state.pop("about-to-log", None)
        if what is not None:
            st.session_state[_LOGGED_ALREADY] = (what, problem, session.workshop().shown)
            st.rerun()
        st.error(_told(problem, days=days), icon=":material/front_hand:")
    except UnusualFigure as problem:
        refused()
        st.warning(_told(problem, days=days), icon=":material/help:")
        key = f"meant-{problem.key}"
        answer = problem.answer or _("Yes, it is so")
        st.button(answer, key=key, on_click=_mean, args=(problem.key,))
    except TrackerError as problem:
        refused()
        st.error(_told(problem, days=days), icon=":material/front_hand:")
    except Exception as problem:
        noted = note_defect(problem, "page")
        st.error(defect_sentence(problem, noted=noted), icon=":material/bug_report:")


def refused() -> None:
    """What was tapped is not written: in this run nothing above it says that something was."""
    if acting.tapped() and _NOTICE in st.session_state:
        st.session_state.pop(_NOTICE).empty()


def _mean(key: str) -> None:
    st.session_state["meant"] = {*st.session_state.get("meant", ()), key}


def must_be_meant(
    column: Column, number: float, field: str = "", price_of: PartType | None = None
) -> None:
    """Raises UnusualFigure for a number that may be a slip, until a person said that it is so.

    ``price_of``: the type of which it is the price of a piece.
    """
    key = "-".join([column.name, f"{number:g}", *(price_of or ())])
    odd = unusual(column, number)
    if price_of is not None and not odd:
        odd = odd_price(session.workshop().records, price_of, number)
    if odd and key not in st.session_state.get("meant", ()):
        where = field or column_label(column.name)
        raise UnusualFigure(
            _(
                "{where}: {number} {odd}. Correct it; or say that it is so and log it again.",
                where=where,
                number=as_typed(number),
                odd=odd,
            ),
            key,
        )


def must_be_agreed(sentence: str, key: str) -> None:
    """Raises UnusualFigure with what comes along with a change, until a person said that it may."""
    if key not in st.session_state.get("meant", ()):
        raise UnusualFigure(sentence, key)


def must_be_read_so(typed: str, number: float, other: float, field: str = "") -> None:
    """Raises UnusualFigure for a text that reads as two numbers, until a person said which."""
    key = f"{typed.strip()}-is-{number:g}"
    if key in st.session_state.get("meant", ()):
        return
    raise UnusualFigure(
        _(
            "{where}“{typed}” reads both ways: {number} or {other}? If it is {other}, write that; "
            "or say that it is {number} and log it again.",
            where=f"{field}: " if field else "",
            typed=typed.strip(),
            number=as_typed(number),
            other=as_typed(other),
        ),
        key,
        _("It is {number}", number=as_typed(number)),
    )


def _told(problem: TrackerError, *, days: bool = False) -> str:
    return plain(in_words(str(problem), _records_to_name(), days=days))


def _records_to_name() -> Records | None:
    """The records that a refusal may speak of; None where they cannot be read."""
    try:
        return session.workshop().records
    except TrackerError:
        return None


def recorded(sentence: str, batch: int | None, *, page: str = "") -> None:
    """Tell on the next run what was recorded, with a way back, and run again: this page, or the
    one named."""
    shown = session.workshop().shown
    st.session_state["recorded"] = (sentence, batch, shown)
    st.session_state["toast"] = sentence
    st.session_state.pop("about-to-log", None)
    if page:
        st.switch_page(session.ROOT / "pages" / f"{page}.py")
    st.rerun()


def about_to_log(what: tuple[Any, ...]) -> None:
    """Remember what is being logged, so that it can be asked about where somebody was first."""
    st.session_state.pop(_LOGGED_ALREADY, None)
    st.session_state["about-to-log"] = what


def logged_already() -> tuple[tuple[Any, ...], LoggedAlready] | None:
    """What this screen wanted to log and somebody had logged already; None where nothing waits."""
    kept = st.session_state.get(_LOGGED_ALREADY)
    return None if kept is None or kept[2] != session.workshop().shown else (kept[0], kept[1])


def forget_question() -> None:
    """What was logged already is left at that."""
    st.session_state.pop(_LOGGED_ALREADY, None)


def tell_restored() -> None:
    """That another state is on screen than a moment ago; what was begun on that one is refused."""
    with errors_in_words():
        if session.is_another_state(session.workshop()):
            st.warning(
                _(
                    "Another state of these records was restored since you looked at them. What "
                    "you see now is that state; what you began before was not written."
                ),
                icon=":material/history:",
            )


def show_recorded() -> None:
    """What was recorded, in sight of whoever tapped far down the page too, and the way back."""
    st.session_state.pop(_NOTICE, None)
    if "recorded" not in st.session_state:
        return
    sentence, batch, shown = st.session_state["recorded"]
    if (
        shown != session.workshop().shown
    ):  # another workshop, or this one restored: the same numbers
        forget_recorded()
        return
    if st.session_state.pop("toast", None):
        back = "" if batch is None else "  \n" + _("Undo: at the top of the page.")
        short = plain(shortened(sentence, _TOAST))
        st.toast(short + back, icon=":material/check_circle:")
    notice = st.session_state[_NOTICE] = st.empty()
    text, undo = notice.container().columns([4, 1], vertical_alignment="center")
    text.success(plain(sentence), icon=":material/check_circle:")
    with errors_in_words():
        if batch is not None and taking_back.wanted(
            session.workshop().store, shown, batch, at=undo, key="undo-last"
        ):
            session.workshop().store.undo(batch)
            recorded(_("Taken back: {sentence}", sentence=sentence), None)
    if batch is None:
        del st.session_state["recorded"]


def forget_recorded() -> None:
    """Drop the notice of what was recorded, once something else is going on."""
    for name in ("recorded", "toast", "about-to-log", _LOGGED_ALREADY):
        st.session_state.pop(name, None)
