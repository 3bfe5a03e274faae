"""What was said so far on the way in: kept from step to step, on other pages and over a reload."""

from __future__ import annotations

import json
from collections.abc import Mapping

import streamlit as st

from pages.shell import drafts

FIELD = "begin-"  # the keys of all fields of the way in
_KEPT = "start-said"  # one text, which the device keeps as a draft
_MOVED, _PAGE = "steps-moved", "steps-page"
_AFTERWARDS = "started"  # the same once it is written down, for whoever takes it back


def restore(page: str) -> None:
    """Before the fields: those that were not on screen in the last run get their answers back.

    A field that is on screen is let alone, or what is being typed into it would be lost. The same
    field on another ``page`` is another one to the browser.
    """
    if _KEPT not in st.session_state and _AFTERWARDS in st.session_state:
        st.session_state[_KEPT] = st.session_state[_AFTERWARDS]
    moved = st.session_state.pop(_MOVED, False) or st.session_state.get(_PAGE) != page
    st.session_state[_PAGE] = page
    for name, answer in _said().items():
        key = f"{FIELD}{name}"
        if moved or key not in st.session_state:
            st.session_state[key] = answer


def keep() -> None:
    """After the fields: what they say now."""
    answers = {
        key.removeprefix(FIELD): value
        for key, value in st.session_state.items()
        if isinstance(key, str) and key.startswith(FIELD) and isinstance(value, str)
    }
    st.session_state[_KEPT] = json.dumps(dict(_said()) | answers, ensure_ascii=False)


def answer(name: str, default: str = "") -> str:
    """What was said to one question; ``default`` where nothing was."""
    return _said().get(name, default)


def begin_with(name: str, value: str) -> None:
    """What a field says until somebody answers."""
    if name not in _said():
        put(name, value)
        st.session_state.setdefault(f"{FIELD}{name}", value)


def put(name: str, value: str) -> None:
    """Say something that is no field on screen; "" takes it back."""
    said = dict(_said())
    said[name] = value
    st.session_state[_KEPT] = json.dumps({k: v for k, v in said.items() if v}, ensure_ascii=False)
    if f"{FIELD}{name}" in st.session_state:
        st.session_state[f"{FIELD}{name}"] = value


def move() -> None:
    """Another step comes on screen: its fields begin with what was said."""
    keep()
    st.session_state[_MOVED] = True


def finish() -> None:
    """It is written down; kept for this session, should it be taken back."""
    keep()
    st.session_state[_AFTERWARDS] = st.session_state[_KEPT]
    drafts.forget(_KEPT)


def _said() -> Mapping[str, str]:
    try:
        said = json.loads(st.session_state.get(_KEPT, "{}"))
    except (TypeError, ValueError):
        return {}  # a device may hold anything
    if not isinstance(said, dict):
        return {}
    return {name: value for name, value in said.items() if isinstance(value, str)}
