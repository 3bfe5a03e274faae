"""Something broke: the part, the time it stood, what it spoiled and the work, in one entry."""

from __future__ import annotations

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
from pages.shell import session, telling
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


def _event(workshop: session.Workshop, printer: str, where: acts.PartPosition | None) -> None:
    """What happened, with or without a part that was changed."""
    mode = how_it_failed(workshop, where.part_kind, "broke") if where else ""
    own = where.part_kind if where else "none"
    usual = PART_FAILED if where else None
    # A head that was struck did not fail of itself: the cause says so until told otherwise.
    start, own = (HEAD_STRIKE, f"{own}-struck") if mode == HEAD_STRIKE else (usual, own)
    cause = pick_cause(f"broke-{own}", start=start)
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
    asked = ask(workshop, _("It broke"), "broke-begin")
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
    touched = [where.part_kind, *(kind for kind, _ in taken_along)] if where else []
    frame.cautions((*of_parts(touched), *cautions_of(cause), *of_tasks(tasks)))
    name = part_in(workshop, where) if where else printer
    seen = seen_in(workshop, where, "broke") if where else None
    with telling.errors_in_words():
        said = {
            "Part": name, "How": mode, "Along": taken_along, "Why": cause, "It broke": asked,
            "It ran again": ended, "Stood": stood, "Pieces": pieces, "Cost": scrap,
            "Work": tasks, "Minutes": minutes, "Fluid": fluid, "New part": new,
            "Counter": counter, "Note": note,
        }  # fmt: skip
        label = with_others(_("Log: {name} broke", name=plain(name)), taken_along)
        # What was logged as a part change or a stoppage already is left out of the event.
        pieces_of_it = (where is not None) + 1 + len(tasks)
        if saving.tapped(
            workshop, "broke-save", label, said, printers=[printer], several=pieces_of_it
        ):
            began = said_moment(asked, _("It broke"))
            zone = zone_name(workshop.records)
            if ended is not None:
                refuse_end_before(began, ended, zone)
            work = acts.TaskDetails(
                "symptom", where.position if where else "",
                minutes=share(minutes, "minutes", len(tasks)),
                fluid_ml=share(fluid, "fluid_ml", len(tasks)),
            )  # fmt: skip
            change = None
            if where and not twice.is_there("fittings"):
                reason = "accident" if is_accident(mode, cause) else "failed"
                removal = acts.Removal(
                    began.date(), reason, mode, None, area(counter), note, taken_along, seen
                )
                fitted_on = ended.date() if ended is not None else None
                change = acts.PartChange(where, removal, new, fitted_on)
            spoiled = _("{pieces} pieces spoiled", pieces=pieces.strip()) if pieces.strip() else ""
            # What spoiled goods cost is kept with a stoppage, if need be one of no length.
            stoppage = acts.Stoppage(
                printer, began, began if stood == NEVER_STOOD else ended, cause,
                scrap_cost=money(scrap), note=spoiled if where else "; ".join(
                    filter(None, (spoiled, note))
                ),
                time_zone=zone,
            )  # fmt: skip
            stopped = stood != NEVER_STOOD or bool(spoiled or scrap.strip())
            stopped = stopped and not twice.is_there("stoppages")
            event = acts.Breakdown(
                printer,
                began.date(),
                change,
                stoppage if stopped else None,
                twice.rest(tasks),
                work,
            )
            batch_id = acts.something_broke(
                workshop.store, event, again=twice.again(), who=session.who(), now=session.now()
            )
            struck = printer if is_head_strike(mode, cause) else ""
            told = _("{name}: logged as one event.", name=name)
            if stopped and stoppage.ended_at is None:
                told = _(
                    "{name}: logged as one event; {printer} stands still until you say that it "
                    "runs again.",
                    name=name,
                    printer=printer,
                )
            saving.saved(told, batch_id, "broke-", struck=struck)
