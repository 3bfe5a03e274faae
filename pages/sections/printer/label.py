"""The label to stick on a printer, a sheet of them for all, and the address they lead to."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

import streamlit as st

from pages.shell import acting, links, session, telling
from pages.shell.words import plain
from tracker.language import N_, _, as_spoken
from tracker.lives.printer_state import PrinterState
from tracker.paper.addresses import app_address, only_this_computer
from tracker.paper.labels import label_sheet, log_address, qr_code
from tracker.say.printer_page import links as say_links
from tracker.sharing.roles import MANAGE
from tracker.store import acts

_SETTING = "app_address"


def for_one(place: session.Workshop, one: PrinterState) -> None:
    """The code on the screen, where it leads, and the label as a file."""
    base = _address(place, f"label-{one.printer}")
    if base is None:
        return
    code, text = st.columns([1, 3], vertical_alignment="center")
    code.html(f'<div style="max-width:11rem">{qr_code(log_address(base, one.printer))}</div>')
    text.markdown(plain(say_links.label_hint(log_address(base, one.printer))))
    with text:
        _download(place, base, [one], _("This label to print (HTML)"), "label-one")


def for_all(place: session.Workshop, printers: Sequence[PrinterState]) -> None:
    """A sheet with a label for every printer at work."""
    base = _address(place, "label-all")
    if base is not None and printers:
        _download(place, base, printers, _("Labels for all printers (HTML)"), "label-sheet")


def _download(
    place: session.Workshop, base: str, printers: Sequence[PrinterState], name: str, key: str
) -> None:
    st.download_button(
        name,
        as_spoken(partial(_sheet, place, base, printers)),
        file_name=f"{key}.html",
        mime="text/html",
        on_click="ignore",
        key=key,
    )


def _sheet(place: session.Workshop, base: str, printers: Sequence[PrinterState]) -> str:
    return label_sheet(
        [(one.printer, one.site) for one in printers], base, place.records.setting("workshop"),
        place.as_of, is_demo=place.is_demo,
    )  # fmt: skip


def _address(place: session.Workshop, key: str) -> str | None:
    """The app's address for other devices: the workshop's, else this device's own; else ask."""
    kept = place.records.setting(_SETTING)
    with telling.errors_in_words():
        base = app_address(kept) if kept else links.base()
        if not only_this_computer(base):
            return base
    st.info(_(say_links.ONLY_HERE), icon=":material/qr_code:")
    typed = st.text_input(_("Address of the app for phones"), value=kept, key=f"{key}-address")
    if acting.button(_("Keep this address"), role=MANAGE, key=f"{key}-keep") and typed.strip():
        with telling.errors_in_words():
            address = app_address(typed)
            with place.store.change(N_("Settings changed")) as batch:
                acts.put_setting(batch, _SETTING, address)
            telling.recorded(_("The labels lead to {address}.", address=address), batch.number)
    return None
