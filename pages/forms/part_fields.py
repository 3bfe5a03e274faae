"""Fields of a part that comes out and of the one that goes in, for every form that needs them."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date

import pandas as pd
import streamlit as st

from pages import frame
from pages.forms.counter import last_read, running_totals, shown_in
from pages.forms.fields import pick_known
from pages.shell import drafts, session
from pages.shell.words import plain
from tracker.language import N_, _
from tracker.say import numbers, part_types
from tracker.say.entering.used_parts import goes_on
from tracker.say.spares.on_the_shelf import left_after
from tracker.store import acts
from tracker.workshop import vocabulary as words
from tracker.workshop.empty_positions import empty_positions
from tracker.workshop.moved_parts import last_with
from tracker.workshop.parts.spare_origin import spare_origin
from tracker.workshop.shelf import shelf_now
from tracker.workshop.stoppage_causes import ACCIDENTS, HEAD_STRIKE
from tracker.workshop.variants import PartType, pooled_variants

NO_PART = N_("No part changed")


def fitted_in(workshop: session.Workshop, printer: str) -> pd.DataFrame:
    """The parts that are in that printer now."""
    fitted = workshop.records.fittings
    return fitted[(fitted["printer"] == printer) & fitted["removed_on"].isna()]


def empty_in(workshop: session.Workshop, printer: str) -> pd.DataFrame:
    """The places of that printer that stand empty, those given up as well: what was fitted there
    may still be written down.
    """
    empty = empty_positions(workshop.records.known_at(workshop.as_of), workshop.as_of)
    return empty[empty["printer"] == printer]


def pick_place(
    workshop: session.Workshop,
    printer: str,
    key: str,
    question: str,
    *,
    empty: pd.DataFrame | None = None,
    start: tuple[str, str] | None = None,
) -> tuple[bool, acts.PartPosition | None]:
    """Was said which part of that printer is meant, and which is it (None: no part)?

    ``empty``: its empty places, where they may be meant too. ``start``: kind and position taken
    already, ("", "") for no part; a position "" is asked for.
    """
    fitted = fitted_in(workshop, printer)
    vacant = fitted.iloc[:0] if empty is None else empty
    places = pd.concat([fitted, vacant])[["part_kind", "position"]]
    kinds = [kind for kind in workshop.records.part_kinds() if kind in set(places["part_kind"])]
    kind = st.pills(
        question,
        [*kinds, NO_PART],
        default=None if start is None else start[0] or NO_PART,
        required=True,
        format_func=lambda k: _(NO_PART) if k == NO_PART else plain(words.part_label(k)),
        key=f"{key}-kind",
    )
    if kind in (None, NO_PART):
        return kind is not None, None
    positions = sorted(set(places.loc[places["part_kind"] == kind, "position"]))
    position: str | None = positions[0]
    if len(positions) > 1:
        left_empty = set(vacant.loc[vacant["part_kind"] == kind, "position"])
        position = st.pills(
            _("Where?"),
            positions,
            default=start[1] if start and start[0] == kind and start[1] else None,
            required=True,
            format_func=lambda name: said_place(name, left_empty),
            key=f"{key}-position-{kind}",
        )
    return bool(position), acts.PartPosition(printer, kind, position) if position else None


def said_place(position: str, empty: Collection[str]) -> str:
    """The name of a place, with a word for one that stands empty."""
    return plain(_("{place} (empty)", place=position) if position in empty else position)


def how_it_failed(
    workshop: session.Workshop, where: acts.PartPosition, key: str, reason: str | None = None
) -> str:
    """The failure mode as one tap; "" while none is tapped.

    ``reason``: "failed" or "accident" where that is said already, so only its modes are offered;
    else an accident is the second of them.
    """
    kind = where.part_kind
    accidents = [mode for mode in ACCIDENTS if kind == "head" or mode != HEAD_STRIKE]
    modes = [
        mode for mode in workshop.records.part_facts(kind).failure_modes if mode not in ACCIDENTS
    ]
    if reason == "accident":
        modes = accidents
    elif reason != "failed":
        modes[1:1] = accidents[:1]
    if not modes:
        return ""
    key = drafts.of_place(f"{key}-mode", where.printer, kind, where.position)
    return (
        st.pills(
            _("How did it fail?"), modes, format_func=lambda mode: plain(words.said(mode)), key=key
        )
        or ""
    )


def own_words_for_how(picked: str, key: str) -> str:
    """The failure mode in the person's own words, where none of the taps fits."""
    typed = st.text_input(_("How it failed, in your own words"), key=f"{key}-mode-typed")
    return typed.strip() or picked


