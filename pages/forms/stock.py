"""Count the shelf, or write down what went on or off it."""

from __future__ import annotations

import streamlit as st

from pages.forms import saving
from pages.forms.fields import any_day, number_in, pick_day, pick_person
from pages.forms.part_type import pick_type, shelf_types, type_label
from pages.forms.together import twice
from pages.shell import session, telling
from pages.shell.words import plain
from tracker.language import N_, _
from tracker.say import numbers, part_types
from tracker.store import acts
from tracker.workshop.contract import STOCK
from tracker.workshop.variants import PartType
from tracker.workshop.variants import part_types as types_in_use

COUNT = N_("Counted the shelf")
MOVES = {
    COUNT: "counted", N_("Put on the shelf"): "received", N_("Taken for use"): "used",
    N_("Thrown away"): "scrapped",
}  # fmt: skip


def show(workshop: session.Workshop) -> None:
    """A count sets the shelf to what is there; a movement adds or takes away."""
    what = st.segmented_control(
        _("What?"), list(MOVES), default=COUNT, required=True, format_func=_,
        key="stock-what",
    )  # fmt: skip
    if what == COUNT:
        _count_sheet(workshop)
    elif what:
        _movement(workshop, what)


def _count_sheet(workshop: session.Workshop) -> None:
    """One number for each type; those left empty stay as they are."""
    st.caption(_("Write down what you counted; what you leave empty stays as it is."))
    in_use = types_in_use(workshop.records)
    found: dict[PartType, int | None] = {}
    for part in in_use:
        found[part] = _pieces(part)
    others = [part for part in shelf_types(workshop) if part not in in_use]
    with st.expander(_("Other parts")):
        for part in others:
            found[part] = _pieces(part)
    with st.expander(_("Details: day")):
        day = pick_day(workshop, _("Day"), "stock-day")
        pick_person()
    with telling.errors_in_words():
        counted = {part: pieces for part, pieces in found.items() if pieces is not None}
        said = {type_label(part): pieces for part, pieces in counted.items()}
        if saving.tapped(
            workshop, "stock-save", _("Log this count"), {**said, "Day": day},
            at_least=dict.fromkeys(said, 0),
        ):  # fmt: skip
            batch = acts.count_stock(workshop.store, counted, day)
            told = _(
                "Counted on the shelf: {pieces} of {types}.",
                pieces=numbers.count(sum(counted.values()), "piece", "pieces"),
                types=numbers.count(len(counted), "type of part", "types of part"),
            )
            saving.saved(told, batch, "stock-", "count-")


def _pieces(part: PartType) -> int | None:
    pieces = st.number_input(
        plain(type_label(part)),
        value=None,
        step=1,
        placeholder=_("not counted"),
        key=f"count-{part.part_kind}-{part.variant}",
    )
    return None if pieces is None else int(pieces)


def _movement(workshop: session.Workshop, what: str) -> None:
    part = pick_type(workshop, "stock-kind")
    if not part:
        return
    pieces = int(st.number_input(_("Pieces"), value=0, step=1, key="stock-n"))
    with st.expander(_("Details: day, price, best before")):
        day = pick_day(workshop, _("Day"), "stock-day")
        cost = st.text_input(_("Price of one piece"), key="stock-cost")
        best = any_day(_("Best before"), None, "stock-best")
        pick_person()
    with telling.errors_in_words():
        said = {
            "What": what, "Part": type_label(part), "Pieces": pieces, "Day": day, "Price": cost,
            "Best before": best,
        }  # fmt: skip
        if saving.tapped(
            workshop, "stock-save", _("Log this"), said,
            ahead=("Best before",), at_least={"Pieces": 1},
        ):  # fmt: skip
            reason = MOVES[what]
            moved = pieces if reason == "received" else -pieces
            price = number_in(cost, STOCK.column("unit_cost"), price_of=part)
            movement = acts.Movement(
                part.part_kind, day, moved, reason, price, best, variant=part.variant
            )
            batch = acts.move_stock(workshop.store, movement, again=twice.again())
            told = f"{_(what)}: {pieces} × {part_types.within(part)}."
            saving.saved(told, batch, "stock-", "count-")
