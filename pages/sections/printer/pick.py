"""Which printer? A list to search, each with what it does and the part likeliest to fail."""

from __future__ import annotations

from collections.abc import Iterable

import streamlit as st

from pages import frame
from pages.sections import paging
from pages.sections.printer import label
from pages.shell import links, session, sites, telling
from pages.shell.words import plain
from tracker.forecast.outlook import outlook
from tracker.language import _
from tracker.lives.printer_state import LEFT, STANDS, PrinterState, printer_states
from tracker.say.printer_page import links as say_links
from tracker.say.printer_page import state as say_state

HORIZON_DAYS = 30
_SEARCHED_FROM = 6  # printers from which a search helps


def show(place: session.Workshop) -> None:
    """The printers, those that stand first, then those with the likeliest failure."""
    states = session.ask(printer_states)
    if not states:
        frame.headline(_("Printers"), _("No printer is written down yet."))
        frame.empty_state(
            _("Say which printers you have; each one's page then shows what is in it."),
            button=_(frame.BEGIN),
            page="start",
        )
        return
    site = sites.chosen(place)
    states = {name: one for name, one in states.items() if site in (None, one.site)}
    frame.headline(_("Printers"), say_state.list_answer(states))
    sites.choose(place)
    worst = _worst()
    found = sorted(states.values(), key=lambda one: _order(one, worst))
    if len(found) > _SEARCHED_FROM:
        typed = st.text_input(_("Search by name or site"), key="find-printer").strip().casefold()
        found = [one for one in found if typed in f"{one.printer} {one.site}".casefold()]
        if not found:
            st.info(_("No printer has that in its name or site."), icon=":material/search_off:")
    _lines(paging.page_of(found, "printers"), worst)
    with st.expander(_(say_links.LABELS)):
        label.for_all(place, [one for one in states.values() if one.state != LEFT])


def _worst() -> dict[str, tuple[float, str]]:
    """The part likeliest to fail in each printer: its chance, and what is said of it."""
    with telling.errors_in_words():
        first = session.ask(outlook, HORIZON_DAYS).drop_duplicates("printer")
        return {
            row.printer: (row.chance_of_failure, say_state.worst(row, HORIZON_DAYS))
            for row in first.itertuples()
        }
    return {}


def _order(one: PrinterState, worst: dict[str, tuple[float, str]]) -> tuple[bool, bool, float, str]:
    chance = worst.get(one.printer, (0.0, ""))[0]
    return one.state == LEFT, one.state != STANDS, -chance, one.printer


def _lines(printers: Iterable[PrinterState], worst: dict[str, tuple[float, str]]) -> None:
    for one in printers:
        with st.container(border=True, gap=None):
            site = f" · {plain(one.site)}" if one.site else ""
            st.button(
                f"**{plain(one.printer)}**{site}", key=f"open-{one.printer}", type="tertiary",
                icon=":material/chevron_right:", on_click=links.name_here,
                kwargs={"printer": one.printer},
            )  # fmt: skip
            part = worst.get(one.printer, (0.0, ""))[1]
            does = say_state.state(one)
            told = ". ".join(filter(None, (does[:1].upper() + does[1:], part)))
            st.caption(f"{plain(told)}.")
