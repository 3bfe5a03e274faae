"""Somebody logged the same already: told where it was tapped, with what is recorded."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any, TypeVar

import streamlit as st

from pages.shell import acting, links, session, telling
from pages.shell.words import plain
from tracker.language import _
from tracker.say.entering import two_people
from tracker.store.acts import Earlier, LoggedAlready

Thing = TypeVar("Thing")
_AGAIN, _REST = "logs-again", "logs-rest"
_LEFT = "logs-left-out"  # of what is being logged: the records there already, question by question


def goes(what: tuple[Any, ...], tapped: bool, key: str, *, several: int = 1) -> bool:
    """Is this to be logged now: tapped, or said to have happened a second time?

    ``what`` names what is logged; the question about it is drawn here, its buttons named by
    ``key``. ``several`` things are logged at once, of which the others can go in alone. Log inside
    ``telling.errors_in_words``, with ``again=twice.again()``.
    """
    asked = telling.logged_already()
    st.session_state[_AGAIN], st.session_state[_REST] = False, ()
    if tapped:
        st.session_state[_LEFT] = ()
        telling.about_to_log(what)
        return True
    if asked is None or asked[0] != what:
        return False
    before: tuple[Earlier, ...] = st.session_state.get(_LEFT, ())
    answer = _ask(asked[1], key, several - len(before))
    if not answer:
        return False
    st.session_state[_AGAIN] = answer == _AGAIN
    if answer == _REST:
        st.session_state[_REST] = st.session_state[_LEFT] = (*before, *asked[1].found)
    telling.about_to_log(what)
    return True


def again() -> bool:
    """Did the person say that it happened a second time?"""
    return bool(st.session_state.get(_AGAIN))


def rest(tasks: Iterable[str]) -> tuple[str, ...]:
    """The tasks to log: all, or without those that somebody logged already."""
    there = {one.values.get("task") for one in st.session_state.get(_REST, ())}
    return tuple(task for task in tasks if task not in there)


def is_there(table: str) -> bool:
    """Is what would be written to that table left out, as somebody logged it already?"""
    return any(one.table == table for one in st.session_state.get(_REST, ()))


def late(
    kind: str, before: Iterable[Thing], key: Callable[[Thing], str], now: Iterable[Thing]
) -> list[Thing]:
    """What was tapped though it is gone from a list: somebody else was first.

    ``before`` are the lines as they were on screen when the tap was made (``frame.on_screen``),
    ``now`` those that are there still. What is logged of them is named ``(kind, key(thing))``.
    """
    there = {key(thing) for thing in now}
    tapped = [thing for thing in before if key(thing) not in there and was_tapped(key(thing))]
    kept: dict[str, Thing] = st.session_state.setdefault(f"late-{kind}", {})
    kept.update({key(thing): thing for thing in tapped})
    asked = telling.logged_already()
    if not tapped and asked is not None and asked[0][0] == kind:
        return [thing for at, thing in kept.items() if at == asked[0][1] and at not in there]
    return tapped


def was_tapped(key: str) -> bool:
    """Was the button of that key tapped, be it there still or not?"""
    return st.session_state.get(key) is True


def _ask(problem: LoggedAlready, key: str, several: int) -> str:
    """The question; how it was answered, or "" while it is not."""
    with st.container(border=True):
        for found in problem.found:
            told = two_people.logged_already(found, session.who(), session.now())
            st.warning(plain(told), icon=":material/content_copy:")
        if several > len(problem.found) and acting.button(
            _("Log the others only"), type="primary", width="stretch", key=f"{key}-others"
        ):
            return _REST
        if problem.may_repeat and acting.button(
            _("Yes, log it a second time"), width="stretch", key=f"{key}-again"
        ):
            return _AGAIN
        first = problem.found[0]
        if st.button(_("Open what is recorded"), width="stretch", key=f"{key}-open"):
            telling.forget_question()
            st.session_state["browse-open"] = (first.table, first.row_id)
            links.go("records")
        if st.button(_("Leave it at that"), width="stretch", key=f"{key}-leave"):
            telling.forget_question()
            st.rerun()
        for found in problem.found:  # last, so that the buttons are in sight on a phone
            st.caption(plain(two_people.recorded(found)))
    return ""
