"""Half-filled forms that survive a reload: what is typed into the log, kept on the device."""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any

import streamlit as st

from pages.shell import device

_FORMS = (
    "part-", "fill-", "first-", "broke-", "task-", "nozzle-", "counter-", "stop-", "stoppage-",
    "room-", "stock-", "order-", "printer-", "log-", "start-",
)  # fmt: skip
_BUTTONS = ("-save", "-again", "-none", "-undo")


def restore(workshop: str) -> None:
    """At the start of a session: put back what this device's forms held in that workshop."""
    if st.session_state.get("drafts-restored") == workshop:
        return
    st.session_state["drafts-restored"] = workshop
    draft = device.recall("draft")
    if not isinstance(draft, dict) or draft.get("workshop") != workshop:
        return
    for key, value in draft.get("fields", {}).items():
        if _is_field(key) and key not in st.session_state:
            read = _read(value)
            if read is not None:
                st.session_state[key] = read


def keep(workshop: str) -> None:
    """At the end of a run: what the forms on screen hold now."""
    fields = {}
    for key, value in st.session_state.items():
        if _is_field(str(key)) and (written := _written(value)) is not None:
            fields[str(key)] = written
    device.remember("draft", {"workshop": workshop, "fields": fields} if fields else None)


def clear(form: str) -> None:
    """Empty a form after it was saved; the printer stays chosen."""
    for key in [str(k) for k in st.session_state]:
        if key.startswith(form) and not key.endswith("-printer"):
            del st.session_state[key]


def _is_field(key: str) -> bool:
    return key.startswith(_FORMS) and not key.endswith(_BUTTONS)


def _written(value: Any) -> Any:
    """A value as JSON holds it; None for what is not kept (nothing, buttons, files, tables)."""
    if isinstance(value, datetime | date | time):
        return {type(value).__name__: value.isoformat()}
    if isinstance(value, list):
        return value if value and all(isinstance(item, str) for item in value) else None
    if isinstance(value, bool) or value == "":
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
