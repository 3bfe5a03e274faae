"""Half-filled forms that survive a reload: what is typed into the log, kept on the device.

A draft belongs to one workshop and one day: what a form says of "today" is not true tomorrow.
"""

from __future__ import annotations

import re
from datetime import date, datetime, time
from typing import Any

import streamlit as st

from pages.shell import device

_FORMS = (
    "part-", "fill-", "first-", "broke-", "task-", "nozzle-", "counter-", "stop-", "room-",
    "stock-", "count-", "order-", "printer-", "retire-", "log-what", "start-",
)  # fmt: skip
# Yes and no are kept of these alone: a button is a yes too, and must never be put back.
_SWITCHES = ("-good", "-over", "-own-time", "-shelf", "-together", "-unknown")
_SWITCH = re.compile(r"^(part|broke)-(along|in)-")


def restore(workshop: str, today: date) -> None:
    """At the start of a session: put back what this device's forms held in that workshop today."""
    if st.session_state.get("drafts-restored") == workshop:
        return
    st.session_state["drafts-restored"] = workshop
    draft = device.recall("draft")
    if not isinstance(draft, dict) or draft.get("workshop") != workshop:
        return
    if draft.get("day") != today.isoformat():
        return
    for key, value in draft.get("fields", {}).items():
        if _is_field(key) and key not in st.session_state:
            read = _read(value)
            if read is not None:
                st.session_state[key] = read


def keep(workshop: str, today: date) -> None:
    """At the end of a run: what the forms on screen hold now."""
    fields = {}
    for key, value in st.session_state.items():
        if _is_field(str(key)) and (written := _written(str(key), value)) is not None:
            fields[str(key)] = written
    draft = {"workshop": workshop, "day": today.isoformat(), "fields": fields}
    device.remember("draft", draft if fields else None)


def clear(*forms: str) -> None:
    """Forget what forms held, by what their keys begin with; the printer stays chosen.

    A browser keeps what its fields hold for as long as they are drawn: draw the form anew only
    after a run without it.
    """
    for key in [str(k) for k in st.session_state]:
        if key.startswith(forms) and not key.endswith("-printer"):
            del st.session_state[key]


def _is_field(key: str) -> bool:
    return key.startswith(_FORMS)


def is_switch(key: str) -> bool:
    """Is this field a yes or no that is kept?"""
    return key.endswith(_SWITCHES) or _SWITCH.match(key) is not None


def _written(key: str, value: Any) -> Any:
    """A value as JSON holds it; None for what is not kept (nothing, buttons, files, tables)."""
    if isinstance(value, bool):
        return value if is_switch(key) else None
    if isinstance(value, datetime | date | time):
        return {type(value).__name__: value.isoformat()}
    if isinstance(value, list):
        return value if value and all(isinstance(item, str) for item in value) else None
    if value == "":
        return None
    return value if isinstance(value, str | int | float) else None


def _read(value: Any) -> Any:
    if not isinstance(value, dict):
        return value
    for kind in (datetime, date, time):
        if kind.__name__ in value:
            try:
                return kind.fromisoformat(str(value[kind.__name__]))
            except ValueError:
                return None
    return None
