"""A printer joins the workshop, or leaves it."""

from __future__ import annotations

from collections import Counter

import streamlit as st

from pages import frame
from pages.forms import saving
from pages.forms.ages import ask_ages
from pages.forms.fields import pick_day, pick_known, pick_person, pick_printer
from pages.forms.printer_layout import ask_layout
from pages.sections.review.words import plain
from tracker.store import acts
from tracker.workshop.variants import PartType

PARTS_IN: dict[acts.UsualParts, str] = {
    "new": "New printer: its parts went in that day",
    "unknown": "In use already: its parts went in some day before the log",
    "none": "I write its parts down myself",
}


def show(workshop: frame.Workshop) -> None:
    """A new printer with its channels; a retired one closes its fittings."""
    joins, leaves = "A new printer", "A printer was retired"
    what: str | None = joins
    if len(workshop.records.printers):
        what = st.segmented_control(
            "What?", [joins, leaves], default=joins, required=True, key="printer-what"
        )
    if what == leaves:
        _retire(workshop)
    elif what == joins:
        _join(workshop)


def _join(workshop: frame.Workshop) -> None:
    name = st.text_input("Name of the printer, as you call it", key="printer-name")
    layout = ask_layout("printer")
    day = pick_day(workshop, "First day in the workshop", "printer-day")
    parts = st.radio(
        "Its parts", list(PARTS_IN), format_func=PARTS_IN.__getitem__, key="printer-parts",
        help="Its heads, a damper per channel, wiper, cap and pump are written down for it.",
    )  # fmt: skip
    guesses: dict[str, float | None] = {}
    if parts == "unknown":
        st.markdown("**As far as you can tell** – a rough answer does; “no idea” is one too.")
        fitted = acts.usual_parts(layout.channels, heads=layout.heads)
        usual = Counter(PartType(kind) for kind, _ in fitted)
        asked = ask_ages(usual, "printer")
        guesses = {part.part_kind: guess for part, guess in asked.items()}
    with st.expander("Details: site, model, type of printhead"):
        known = workshop.records.printers
        site = pick_known("Site", known["site"], "printer-site")
        model = pick_known("Model", known["model"], "printer-model")
        types = set(known["head_type"]) - {""}
        # The workshop's own words for its types go before the usual ones: no second spelling.
        start = layout.head_type if not types or layout.head_type in types else ""
        head_type = pick_known(
            "Type of printhead", types, f"printer-head-type-{start}", start=start
        )
        pick_person()
    with frame.errors_in_words():
        said = {"Name": name, "Layout": layout, "First day": day, "Parts": parts, **guesses}
        if saving.tapped(workshop, "printer-save", _join_label(name), said):
            new = acts.NewPrinter(
                name.strip(), day, site=site, model=model, head_type=head_type,
                channels=layout.channels, heads=layout.heads, usual_parts=parts or "none",
                age_guess_days=guesses,
            )  # fmt: skip
            batch_id = acts.add_printer(workshop.store, new, who=frame.who(), now=frame.now())
            st.session_state["last-printer"] = name.strip()
            saving.saved(f"{name.strip()} is in the workshop.", batch_id, "printer-")


def _join_label(name: str) -> str:
    return f"Add the printer {plain(name.strip())}" if name.strip() else "Add this printer"


def _retire(workshop: frame.Workshop) -> None:
    printer = pick_printer(workshop, "retire")
    if not printer:
        return
    day = pick_day(workshop, "Last day", "retire-day")
    with frame.errors_in_words():
        said = {"Printer": printer, "Last day": day}
        if saving.tapped(workshop, "retire-save", f"Retire {plain(printer)}", said):
            batch_id = acts.retire_printer(
                workshop.store, printer, day, who=frame.who(), now=frame.now()
            )
            saving.saved(f"{printer} retired; its parts left with it.", batch_id, "retire-")
