"""A part came out and a new one went in."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from pages import frame
from pages.forms import saving
from pages.forms.ages import ask_ages
from pages.forms.fields import any_day, pick_day, pick_person, pick_printer
from pages.forms.part_fields import (
    along,
    area,
    empty_in,
    fitted_in,
    from_shelf,
    how_it_failed,
    new_part,
    own_words_for_how,
    part_in,
    said_place,
    seen_in,
    with_others,
)
from pages.forms.together import twice
from pages.shell import drafts, session, telling
from pages.shell.words import plain
from tracker.language import N_, _
from tracker.say import numbers
from tracker.store import acts
from tracker.workshop import vocabulary as words
from tracker.workshop.parts.cautions import of_parts
from tracker.workshop.stoppage_causes import HEAD_STRIKE
from tracker.workshop.variants import PartType

FIRST_PART = N_("First part in a new place")
_FIELDS = ("part-", "fill-", "first-")
_CHANGED = {
    "failed": N_("{name} failed and was changed"),
    "accident": N_("{name} was changed after an accident"),
    "planned": N_("{name} was changed as planned"),
    "with_other": N_("{name} was changed along with another part"),
    "unknown": N_("{name} was changed"),
}


def show(workshop: session.Workshop) -> None:
    """Four taps for the usual case; details only when wanted."""
    printer = pick_printer(workshop, "part")
    if not printer:
        return
    fitted, empty = fitted_in(workshop, printer), empty_in(workshop, printer)
    there = {*fitted["part_kind"], *empty["part_kind"]}
    kinds = [k for k in workshop.records.part_kinds() if k in there]
    kind = st.pills(
        _("Which part?"),
        [*kinds, FIRST_PART],
        required=True,
        format_func=lambda k: _(FIRST_PART) if k == FIRST_PART else plain(words.part_label(k)),
        key="part-kind",
    )
    if not kind:
        st.caption(_("Pick the part that was changed."))
    elif kind == FIRST_PART:
        _first_part(workshop, printer)
    else:
        vacant = set(empty.loc[empty["part_kind"] == kind, "position"])
        _in_position(workshop, printer, kind, fitted, vacant)


def _in_position(
    workshop: session.Workshop, printer: str, kind: str, fitted: pd.DataFrame, vacant: set[str]
) -> None:
    """The place of that kind of part, then what happens in it."""
    positions = sorted({*fitted.loc[fitted["part_kind"] == kind, "position"], *vacant})
    position: str | None = positions[0]
    if len(positions) > 1:
        position = st.pills(
            _("Where?"),
            positions,
            required=True,
            key=f"part-position-{kind}",
            format_func=lambda name: said_place(name, vacant),
        )
    if position in vacant:
        _fill(workshop, printer, kind, position)
    elif position:
        _change(workshop, printer, kind, position, fitted)


def _change(
    workshop: session.Workshop, printer: str, kind: str, position: str, fitted: pd.DataFrame
) -> None:
    where = acts.PartPosition(printer, kind, position)
    reason = st.pills(
        _("Why did it come out?"),
        [r for r in words.REMOVAL_REASONS if r != "retired"],
        format_func=words.removal_reason_label,
        default="failed",  # the usual case in four taps; the button says which is logged
        required=True,
        key=drafts.of_place("part-reason", printer, kind, position),
    )
    broke = reason in ("failed", "accident")
    worn = reason == "failed"
    asked = "part" if worn else "part-accident"
    mode = how_it_failed(workshop, where, asked, reason) if broke else ""
    taken_along = along(workshop, kind, fitted, "part")
    shelf = from_shelf(workshop, where, "part")
    with st.expander(_("Details: day, last day seen good, supplier, batch, serial")):
        day = pick_day(workshop, _("Day"), "part-day")
        last_ok = None
        if broke:
            mode = own_words_for_how(mode, "part")
        if worn:
            last_ok = any_day(_("Last day seen good (if not the day before)"), None, "part-last-ok")
        new, counter = new_part(workshop, where, "part", from_stock=shelf)
        note = st.text_input(_("Note"), key="part-note")
        pick_person()
    frame.cautions(of_parts([kind, *(other for other, _ in taken_along)]))
    name, seen = part_in(workshop, where), seen_in(workshop, where, "part")
    changed = _CHANGED[reason or "unknown"]
    with telling.errors_in_words():
        said = {
            "Part": name, "Why": reason, "Day": day, "How": mode, N_("Last day seen good"): last_ok,
            "New part": new, "Counter": counter, "Along": taken_along, "Note": note,
        }  # fmt: skip
        label = with_others(_("Log: {changed}", changed=_(changed, name=plain(name))), taken_along)
        if saving.tapped(workshop, "part-save", label, said, printers=[printer]):
            area_m2 = area(workshop, printer, day, counter)
            removal = acts.Removal(
                day, reason or "unknown", mode, last_ok, area_m2, note, taken_along, seen
            )
            batch_id = acts.change_part(
                workshop.store, where, removal, new=new, again=twice.again()
            )
            told = with_others(_(changed, name=name), taken_along)
            if day != saving.latest_day(workshop):
                told = _("{told}, on {day}", told=told, day=numbers.day(day))
            struck = mode == HEAD_STRIKE or (reason == "accident" and kind == "head" and not mode)
            saving.saved(f"{told}.", batch_id, *_FIELDS, struck=printer if struck else "")


def _fill(workshop: session.Workshop, printer: str, kind: str, position: str) -> None:
    """A part goes into a place that stands empty."""
    where = acts.PartPosition(printer, kind, position)
    shelf = from_shelf(workshop, where, "fill")
    with st.expander(_("Details: day, serial, supplier")):
        day = pick_day(workshop, _("Day it went in"), "fill-day")
        new, counter = new_part(workshop, where, "fill", from_stock=shelf)
        pick_person()
    frame.cautions(of_parts([kind]))
    name = part_in(workshop, where)
    with telling.errors_in_words():
        said = {"Part": name, "Day it went in": day, "New part": new, "Counter": counter}
        label = _("Log: {name} put in", name=plain(name))
        if saving.tapped(workshop, "fill-save", label, said, printers=[printer]):
            batch_id = acts.fit_first_part(
                workshop.store,
                where,
                day,
                new=new,
                counter_m2=area(workshop, printer, day, counter),
            )
            saving.saved(_("{name} put in.", name=name), batch_id, *_FIELDS)


def _first_part(workshop: session.Workshop, printer: str) -> None:
    """A part in a place that the log does not know yet."""
    kind = st.selectbox(
        _("Kind of part"),
        words.BUILT_IN_PART_KINDS,
        index=None,
        format_func=words.part_label,
        accept_new_options=True,
        placeholder=_("Pick, or type your own kind"),
        key="first-kind",
    )
    position = st.text_input(_("Place in the printer, e.g. H1, W1, wiper"), key="first-position")
    unknown = st.checkbox(_("It was in before the log began, day not known"), key="first-unknown")
    day = None if unknown else pick_day(workshop, _("Day it went in"), "first-day")
    guess = None
    if unknown and kind:
        (guess,) = ask_ages({PartType(kind): 1}, "first").values()
    with telling.errors_in_words():
        said = {
            "Printer": printer,
            "Part": kind,
            "Place": position,
            "Day it went in": day,
            "Age": guess,
        }
        label = _("Log: a part of {printer}", printer=plain(printer))
        if saving.tapped(workshop, "first-save", label, said, printers=[printer]):
            where = acts.PartPosition(printer, kind or "", position.strip())
            batch_id = acts.fit_first_part(
                workshop.store, where, day, new=acts.NewPart(from_stock=False), age_guess_days=guess
            )
            saving.saved(
                _("{position} of {printer} is in the log.", position=position, printer=printer),
                batch_id,
                *_FIELDS,
            )
