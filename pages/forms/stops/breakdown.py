"""Something broke: the part, the time it stood, what it spoiled and the work, in one entry."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

import streamlit as st

from pages import frame
from pages.forms import saving
from pages.forms.fields import ask_moment, pick_moment, pick_person, pick_printer, said_moment
from pages.forms.part_fields import (
    along,
    area,
    fitted_in,
    from_shelf,
    how_it_failed,
    new_part,
    own_words_for_how,
    part_in,
    pick_place,
    seen_in,
    with_others,
)
from pages.forms.stops.runs_again import money, refuse_end_before
from pages.forms.stops.stoppage import pick_cause
from pages.forms.task import of_tasks, share, symptom_tasks
from pages.forms.together import twice
from pages.shell import drafts, session, telling
from pages.shell.time_zone import zone_name
from pages.shell.words import plain
from tracker.language import N_, _
from tracker.say import numbers
from tracker.store import acts
from tracker.workshop.parts.cautions import of_parts
from tracker.workshop.stoppage_causes import (
    HEAD_STRIKE,
    PART_FAILED,
    cautions_of,
    is_accident,
    is_head_strike,
)

RUNS, STANDS, NEVER_STOOD = N_("It runs again"), N_("It still stands"), N_("It never stood still")


def show(workshop: session.Workshop) -> None:
    """One event, one entry, one undo."""
    saving.nothing_unsaid()
    printer = pick_printer(workshop, "broke")
    if not printer:
        return
    question = _("Which part failed, or printed too poorly?")
    said, where = pick_place(workshop, printer, "broke", question)
    if not said:
        st.caption(_("Pick the part that was changed, or say that none was."))
        return
    _event(workshop, printer, where)


@dataclass(frozen=True)
class _Said:
    """What the fields say of one breakdown; numbers and sums as typed."""

    part: str
    where: acts.PartPosition | None
    mode: str
    taken_along: tuple[tuple[str, str], ...]
    cause: str
    began: datetime | None
    ended: datetime | None
    stood: str
    pieces: str
    scrap: str
    tasks: tuple[str, ...]
    minutes: str
    fluid: str
    new: acts.NewPart | None
    counter: str
    note: str
    seen: int | None

    def by_field(self) -> dict[str, object]:
        """By the fields' names, for the checks that all forms share."""
        return {
            "Part": self.part, "How": self.mode, "Along": self.taken_along, "Why": self.cause,
            "It broke": self.began, "It ran again": self.ended, "Stood": self.stood,
            "Pieces": self.pieces, "Cost": self.scrap, "Work": self.tasks,
            "Minutes": self.minutes, "Fluid": self.fluid, "New part": self.new,
            "Counter": self.counter, "Note": self.note,
        }  # fmt: skip

    def spoiled(self) -> str:
        if not self.pieces.strip():
            return ""
        return _("{pieces} pieces spoiled", pieces=self.pieces.strip())


def _event(workshop: session.Workshop, printer: str, where: acts.PartPosition | None) -> None:
    """What happened, with or without a part that was changed."""
    said = _asked(workshop, printer, where)
    with telling.errors_in_words():
        label = with_others(_("Log: {name} broke", name=plain(said.part)), said.taken_along)
        pieces_of_it = (where is not None) + 1 + len(said.tasks)
        if saving.tapped(
            workshop,
            "broke-save",
            label,
            said.by_field(),
            printers=[printer],
            several=pieces_of_it,
        ):
            _log(workshop, printer, said)


