"""Half-filled forms outlive another page, another form and a reload.

Held is what a person changed, not what a field began with: that may be another tomorrow. Streamlit
forgets a field that is not drawn, so a run begins by putting back what is held. A draft belongs to
one workshop; on the device also to one day, for what it says of "today" is not true tomorrow.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import date, datetime, time
from typing import Any

import streamlit as st

from pages.shell import device

_FORMS = (
    "part-", "fill-", "first-", "broke-", "task-", "nozzle-", "counter-", "stop-", "room-",
    "stock-", "count-", "order-", "printer-", "retire-", "log-what", "start-", "last-printer",
)  # fmt: skip
# Which form's fields speak of the printer chosen in it.
OF_A_PRINTER = {
    "part": ("part-", "fill-", "first-"), "broke": ("broke-",), "task": ("task-",),
    "nozzle": ("nozzle-",), "counter": ("counter-",), "stop": ("stop-",), "room": ("room-",),
}  # fmt: skip
_SAID_AT_ONCE = ("start-said", "last-printer", "-own-time")  # there only once somebody said it
# Yes and no are kept of these alone: a button is a yes too, and must never be put back.
_SWITCHES = ("-good", "-over", "-own-time", "-shelf", "-together", "-unknown")
_OF_ONE_PLACE = "-only-in-"  # not kept on the device: why and how are said anew of what was seen
_SWITCH = re.compile(r"^(part|broke)-(along|in)-")


@dataclass
class _Draft:
    """``held``: fields as JSON holds them; ``begins``: what the others said when first drawn."""

    workshop: str
    held: dict[str, Any] = field(default_factory=dict)
    begins: dict[str, Any] = field(default_factory=dict)


def restore(workshop: str, today: date) -> None:
    """As a run begins: put back what the forms held; at first what this device kept of today."""
    draft = st.session_state.get("draft")
    if not isinstance(draft, _Draft) or draft.workshop != workshop:
        if isinstance(draft, _Draft):  # what was said of another workshop is not true of this one
            for key in [str(k) for k in st.session_state if _is_field(str(k))]:
                del st.session_state[key]
        draft = st.session_state["draft"] = _Draft(workshop, _on_device(workshop, today))
    for key, value in draft.held.items():
        if key not in st.session_state and (read := _read(value)) is not None:
            st.session_state[key] = read


def keep(today: date, *, tapped: bool = False) -> None:
    """What the forms hold now, for later runs and on the device.

    ``tapped``: before a run that a tap began. A field not seen before was drawn by a run that this
    tap ended early: what it says is the tap, but a day or a number, which is what it began with.
    """
    draft = st.session_state.get("draft")
    if not isinstance(draft, _Draft):
        return
    now = _fields()
    draft.begins = {
        key: draft.begins.get(key, None if tapped and isinstance(value, str | list) else value)
        for key, value in now.items()
    }
    draft.held = {
        key: value
        for key, value in now.items()
        if value is not None and (key in draft.held or _is_changed(key, value, draft))
    }
    for form in OF_A_PRINTER:
        if begun(form):
            printer = now.get(f"{form}-printer") or now.get("last-printer")
            draft.held |= {f"{form}-printer": printer} if printer else {}
    written = {"workshop": draft.workshop, "day": today.isoformat(), "fields": draft.held}
    device.remember("draft", written if draft.held else None)


def begun(form: str) -> bool:
    """Is anything half filled in, in that form of one printer?"""
    draft = st.session_state.get("draft")
    return isinstance(draft, _Draft) and any(
        key.startswith(OF_A_PRINTER[form]) and not key.endswith("-printer") for key in draft.held
    )


def of_place(field: str, *place: str) -> str:
    """The key of a field that speaks of one part in one place; of another one it begins anew.

    A browser keeps what a field holds under its key, so each place has a key of its own.
    """
    begins = f"{field}{_OF_ONE_PLACE}"
    own = begins + "-".join(place)
    forget(*(k for k in map(str, st.session_state) if k.startswith(begins) and k != own))
    return own


def put(key: str, value: Any) -> None:
    """Say something in a field for the person, as a link does; it is held like their own."""
    st.session_state[key] = value
    draft = st.session_state.get("draft")
    if isinstance(draft, _Draft):
        draft.held[key] = _written(key, value)


def forget(*keys: str) -> None:
    """Let these fields begin anew."""
    draft = st.session_state.get("draft")
    for key in keys:
        st.session_state.pop(key, None)
        if isinstance(draft, _Draft):
            draft.held.pop(key, None)
            draft.begins.pop(key, None)


def clear(*forms: str) -> None:
    """Forget what forms held, by what their keys begin with; the printer stays chosen.

    A browser keeps what its fields hold for as long as they are drawn: draw the form anew only
    after a run without it.
    """
    keys = [str(key) for key in st.session_state]
    forget(*(key for key in keys if key.startswith(forms) and not key.endswith("-printer")))


def _on_device(workshop: str, today: date) -> dict[str, Any]:
    kept = device.recall("draft")
    if not isinstance(kept, dict) or not isinstance(kept.get("fields"), dict):
        return {}
    if (kept.get("workshop"), kept.get("day")) != (workshop, today.isoformat()):
        return {}
    return {
        key: value
        for key, value in kept["fields"].items()
        if _is_field(key) and _OF_ONE_PLACE not in key
    }


def _fields() -> dict[str, Any]:
    """What the forms hold now, as JSON holds it."""
    return {
        str(key): _written(str(key), value)
        for key, value in st.session_state.items()
        if _is_field(str(key)) and not _is_clock(str(key))
    }


def _is_changed(key: str, value: Any, draft: _Draft) -> bool:
    return key.endswith(_SAID_AT_ONCE) or value != draft.begins[key]


def _is_clock(key: str) -> bool:
    """Is it the time at which the form opened, since nobody said another?"""
    if not key.endswith("-time") or key.endswith("-own-time"):
        return False
    return not st.session_state.get(f"{key.removesuffix('-time')}-own-time")


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
