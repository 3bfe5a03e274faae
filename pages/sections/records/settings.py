"""Settings of the workshop: money, beliefs about parts, routines, names."""

from __future__ import annotations

from datetime import date, timedelta

import pandas as pd
import streamlit as st

from pages import frame
from pages.forms.fields import known_kinds, number_in
from pages.forms.together import as_read, twice
from pages.sections import paging
from pages.sections.records import names, part_in_use, usual_routine, workshop_settings
from pages.sections.records.record_fields import edit_row
from pages.shell import acting, session, telling
from pages.shell.words import marked, plain
from tracker.language import N_, _
from tracker.say import numbers
from tracker.sharing.roles import MANAGE
from tracker.store import acts
from tracker.workshop import vocabulary as words
from tracker.workshop.contract import PARTS, ROUTINES

_BLOCKS = [N_("The workshop"), N_("Parts"), N_("Routines"), N_("Names")]


def show(workshop: session.Workshop) -> None:
    """Four short blocks, each saved on its own."""
    which = st.segmented_control(
        _("Settings of"),
        _BLOCKS,
        default=_BLOCKS[0],
        format_func=_,
        key="settings-of",
        label_visibility="collapsed",
        required=True,
    )
    if which == "Parts":
        _parts(workshop)
    elif which == "Routines":
        _routines(workshop)
    elif which == "Names":
        names.show(workshop)
    else:
        workshop_settings.show(workshop)


def _parts(workshop: session.Workshop) -> None:
    st.caption(
        _(
            "Where a field is empty, a starting guess is used: common practice, without a "
            "source. Lives and prices differ by a factor of three and more between "
            "workshops, so your own figures make better forecasts."
        )
    )
    kind = st.selectbox(
        _("Part"), known_kinds(workshop), format_func=words.part_label, key="settings-kind"
    )
    if not kind:
        return
    facts = workshop.records.part_facts(kind)
    st.markdown(marked(part_in_use.sentence(workshop, kind)))
    rows = workshop.records.parts
    rows = rows[rows["part_kind"] == kind]
    start = rows.iloc[-1].to_dict() if len(rows) else {"part_kind": kind}
    if not len(rows):
        # The catalogue row is written whole: an empty "replaced with" means "with nothing".
        start["replaced_with"] = facts.replaced_with
    form = as_read.opened(f"part-{kind}", start)
    with telling.errors_in_words(days=True):
        values = edit_row(PARTS, form.read, form.key)
        form.drawn()
        question = st.container()  # above the button, where the finger is
        tapped = acting.button(
            _("Save this part"), role=MANAGE, type="primary", width="stretch", key="save-part"
        )
        with question:
            goes = form.goes(tapped)
        if goes:
            with form.saving():
                if len(rows):
                    done = workshop.store.correct(
                        "parts", int(str(rows.index[-1])), form.typed(values), as_read=form.read
                    )
                else:
                    done = workshop.store.add("parts", values)
            form.saved(_("{label}: figures saved.", label=facts.label), done.batch)


def _routines(workshop: session.Workshop) -> None:
    routines = workshop.records.routines
    today = workshop.as_of
    current = routines[~(routines["ends_on"] < pd.Timestamp(today))]
    if current.empty:
        usual_routine.offer(workshop)
    listed = current.sort_values(["task", "printer"])
    shown = paging.found_page(list(listed.index), lambda at: _named(listed.loc[at]), "routines")
    for row_id, row in listed.loc[list(shown)].iterrows():
        every = (
            _("every {days}", days=numbers.days(row.every_days))
            if row.every_days == row.every_days
            else _("every {area} m²", area=f"{row.every_m2:g}")
        )
        where = " " + plain(_("on {printer}", printer=row.printer)) if row.printer else ""
        text, button = st.columns([4, 1], vertical_alignment="center")
        demanded = _(", the maker demands it") if row.demanded == "yes" else ""
        text.markdown(f"**{plain(words.task_label(row.task))}** {every}{where}{demanded}")
        seen = frame.on_screen(f"routine-{row_id}", row)
        if acting.button(
            _("Stop"), at=button, role=MANAGE, key=f"stop-routine-{row_id}", width="stretch"
        ):
            _end(workshop, int(str(row_id)), seen, today - timedelta(days=1))
    with st.expander(_("A new interval"), expanded=False):
        _new_interval(workshop, today)


def _named(row: pd.Series) -> str:
    return f"{words.task_label(row.task)} {row.printer}"


def _end(workshop: session.Workshop, row_id: int, row: pd.Series, last: date) -> None:
    with telling.errors_in_words():
        if row.starts_on == row.starts_on and row.starts_on.date() > last:
            done = workshop.store.remove("routines", row_id, as_read=row.to_dict())
        else:
            done = workshop.store.correct(
                "routines", row_id, {"ends_on": last}, as_read=row.to_dict()
            )
        telling.recorded(_("{task}: stopped.", task=words.task_label(row.task)), done.batch)


def _new_interval(workshop: session.Workshop, today: date) -> None:
    st.caption(
        _(
            "The old interval stays written down with its last day, so that it can be told "
            "later whether the change paid."
        )
    )
    own = [
        t
        for t in sorted(workshop.records.codes("maintenance", "task").occurring())
        if t not in words.TASKS
    ]
    task = st.selectbox(
        _("Task"),
        [*words.BUILT_IN_TASKS, *own],
        format_func=words.task_label,
        accept_new_options=True,
        key="routine-task",
    )
    every = st.text_input(
        _("Every how many days"), key="routine-days", placeholder=_("e.g. {example}", example="14")
    )
    area = st.text_input(
        _("or every how many m²"),
        key="routine-area",
        placeholder=_("e.g. {example}", example="500"),
    )
    printers = ["", *sorted(workshop.records.printers["printer"])]
    printer = st.selectbox(
        _("Printer"), printers, format_func=lambda p: p or _("All printers"), key="routine-printer"
    )
    demanded = st.checkbox(
        _("The maker demands it, e.g. for the warranty"),
        key="routine-demanded",
        help=_("Then it is never advised to do it less often."),
    )
    question = st.container()  # above the button, where the finger is
    tapped = acting.button(
        _("Start this interval today"),
        role=MANAGE,
        type="primary",
        width="stretch",
        key="routine-save",
    )
    with question, telling.errors_in_words():
        if twice.goes(("interval", task, printer), tapped, "routine-save"):
            interval = acts.Interval(
                task, printer, number_in(every, ROUTINES.column("every_days")),
                number_in(area, ROUTINES.column("every_m2")), demanded,
            )  # fmt: skip
            batch = acts.begin_interval(workshop.store, interval, today, again=twice.again())
            telling.recorded(
                _("{task}: new interval from today.", task=words.task_label(task)), batch
            )
