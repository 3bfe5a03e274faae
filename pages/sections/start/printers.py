"""First step: which printers are there, and how are they laid out?"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import streamlit as st

from pages.forms.printer_layout import ask_layout, layout_of
from pages.sections.start import said
from pages.shell import session
from pages.shell.words import plain
from tracker.language import _
from tracker.workshop.first_run.layouts import PrinterLayout

MOST = 30  # more come in faster by a spreadsheet
_OF_A_PRINTER = ("layout", "channels", "heads")


@dataclass(frozen=True)
class SaidPrinter:
    """A printer as it was named, and its layout."""

    name: str
    layout: PrinterLayout


def named() -> list[SaidPrinter]:
    """The printers said so far, in order."""
    return [
        SaidPrinter(
            said.answer(f"{number}-name").strip(),
            layout_of(*(said.answer(f"{number}-{what}") for what in _OF_A_PRINTER)),
        )
        for number in range(_count())
    ]


def problems(printers: Sequence[SaidPrinter]) -> dict[int, str]:
    """What cannot be, by the number of the printer; nothing is said of the others."""
    found = {}
    names = [printer.name for printer in printers]
    for number, printer in enumerate(printers):
        if not printer.name:
            found[number] = _("This printer has no name; write the name you call it by.")
        elif printer.name in names[:number]:
            found[number] = _("Another printer has this name already; give this one another name.")
        elif not printer.layout.channels:
            found[number] = _(
                "No ink channel is written; write them with spaces, as in C M Y K W1."
            )
    return found


def show(_place: session.Workshop) -> None:
    """One frame per printer; the next one like it in one tap."""
    said.begin_with("0-name", next_name(_("Printer"), set(), 0))
    count = _count()
    for number in range(count):
        with st.container(border=True):
            st.text_input(_("Name of the printer, as you call it"), key=_key(number, "name"))
            ask_layout(_key(number))
            told = st.container()
            if number:
                st.button(
                    _("Leave this printer out"),
                    key=f"begin-leave-{number}",
                    on_click=_leave_out,
                    args=(number,),
                )
            said.keep()
            if problem := problems(named()).get(number):
                told.error(plain(problem), icon=":material/front_hand:")
    if count < MOST:
        st.button(
            _("Add another one like it"),
            key="begin-another",
            on_click=_add_another,
            args=(_("Printer"),),  # the callback runs before the language is known
            width="stretch",
            icon=":material/add:",
        )


def _key(number: int, *what: str) -> str:
    return f"{said.FIELD}{'-'.join((str(number), *what))}"


def _count() -> int:
    text = said.answer("printers", "1")
    return min(max(int(text), 1), MOST) if text.isdecimal() else 1


def _add_another(unnamed: str) -> None:
    said.keep()
    count = _count()
    last = count - 1
    taken = {printer.name for printer in named()}
    said.put(f"{count}-name", next_name(said.answer(f"{last}-name").strip() or unnamed, taken))
    for what in _OF_A_PRINTER:
        said.put(f"{count}-{what}", said.answer(f"{last}-{what}"))
    said.put("printers", str(count + 1))


def _leave_out(number: int) -> None:
    said.keep()
    last = _count() - 1
    for to in range(number, last):
        for what in ("name", *_OF_A_PRINTER):
            said.put(f"{to}-{what}", said.answer(f"{to + 1}-{what}"))
    said.put("printers", str(last))


def next_name(name: str, taken: set[str], after: int = 1) -> str:
    """A name for the next printer: counted on.

    >>> next_name("Printer 1", {"Printer 1"}), next_name("Left", {"Left", "Left 2"})
    ('Printer 2', 'Left 3')
    >>> next_name("Left #1", {"Left #1"})
    'Left #2'
    """
    counted = re.fullmatch(r"(.*?)(\d{1,6})", name)
    stem, number = (counted[1], int(counted[2])) if counted else (f"{name} ", after)
    while True:
        number += 1
        following = f"{stem}{number}".strip()
        if following not in taken:
            return following
