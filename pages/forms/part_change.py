"""A part came out and a new one went in."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from pages import frame
from pages.forms import saving
from pages.forms.fields import any_day, optional, pick_day, pick_person, pick_printer
from pages.sections.standing import empty_places
from tracker.store import acts
from tracker.workshop import vocabulary as words

FIRST_PART = "First part in a new place"


def show(place: frame.Workshop) -> None:
    """Four taps for the usual case; details only when wanted."""
    printer = pick_printer(place, "part")
    if not printer:
        return
    fitted = place.records.fittings
    fitted = fitted[(fitted["printer"] == printer) & fitted["removed_on"].isna()]
    empty = empty_places(place.records)
    empty = empty[empty["printer"] == printer]
    there = {*fitted["part_kind"], *empty["part_kind"]}
    kinds = [k for k in place.records.part_kinds() if k in there]
    kind = st.pills(
        "Which part?", [*kinds, FIRST_PART], required=True,
        format_func=lambda k: k if k == FIRST_PART else words.part_label(k), key="part-kind",
    )  # fmt: skip
    if not kind:
        st.caption("Pick the part that was changed.")
    elif kind == FIRST_PART:
        _first_part(place, printer)
    else:
        vacant = set(empty.loc[empty["part_kind"] == kind, "position"])
        _in_place(place, printer, kind, fitted, vacant)


def _in_place(
    place: frame.Workshop, printer: str, kind: str, fitted: pd.DataFrame, vacant: set[str]
) -> None:
    """The place of that kind of part, then what happens in it."""
    positions = sorted({*fitted.loc[fitted["part_kind"] == kind, "position"], *vacant})
    position: str | None = positions[0]
    if len(positions) > 1:
        position = st.pills(
            "Where?", positions, required=True, key=f"part-position-{kind}",
            format_func=lambda name: f"{name} (empty)" if name in vacant else name,
        )  # fmt: skip
    if position in vacant:
        _fill(place, printer, kind, position)
    elif position:
        _change(place, printer, kind, position, fitted)


def _change(
    place: frame.Workshop, printer: str, kind: str, position: str, fitted: pd.DataFrame
) -> None:
    facts = place.records.part_facts(kind)
    reason = st.pills(
        "Why did it come out?", [r for r in words.REMOVAL_REASONS if r != "retired"],
        format_func=words.REMOVAL_REASON_LABELS.__getitem__, default="failed", required=True,
        key="part-reason",
    )  # fmt: skip
    along = _along(place, printer, kind, fitted)
    with st.expander("Details: day, how it failed, serial, supplier"):
        day = pick_day(place, "Day", "part-day")
        mode = ""
        if reason in ("failed", "accident"):
            mode = st.selectbox(
                "How it failed", facts.failure_modes, index=None, accept_new_options=True,
                placeholder="Pick or type", key=f"part-mode-{kind}",
            ) or ""  # fmt: skip
        last_ok = None
        if reason == "failed":
            last_ok = any_day("Last day seen good (if not the day before)", None, "part-last-ok")
        supplier = _suppliers(place, kind)
        batch = st.text_input("Batch of the new part", key="part-batch")
        serial = st.text_input("Serial of the new part", key="part-serial")
        counter = st.text_input("Area counter (m²)", key="part-counter")
        from_stock = st.checkbox("Taken from the shelf", value=True, key="part-shelf")
        note = st.text_input("Note", key="part-note")
        pick_person()
    name = f"{words.part_name(kind, position)} of {printer}"
    with frame.errors_in_words():
        said = {
            "Part": name, "Why": reason, "Day": day, "How": mode, "Last day seen good": last_ok,
            "Supplier": supplier, "Batch": batch, "Serial": serial, "Counter": counter,
            "Along": along, "Shelf": from_stock, "Note": note,
        }  # fmt: skip
        if saving.tapped(place, "part-save", f"Log: {name} changed", said):
            batch_id = acts.change_part(
                place.store, printer, kind, position, day, reason or "unknown", mode=mode,
                last_ok_on=last_ok, serial=serial, supplier=supplier, batch=batch,
                counter_m2=optional(counter), along=along, from_stock=from_stock, note=note,
                who=frame.who(), now=frame.now(),
            )  # fmt: skip
            extra = f" with {len(along)} other parts" if along else ""
            frame.recorded(f"{name} changed{extra}.", batch_id)
    frame.cautions(("carriage", "ribbon", "nozzle_plate", "chemicals"))


def _fill(place: frame.Workshop, printer: str, kind: str, position: str) -> None:
    """A part goes into a place that stands empty."""
    with st.expander("Details: day, serial, supplier"):
        day = pick_day(place, "Day it went in", "fill-day")
        supplier = _suppliers(place, kind)
        batch = st.text_input("Batch of the new part", key="fill-batch")
        serial = st.text_input("Serial of the new part", key="fill-serial")
        counter = st.text_input("Area counter (m²)", key="fill-counter")
        from_stock = st.checkbox("Taken from the shelf", value=True, key="fill-shelf")
        pick_person()
    name = f"{words.part_name(kind, position)} of {printer}"
    with frame.errors_in_words():
        said = {
            "Part": name, "Day it went in": day, "Supplier": supplier, "Batch": batch,
            "Serial": serial, "Counter": counter, "Shelf": from_stock,
        }  # fmt: skip
        if saving.tapped(place, "fill-save", f"Log: {name} put in", said):
            batch_id = acts.fit_first_part(
                place.store, printer, kind, position, day, serial=serial, supplier=supplier,
                batch=batch, counter_m2=optional(counter), from_stock=from_stock,
                who=frame.who(), now=frame.now(),
            )  # fmt: skip
            frame.recorded(f"{name} put in.", batch_id)
    frame.cautions(("carriage", "ribbon", "nozzle_plate", "chemicals"))


def _along(
    place: frame.Workshop, printer: str, kind: str, fitted: pd.DataFrame
) -> tuple[tuple[str, str], ...]:
    """The parts that go with this one by the catalogue, unless the person says otherwise."""
    others = [k for k in fitted["part_kind"].unique() if k != kind]
    with_it = [k for k in others if place.records.part_facts(k).replaced_with == kind]
    taken: list[tuple[str, str]] = []
    for other in with_it:
        rows = fitted[fitted["part_kind"] == other]
        label = f"New {words.part_label(other).lower()}s went in too ({len(rows)})"
        if st.checkbox(label, value=True, key=f"part-along-{other}"):
            taken += [(other, position) for position in sorted(rows["position"])]
    return tuple(taken)


def _suppliers(place: frame.Workshop, kind: str) -> str:
    rows = place.records.fittings
    known = rows.loc[(rows["part_kind"] == kind) & (rows["supplier"] != ""), "supplier"]
    return st.selectbox(
        "Supplier of the new part", sorted(known.unique()), index=None, accept_new_options=True,
        placeholder="Pick or type", key=f"part-supplier-{kind}",
    ) or ""  # fmt: skip


def _first_part(place: frame.Workshop, printer: str) -> None:
    """A part in a place that the log does not know yet."""
    kind = st.selectbox(
        "Kind of part", words.BUILT_IN_PART_KINDS, index=None, format_func=words.part_label,
        accept_new_options=True, placeholder="Pick, or type your own kind", key="first-kind",
    )  # fmt: skip
    position = st.text_input("Place in the printer, e.g. H1, W1, wiper", key="first-position")
    unknown = st.checkbox("It was in before the log began, day not known", key="first-unknown")
    day = None if unknown else pick_day(place, "Day it went in", "first-day")
    with frame.errors_in_words():
        said = {"Printer": printer, "Part": kind, "Place": position, "Day it went in": day}
        if saving.tapped(place, "first-save", "Log this part", said):
            batch_id = acts.fit_first_part(
                place.store, printer, kind or "", position.strip(), day,
                who=frame.who(), now=frame.now(),
            )  # fmt: skip
            frame.recorded(f"{position} of {printer} is in the log.", batch_id)