def _asked(workshop: session.Workshop, printer: str, where: acts.PartPosition | None) -> _Said:
    """The fields, what is nearly always said first."""
    mode = how_it_failed(workshop, where, "broke") if where else ""
    own = [where.part_kind, where.position] if where else ["none"]
    start = PART_FAILED if where else None
    if mode == HEAD_STRIKE:  # it did not fail of itself: the cause says so until told otherwise
        start, own = HEAD_STRIKE, [*own, "struck"]
    cause = pick_cause(drafts.of_place("broke-why", printer, *own), start=start)
    stood = st.segmented_control(
        _("Did it stand still?"),
        [RUNS, STANDS, NEVER_STOOD],
        default=RUNS,
        required=True,
        format_func=_,
        key="broke-stood",
    )
    # Logged once it runs again: that is about now, and it broke at some time before.
    ask = ask_moment if stood == RUNS else pick_moment
    began = ask(workshop, _("It broke"), "broke-begin")
    ended = pick_moment(workshop, _("It ran again"), "broke-end") if stood == RUNS else None
    is_in = where is not None and st.toggle(
        _("The new part is in"), value=stood != STANDS, key=f"broke-in-{stood}"
    )
    taken_along: tuple[tuple[str, str], ...] = ()
    shelf = False
    if where and is_in:
        taken_along = along(workshop, where.part_kind, fitted_in(workshop, printer), "broke")
        shelf = from_shelf(workshop, where, "broke")
    pieces = st.text_input(_("Spoiled pieces"), key="broke-pieces")
    currency = numbers.currency_sign(workshop.currency)
    scrap = st.text_input(_("What they cost ({currency})", currency=currency), key="broke-scrap")
    details = (
        _("Details: cleans because of it, supplier, batch, serial, note")
        if where and is_in
        else _("Details: cleans because of it, note")
    )
    with st.expander(details):
        tasks = symptom_tasks("broke")
        minutes = st.text_input(_("Minutes they took, all together"), key="broke-minutes")
        fluid = st.text_input(_("Fluid or ink used (ml), all together"), key="broke-fluid")
        new, counter = None, ""
        if where:
            mode = own_words_for_how(mode, "broke")
        if where and is_in:
            new, counter = new_part(workshop, where, "broke", from_stock=shelf)
        note = st.text_input(_("Note"), key="broke-note")
        pick_person()
    touched = [where.part_kind, *(kind for kind, _position in taken_along)] if where else []
    frame.cautions((*of_parts(touched), *cautions_of(cause), *of_tasks(tasks)))
    return _Said(
        part=part_in(workshop, where) if where else printer,
        seen=seen_in(workshop, where, "broke") if where else None,
        where=where, mode=mode, taken_along=taken_along, cause=cause, began=began, ended=ended,
        stood=stood, pieces=pieces, scrap=scrap, tasks=tuple(tasks), minutes=minutes, fluid=fluid,
        new=new, counter=counter, note=note,
    )  # fmt: skip


def _log(workshop: session.Workshop, printer: str, said: _Said) -> None:
    """Keep it as one event; what was logged as a part change or a stoppage already is left out."""
    began = said_moment(said.began, _("It broke"))
    if said.ended is not None:
        refuse_end_before(began, said.ended, zone_name(workshop.records))
    change = None if twice.is_there("fittings") else _part_change(workshop, said, began)
    stoppage = _stoppage(workshop, printer, said, began)
    work = acts.TaskDetails(
        "symptom",
        said.where.position if said.where else "",
        minutes=share(said.minutes, "minutes", len(said.tasks)),
        fluid_ml=share(said.fluid, "fluid_ml", len(said.tasks)),
    )
    event = acts.Breakdown(
        printer, began.date(), change, stoppage, twice.rest(said.tasks), work
    )  # fmt: skip
    batch_id = acts.something_broke(workshop.store, event, again=twice.again())
    struck = printer if is_head_strike(said.mode, said.cause) else ""
    told = _("{name}: logged as one event.", name=said.part)
    if stoppage is not None and stoppage.ended_at is None:
        told = _(
            "{name}: logged as one event; {printer} stands still until you say that it runs again.",
            name=said.part,
            printer=printer,
        )
    saving.saved(told, batch_id, "broke-", struck=struck)


def _part_change(
    workshop: session.Workshop, said: _Said, began: datetime
) -> acts.PartChange | None:
    if said.where is None:
        return None
    reason = "accident" if is_accident(said.mode, said.cause) else "failed"
    removal = acts.Removal(
        began.date(), reason, said.mode, None,
        area(workshop, said.where.printer, began.date(), said.counter), said.note,
        said.taken_along, said.seen,
    )  # fmt: skip
    fitted_on = said.ended.date() if said.ended is not None else None
    return acts.PartChange(said.where, removal, said.new, fitted_on)


def _stoppage(
    workshop: session.Workshop, printer: str, said: _Said, began: datetime
) -> acts.Stoppage | None:
    """How long it stood; spoiled goods are kept with a stoppage too, if need be of no length."""
    spoiled = said.spoiled()
    never_stood = said.stood == NEVER_STOOD
    if twice.is_there("stoppages") or (never_stood and not (spoiled or said.scrap.strip())):
        return None
    return acts.Stoppage(
        printer,
        began,
        began if never_stood else said.ended,
        said.cause,
        scrap_cost=money(said.scrap),
        note=spoiled if said.where else "; ".join(filter(None, (spoiled, said.note))),
        time_zone=zone_name(workshop.records),
    )