def along(
    workshop: session.Workshop, kind: str, fitted: pd.DataFrame, key: str
) -> tuple[tuple[str, str], ...]:
    """The parts that go with this one by the catalogue, unless the person says otherwise."""
    others = [k for k in fitted["part_kind"].unique() if k != kind]
    with_it = [k for k in others if workshop.records.part_facts(k).replaced_with == kind]
    taken: list[tuple[str, str]] = []
    for other in with_it:
        rows = fitted[fitted["part_kind"] == other]
        variants = sorted(set(pooled_variants(workshop.records)[rows.index]))
        kinds = part_types.of_all_within(other, variants, plural=True)
        label = _("New {kinds} went in too ({count})", kinds=kinds, count=len(rows))
        if st.checkbox(label, value=True, key=f"{key}-along-{other}"):
            taken += [(other, position) for position in sorted(rows["position"])]
    return tuple(taken)


def with_others(told: str, taken_along: Collection[object]) -> str:
    """What is said of a change, with how many other parts go in along with it."""
    if not taken_along:
        return told
    others = numbers.count(len(taken_along), "other part", "other parts")
    return _("{told}, with {others}", told=told, others=others)


def from_shelf(workshop: session.Workshop, where: acts.PartPosition, key: str) -> bool:
    """Is the part that goes in taken from the shelf? With what is left there afterwards."""
    taken = st.checkbox(_("Taken from the shelf"), value=True, key=f"{key}-shelf")
    if taken:
        part = PartType(where.part_kind, _variant_in(workshop, where))
        st.caption(plain(left_after(part, session.ask(shelf_now).get(part))))
    return taken


def new_part(
    workshop: session.Workshop, where: acts.PartPosition, key: str, *, from_stock: bool
) -> tuple[acts.NewPart, str]:
    """Fields for the part that goes in, and for the counter as typed.

    Supplier and batch stand there already, as far as the delivery of the spare is known.
    """
    kind = where.part_kind
    rows = workshop.records.fittings
    origin = spare_origin(workshop.records, kind, _variant_in(workshop, where), workshop.as_of)
    known = rows.loc[rows["part_kind"] == kind, "supplier"]
    own = f"{kind}-{where.printer}"
    if st.session_state.setdefault(f"origin-{key}-{own}", origin) != origin:  # another delivery
        st.session_state[f"origin-{key}-{own}"] = origin
        drafts.forget(f"{key}-supplier-{own}", f"{key}-batch-{own}")
    supplier = pick_known(
        _("Supplier of the new part"), known, f"{key}-supplier-{own}", start=origin.supplier
    )
    batch = st.text_input(_("Batch of the new part"), value=origin.batch, key=f"{key}-batch-{own}")
    serial = st.text_input(_("Serial of the new part"), key=f"{key}-serial").strip()
    before = last_with(workshop.records, kind, serial)
    if before is not None and not pd.isna(before["removed_on"]):
        st.caption(plain(goes_on(before)))
    counter = st.text_input(_("Area counter (m²)"), key=f"{key}-counter")
    if before is not None:  # known already: it lay on no shelf of spares and is not bought anew
        used = acts.NewPart(serial, before["supplier"], before["batch"], None, from_stock=False)
        return used, counter
    price = origin.unit_cost if from_stock and supplier == origin.supplier else None
    return acts.NewPart(serial, supplier, batch.strip(), price, from_stock=from_stock), counter


def part_in(workshop: session.Workshop, where: acts.PartPosition) -> str:
    """The part that is, or was last, in that place, by its name, its type and its printer."""
    variant = _variant_in(workshop, where)
    return _(
        "{part} of {printer}",
        part=words.part_name(where.part_kind, where.position, variant=variant),
        printer=where.printer,
    )


def seen_in(workshop: session.Workshop, where: acts.PartPosition, key: str) -> int | None:
    """The record of the part that was in that place when this form was opened for it.

    Somebody else may have changed it since; then it is theirs that was meant.
    """
    fitted = fitted_in(workshop, where.printer)
    here = (fitted["part_kind"] == where.part_kind) & (fitted["position"] == where.position)
    now = int(fitted.index[here][-1]) if here.any() else None
    kept = f"seen-in-{key}"
    opened = (where, workshop.shown)
    if frame.just_opened() or st.session_state.get(kept, (None, None))[0] != opened:
        st.session_state[kept] = (opened, now)
    seen: int | None = st.session_state[kept][1]
    return seen


def _variant_in(workshop: session.Workshop, where: acts.PartPosition) -> str:
    """The type of the part that is, or was last, in that place."""
    rows = workshop.records.fittings
    here = rows[
        (rows["printer"] == where.printer)
        & (rows["part_kind"] == where.part_kind)
        & (rows["position"] == where.position)
    ]
    if here.empty:
        return ""
    return str(pooled_variants(workshop.records)[here.index[-1]])


def area(workshop: session.Workshop, printer: str, day: date, counter: str) -> float | None:
    """The counter as typed, in m²: the running total, also where a new counter shows less."""
    before = last_read(workshop.records, printer, day)
    shown = shown_in(counter, before)
    return shown if shown is None else min(running_totals(before, shown), default=shown)
