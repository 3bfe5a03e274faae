"""A printer gets another name, in everything that was written down about it."""

from __future__ import annotations

import streamlit as st

from pages.shell import acting, session, telling
from pages.shell.words import plain
from tracker.language import _
from tracker.say import numbers
from tracker.sharing.roles import MANAGE
from tracker.store import acts
from tracker.workshop.contract import TABLES


def show(workshop: session.Workshop) -> None:
    """Choose the printer, type the name; one change that can be taken back."""
    names = sorted(set(workshop.records.printers["printer"]))
    if not names:
        st.info(
            _("No printer yet. Add one under Log, Printer."),
            icon=":material/arrow_forward:",
        )
        return
    printer = st.selectbox(_("Printer"), names, key="rename-printer")
    new_name = st.text_input(
        _("New name"), key="rename-to", placeholder=_("as you call it from now on")
    ).strip()
    count = _records_of(workshop, printer)
    st.caption(
        _(
            "{records} of {printer} will carry the new name. It is one change and can be taken "
            "back.",
            records=numbers.count(count, "record", "records"),
            printer=plain(printer),
        )
    )
    label = (
        _("Rename {printer} to {new_name}", printer=plain(printer), new_name=plain(new_name))
        if new_name
        else _("Rename {printer}", printer=plain(printer))
    )
    if acting.button(label, role=MANAGE, type="primary", width="stretch", key="rename-save"):
        with telling.errors_in_words():
            batch_id = acts.rename_printer(
                workshop.store, printer, new_name, who=session.who(), now=session.now()
            )
            if st.session_state.get("last-printer") == printer:
                st.session_state["last-printer"] = new_name
            telling.recorded(
                _(
                    "{printer} is called {new_name} from now on.",
                    printer=printer,
                    new_name=new_name,
                ),
                batch_id,
            )


def _records_of(workshop: session.Workshop, printer: str) -> int:
    return sum(
        int((workshop.records.table(table.name)["printer"] == printer).sum())
        for table in TABLES
        if "printer" in table.names
    )
