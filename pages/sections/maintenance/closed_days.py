"""Closed days: the question about a silent stretch, and the list to enter, change and remove."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pandas as pd
import streamlit as st

from pages import frame
from pages.forms.fields import any_day
from pages.forms.together import as_read
from pages.shell import acting, links, session, telling
from pages.shell.words import marked
from tracker.decisions.due_days.closed_again import ClosedAgain, closed_again
from tracker.errors import RecordError
from tracker.language import N_, _
from tracker.lives.open_days import quiet_gaps
from tracker.say import numbers
from tracker.say.maintenance import closures as say
from tracker.say.phrases import day_span
from tracker.sharing.roles import MANAGE
from tracker.store import acts
from tracker.workshop.working_days import of_workshop, suppliers_named

_ASKED = 2  # gaps asked about at a time, the latest first
_SHOWN = 12


def go() -> None:
    """Open Maintenance at the closed days."""
    st.session_state["maintenance-view"] = N_("Closed days")
    links.go("maintenance")


def ask(place: session.Workshop, *, here: bool = False) -> None:
    """Was the workshop closed where nothing was written down, and will what was closed a year ago
    be closed again? One tap answers. ``here``: the list of closed days is below.
    """
    gaps = session.ask(quiet_gaps)
    for row in gaps.iloc[::-1].head(_ASKED).itertuples():
        first, last = row.began_on.date(), row.ended_on.date()  # type: ignore[union-attr]
        with st.container(border=True):
            st.markdown(marked(say.gap_question(first, last)))
            closed = acting.either(
                (_("We were closed"), f"gap-closed-{first}"),
                (_("We worked"), f"gap-worked-{first}"),
                role=MANAGE,
            )
            if closed:
                _write(place, acts.Closure(first, last))
            elif closed is False:
                with telling.errors_in_words():
                    batch = acts.worked_through(place.store, first, last)
                    telling.recorded(_("You worked then; this is not asked again."), batch)
    for one in session.ask(closed_again)[:_ASKED]:
        with st.container(border=True):
            _ask_again(place, one, here)


def _ask_again(place: session.Workshop, one: ClosedAgain, here: bool) -> None:
    st.markdown(marked(say.again_question(one)))
    first, last = one.began_on, one.ended_on
    again, no, *other = st.columns(2 if here else 3)
    if acting.button(
        _("Closed again"), at=again, role=MANAGE, key=f"again-yes-{first}-{last}", width="stretch"
    ):
        whom = (acts.Closure(first, last, site=site, supplier=name) for site, name in one.whom)
        _write(place, *whom)
    if acting.button(
        _("Open then"), at=no, role=MANAGE, key=f"again-no-{first}-{last}", width="stretch"
    ):
        with telling.errors_in_words():
            batch = acts.open_again(place.store, first, last)
            telling.recorded(_("You are open then; this is not asked again."), batch)
    for column in other:
        if column.button(_("Other days"), key=f"again-other-{first}-{last}", width="stretch"):
            go()


def show(place: session.Workshop) -> None:
    """The closed days written down, each to change or remove, and a form for new ones."""
    rows = place.records.closures.sort_values("began_on", ascending=False)
    frame.answer(_answer(place))
    ask(place, here=True)
    st.caption(
        _(
            "On closed days no task is due, nothing stands still and no margin is lost. From "
            "five closed days on, the due list says what to do before and after them. A supplier "
            "who is shut sends nothing: order dates and the shelf count these days in."
        )
    )
    with st.expander(_("New closed days"), expanded=rows.empty):
        today = place.as_of
        closure = _fields(place, "closed-new", today, today + timedelta(days=6))
        if acting.button(
            _("Save closed days"), role=MANAGE, type="primary", key="closed-save", width="stretch"
        ):
            _write(place, closure())
    for row_id, row in rows.head(_SHOWN).iterrows():
        with st.expander(marked(say.closure_line(row))):
            _change(place, int(str(row_id)), row)
    if len(rows) > _SHOWN:
        st.caption(_("And {count} older ones, in Records.", count=len(rows) - _SHOWN))


def _answer(place: session.Workshop) -> str:
    known = of_workshop(place.records.closures)
    ahead = known[known["ended_on"] >= str(place.as_of)].sort_values("began_on")
    if ahead.empty:
        before = numbers.count(len(known), "stretch", "stretches")
        return _("No closed days lie ahead; {before} before.", before=before)
    row = ahead.iloc[0]
    span = day_span(row["began_on"].date(), row["ended_on"].date())
    if row["began_on"].date() <= place.as_of:
        return _("Closed {span}.", span=span)
    return _("Next closed {span}.", span=span)


def _change(place: session.Workshop, row_id: int, row: Any) -> None:
    seen = frame.on_screen(f"closure-{row_id}", row.to_dict())
    form = as_read.opened(f"closed-{row_id}", row.to_dict())
    read = pd.Series(form.read)
    closure = _fields(place, form.key, read.began_on.date(), read.ended_on.date(), read)
    form.drawn()
    question = st.container()  # above the buttons, where the finger is
    save, remove = st.columns(2)
    tapped = acting.button(
        _("Save"), at=save, role=MANAGE, key=f"closed-save-{row_id}", width="stretch"
    )
    with question:
        goes = form.goes(tapped)
    if goes:
        with telling.errors_in_words():
            with form.saving():
                changed = acts.Closure(**form.typed(vars(closure())))
                batch = acts.change_closure(place.store, row_id, changed, as_read=form.read)
            form.saved(_("Closed days changed."), batch)
    if acting.button(
        _("Remove"), at=remove, role=MANAGE, key=f"closed-remove-{row_id}", width="stretch"
    ):
        with telling.errors_in_words():
            done = place.store.remove("closures", row_id, as_read=seen)
            telling.recorded(_("Closed days removed."), done.batch)


def _fields(place: session.Workshop, key: str, first: date, last: date, row: Any = None) -> Any:
    """Fields for one closure; returns what reads them once a button was tapped."""
    left, right = st.columns(2)
    with left:
        began = any_day(_("First closed day"), first, f"{key}-from")
    with right:
        ended = any_day(_("Last closed day"), last, f"{key}-to")
    printers = place.records.printers
    sites = sorted(set(printers["site"]) - {""})
    places = {"": _("The whole workshop")}
    places |= {f"site:{site}": _("Site {site}", site=site) for site in sites}
    tables = (place.records.orders, place.records.fittings, place.records.closures)
    places |= {
        f"supplier:{name}": _("Supplier {supplier}", supplier=name)
        for name in suppliers_named(*tables)
    }
    places |= {f"printer:{name}": name for name in sorted(printers["printer"])}
    held = ""
    for column in ("site", "printer", "supplier"):
        if row is not None and row[column]:
            held = f"{column}:{row[column]}"
    options = list(dict.fromkeys((*places, held)))
    where = (
        st.selectbox(
            _("What is closed?"),
            options,
            index=options.index(held),
            format_func=lambda name: places.get(name, name),
            key=f"{key}-where",
        )
        or ""
    )
    note = st.text_input(_("Note"), value="" if row is None else row.note, key=f"{key}-note")

    def closure() -> acts.Closure:
        if began is None or ended is None:
            raise RecordError(_("A day is missing: write the first and the last closed day."))
        kind, _colon, name = where.partition(":")
        return acts.Closure(began, ended, **{kind: name} if kind else {}, note=note.strip())

    return closure


def _write(place: session.Workshop, first: acts.Closure, *more: acts.Closure) -> None:
    with telling.errors_in_words():
        batch = acts.write_closure(place.store, first, *more)
        telling.recorded(
            _("Closed {span}.", span=day_span(first.began_on, first.ended_on)),
            batch,
        )
