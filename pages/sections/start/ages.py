"""Second step: for how long have the parts been in?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import streamlit as st

from pages.forms.ages import age_key, ask_ages
from pages.sections.start import printers, said
from pages.sections.start.printers import SaidPrinter
from pages.shell import session
from tracker.language import N_, _
from tracker.store import acts
from tracker.workshop.age_guesses import AGE_GUESSES, NO_IDEA
from tracker.workshop.fitted_types import HEAD
from tracker.workshop.variants import PartType

ALIKE, EACH = N_("The same for all printers"), N_("For each printer")


def types_of(printer: SaidPrinter) -> Counter[PartType]:
    """How many parts of each type are in that printer."""
    layout = printer.layout
    return Counter(
        PartType(kind, layout.head_type if kind == HEAD else "")
        for kind, _ in acts.usual_parts(layout.channels, heads=layout.heads)
    )


def types_in_all(all_printers: Sequence[SaidPrinter]) -> Counter[PartType]:
    """How many parts of each type are in all of them together."""
    return sum(map(types_of, all_printers), Counter())


def guesses(number: int, printer: SaidPrinter) -> dict[str, float | None]:
    """The age of each kind in the printer of that number, in days; None for no idea."""
    whose = str(number) if said.answer("ages") == EACH else "all"
    return {
        part.part_kind: AGE_GUESSES.get(said.answer(age_key(whose, part), NO_IDEA))
        for part in types_of(printer)
    }


def show(_place: session.Workshop) -> None:
    """One row of taps per type of part, for all printers at once unless they differ."""
    st.markdown(_("A rough answer does; “no idea” is one too."))
    all_printers = printers.named()
    if len(all_printers) > 1:
        each = st.segmented_control(
            _("Are the parts of the same age in every printer?"),
            [ALIKE, EACH],
            default=ALIKE,
            required=True,
            format_func=_,
            key=f"{said.FIELD}ages",
        )
        if each == EACH:
            _each(all_printers)
            return
    ask_ages(types_in_all(all_printers), said.FIELD + "all")


def _each(all_printers: Sequence[SaidPrinter]) -> None:
    """Each printer by itself; what was said for all of them is what it begins with."""
    for number, printer in enumerate(all_printers):
        parts = types_of(printer)
        for part in parts:
            key = f"{said.FIELD}{age_key(str(number), part)}"
            if key not in st.session_state:
                st.session_state[key] = said.answer(age_key("all", part), NO_IDEA)
        with st.container(border=True):
            st.text(printer.name)
            ask_ages(parts, f"{said.FIELD}{number}")
