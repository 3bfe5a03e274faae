"""The button that logs: refuses what cannot be, and empties the form once it is saved."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date, datetime

import streamlit as st

from pages.forms.together import twice
from pages.shell import acting, drafts, session, telling
from tracker.errors import RecordError
from tracker.language import _
from tracker.say import numbers
from tracker.sharing.roles import LOG
from tracker.workshop.contract import STOCK
from tracker.workshop.declarations import Column
from tracker.workshop.limits import FIRST_YEAR, LAST_YEAR

_UNSAID = "unsaid"
_PIECES = STOCK.column("quantity")


def tapped(
    workshop: session.Workshop,
    key: str,
    label: str,
    said: Mapping[str, object],
    *,
    printers: Iterable[str] = (),
    ahead: Iterable[str] = (),
    at_least: Mapping[str, int] | None = None,
    counts: Column = _PIECES,
    several: int = 1,
    role: str = LOG,
) -> bool:
    """Is this to be logged now: tapped and possible, or said to have happened a second time?

    ``said`` holds what the form says, by the English names of its fields. Its days may not lie
    before the first day of any of the ``printers`` that they are of, nor in the future except those
    named in ``ahead``; ``at_least`` names whole numbers and their
    least value, ``counts`` is the column they go to. The fields themselves set no limits: a browser
    shows a value outside them in red and hands over the one before. Raises RecordError with the
    field and the value. What somebody logged already is asked about (``twice``), ``several`` things
    at once. ``role``: from which one on it may be logged.
    """
    what = (key, *said.items())
    # Above the button, where the finger is: below it, the question may lie outside the screen.
    question = st.container()
    pressed = acting.button(label, role=role, type="primary", width="stretch", key=key)
    unsaid = st.session_state.get(_UNSAID, {})
    if pressed:
        telling.forget_question()
        for field, sentence in unsaid.items():
            if field.partition("-")[0] == key.partition("-")[0]:
                raise RecordError(sentence)
        refuse_days(workshop, said, frozenset(ahead))
        _refuse_too_early(workshop, said, printers)
        _refuse_numbers(said, at_least or {}, counts)
    with question:
        return twice.goes(what, pressed, key, several=several)


def must_be_said(field: str, sentence: str) -> None:
    """In this run that field of a form leaves something open: its button refuses with this."""
    st.session_state.setdefault(_UNSAID, {})[field] = sentence


def nothing_unsaid() -> None:
    """As a form begins to be drawn."""
    st.session_state.pop(_UNSAID, None)


def saved(sentence: str, batch: int | None, *forms: str, struck: str = "") -> None:
    """Tell what was logged; its form is emptied and gives way to that, so that it is in sight.

    ``forms``: what the keys of its fields begin with. ``struck``: the printer whose head was
    struck, so that what to do next stands below.
    """
    drafts.clear(*forms)
    for key in [str(key) for key in st.session_state if str(key).startswith("seen-in-")]:
        del st.session_state[key]
    st.session_state["saved-in"] = st.session_state.get("log-what")
    st.session_state["struck"] = struck
    telling.recorded(sentence, batch)


def stands_saved(form: str) -> bool:
    """Was the last entry of this session made in that form, and not taken back since?"""
    if st.session_state.get("saved-in") == form and "recorded" in st.session_state:
        return True
    begin_anew()
    return False


def offer_another() -> Callable[[], None]:
    """The button that draws the form again, dead until what this returns is called: last of all.

    A browser forgets what a form's fields held only as the run ends that did not draw them. Tapped
    before, the button would bring the form back with the last entry's note in it; between its being
    drawn and the end of the run the page's style keeps taps off it.
    """
    place, label = st.empty(), _("Log another entry")
    place.button(label, disabled=True, width="stretch", key="log-another-soon")

    def ready() -> None:
        place.button(label, type="primary", width="stretch", key="log-another", on_click=begin_anew)

    return ready


def begin_anew() -> None:
    """Let the form be drawn again, empty."""
    st.session_state.pop("saved-in", None)


def leave_saved() -> None:
    """Another page was open since: after an entry was saved the log begins with its first form."""
    if "saved-in" in st.session_state:
        drafts.forget("log-what")
        begin_anew()


def latest_day(workshop: session.Workshop) -> date:
    """The last day on which something can have happened: today; in the demo its last day."""
    return workshop.as_of if workshop.is_demo else session.today()


def refuse_days(
    workshop: session.Workshop, said: Mapping[str, object], ahead: frozenset[str] = frozenset()
) -> None:
    """Raises RecordError for a day that cannot be meant, or lies ahead and is not of ``ahead``."""
    latest = latest_day(workshop)
    for name, day in _days_in(said):
        if not FIRST_YEAR <= day.year <= LAST_YEAR:
            raise RecordError(
                _("{name}: {day} cannot be meant; correct the year.", name=_(name), day=day)
            )
        if day > latest and name not in ahead:
            raise RecordError(
                _(
                    "{name}: {day} is in the future (today is {latest}); write a day that "
                    "has been.",
                    name=_(name),
                    day=day,
                    latest=latest,
                )
            )


def _refuse_too_early(
    workshop: session.Workshop, said: Mapping[str, object], printers: Iterable[str]
) -> None:
    """Nothing can have happened to a printer before its first day, whatever it is."""
    began = workshop.records.printers.set_index("printer")["started_on"].dropna()
    for printer in printers:
        first = began[printer].date() if printer in began else date.min
        for name, day in _days_in(said):
            if day < first:
                raise RecordError(
                    _(
                        "{name}: {day} is before the first day of {printer}, {first}. Correct the "
                        "day; or, where {printer} stood there already, put its first day earlier: "
                        "“Records”, “Browse and correct”, “Printers”.",
                        name=_(name),
                        day=numbers.day(day),
                        printer=printer,
                        first=numbers.day(first),
                    )
                )


def _days_in(said: Mapping[str, object]) -> list[tuple[str, date]]:
    """The days that a form says, those of its moments among them."""
    days = [(name, value) for name, value in said.items() if isinstance(value, date)]
    return [(name, day.date() if isinstance(day, datetime) else day) for name, day in days]


def _refuse_numbers(
    said: Mapping[str, object], at_least: Mapping[str, int], counts: Column
) -> None:
    for name, least in at_least.items():
        number = said[name]
        if not isinstance(number, int):
            raise RecordError(
                _("{name}: nothing is written; write a whole number such as 3.", name=_(name))
            )
        if number < least:
            raise RecordError(
                _(
                    "{name}: {number} is less than {least}; write {least} or more.",
                    name=_(name),
                    number=number,
                    least=least,
                )
            )
        if counts.at_most is not None and number > counts.at_most:
            raise RecordError(
                _(
                    "{name}: {number} is more than {most}; write at most {most}.",
                    name=_(name),
                    number=number,
                    most=f"{counts.at_most:.0f}",
                )
            )
        telling.must_be_meant(counts, number, _(name))
