"""A printer joins the workshop, or leaves it."""

from __future__ import annotations

from collections import Counter

import streamlit as st

from pages.forms import saving
from pages.forms.ages import ask_ages
from pages.forms.fields import pick_day, pick_known, pick_person, pick_printer
from pages.forms.printer_layout import ask_layout
from pages.shell import session, telling
from pages.shell.words import plain
from tracker.language import N_, _
from tracker.sharing.roles import MANAGE
from tracker.store import acts
from tracker.workshop import vocabulary as words
from tracker.workshop.variants import PartType

JOINS, LEAVES = N_("A new printer"), N_("A printer was retired")
PARTS_IN: dict[acts.UsualParts, str] = {
    "new": N_("New printer: its parts went in that day"),
    "unknown": N_("In use already: its parts went in some day before the log"),
    "none": N_("I write its parts down myself"),
}


def show(workshop: session.Workshop) -> None:
    """A new printer with its channels; a retired one closes its fittings."""
    what: str | None = JOINS
    if len(workshop.records.printers):
        what = st.segmented_control(
            _("What?"), [JOINS, LEAVES], default=JOINS, required=True, format_func=_,
            key="printer-what",
        )  # fmt: skip
    if what == LEAVES:
        _retire(workshop)
    elif what == JOINS:
        _join(workshop)


def _join(workshop: session.Workshop) -> None:
    name = st.text_input(_("Name of the printer, as you call it"), key="printer-name")
    layout = ask_layout("printer")
    day = pick_day(workshop, _("First day in the workshop"), "printer-day")
    parts = st.radio(
        _("Its parts"),
        list(PARTS_IN),
        format_func=lambda name: _(PARTS_IN[name]),
        key="printer-parts",
        help=_("Its heads, a damper per channel, wiper, cap and pump are written down for it."),
    )
    guesses: dict[str, float | None] = {}
    if parts == "unknown":
        st.markdown(_("**As far as you can tell** – a rough answer does; “no idea” is one too."))
        fitted = acts.usual_parts(layout.channels, heads=layout.heads)
        usual = Counter(PartType(kind) for kind, _ in fitted)
        asked = ask_ages(usual, "printer")
        guesses = {part.part_kind: guess for part, guess in asked.items()}
    with st.expander(_("Details: site, model, type of printhead")):
        known = workshop.records.printers
        site = pick_known(_("Site"), known["site"], "printer-site")
        model = pick_known(_("Model"), known["model"], "printer-model")
        types = set(known["head_type"]) - {""}
        # The workshop's own words for its types go before the usual ones: no second spelling.
        start = layout.head_type if not types or layout.head_type in types else ""
        head_type = pick_known(
            _("Type of printhead"), types, f"printer-head-type-{start}", start=start, say=words.said
        )
        pick_person()
    with telling.errors_in_words():
        said = {"Name": name, "Layout": layout, N_("First day"): day, "Parts": parts, **guesses}
        if saving.tapped(workshop, "printer-save", _join_label(name), said, role=MANAGE):
            new = acts.NewPrinter(
                name.strip(), day, site=site, model=model, head_type=head_type,
                channels=layout.channels, heads=layout.heads, usual_parts=parts or "none",
                age_guess_days=guesses,
            )  # fmt: skip
            batch_id = acts.add_printer(workshop.store, new)
            st.session_state["last-printer"] = name.strip()
            saving.saved(_("{name} is in the workshop.", name=name.strip()), batch_id, "printer-")


def _join_label(name: str) -> str:
    return (
        _("Add the printer {name}", name=plain(name.strip()))
        if name.strip()
        else _("Add this printer")
    )


def _retire(workshop: session.Workshop) -> None:
    printer = pick_printer(workshop, "retire")
    if not printer:
        return
    day = pick_day(workshop, _("Last day"), "retire-day")
    with telling.errors_in_words():
        said = {"Printer": printer, "Last day": day}
        if saving.tapped(
            workshop,
            "retire-save",
            _("Retire {printer}", printer=plain(printer)),
            said,
            printers=[printer],
            role=MANAGE,
        ):
            batch_id = acts.retire_printer(workshop.store, printer, day)
            saving.saved(
                _("{printer} retired; its parts left with it.", printer=printer),
                batch_id,
                "retire-",
            )
