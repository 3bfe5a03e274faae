"""Look through the records, correct one, take one out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd
import streamlit as st

from pages.forms.together import as_read
from pages.sections.records import second_look
from pages.sections.records.record_fields import edit_row
from pages.sections.records.record_table import record_table
from pages.shell import acting, session, sites, telling
from pages.shell.words import plain
from tracker.errors import RecordError
from tracker.language import _
from tracker.say import numbers
from tracker.say.entering.record_words import (
    LABELS,
    cell_words,
    days_as_kept,
    in_words,
)
from tracker.sharing.roles import MANAGE, role_for
from tracker.store.database import Recorded
from tracker.workshop.columns.found import newest_found
from tracker.workshop.contract import TABLE_BY_NAME
from tracker.workshop.declarations import Column, Table
from tracker.workshop.refusal import written

_ROWS_SHOWN = 500
_ALONE = "browse-alone"  # the record that a link meant: its table and number


def show(workshop: session.Workshop) -> None:
    """A table to look through; a record is opened by a tap on it, or by its number.

    One that a link meant stands alone in its table, its form below it: nobody has to look for it.
    """
    if wanted_record := st.session_state.pop("browse-open", None):
        st.session_state["browse-table"] = wanted_record[0]
        st.session_state[_number_key(TABLE_BY_NAME[wanted_record[0]])] = wanted_record[1]
        st.session_state[_ALONE] = wanted_record
    name = st.selectbox(
        _("Which records?"),
        list(LABELS),
        format_func=lambda name: _(LABELS[name]),
        key="browse-table",
    )
    table = TABLE_BY_NAME[name or "fittings"]
    st.caption(table.means)
    if _stands_alone(workshop, table):
        return
    looked_for = st.text_input(_("Find"), key="browse-find", placeholder=_("printer, part, note …"))
    concerns_printers = any(column.name == "printer" for column in table.columns)
    if concerns_printers:
        sites.choose(workshop)
    site = sites.chosen(workshop) if concerns_printers else None
    everything = workshop.records.table(table.name)
    kept = days_as_kept(looked_for)
    found = newest_found(workshop.records, table, kept, _ROWS_SHOWN, site=site)
    if not found.count:
        st.info(
            _("No such record.") if looked_for or site is not None else _("None written down yet."),
            icon=":material/arrow_forward:",
        )
    else:
        total = _(
            "{records}; tap one to correct it.",
            records=numbers.count(found.count, "record", "records"),
        )
        if found.count > _ROWS_SHOWN:
            total += _(
                " The newest {count} are shown; type above to find others.",
                count=_ROWS_SHOWN,
            )
        st.caption(total)
        _tapped(found.rows, table)
    open_still = st.session_state.get(_number_key(table))
    if not everything.empty or open_still is not None:
        wanted = st.number_input(
            _("Number of the record"),
            value=None,
            step=1,
            key=_number_key(table),
            placeholder=_("Tap it in the table, or write its number"),
        )
        if wanted is not None and wanted not in everything.index:
            if _correct_gone(workshop, table, int(wanted)):
                return
            st.error(
                _(
                    "There is no record {number} under “{table}”; the first column of the "
                    "table shows the numbers.",
                    number=f"{wanted:.0f}",
                    table=_(LABELS[table.name]),
                ),
                icon=":material/front_hand:",
            )
        elif wanted is not None:
            _correct(workshop, table, int(wanted), everything.loc[int(wanted)].to_dict())
    with st.expander(_("Write a new record by hand")):
        _add(workshop, table)
    second_look.show()


def _stands_alone(workshop: session.Workshop, table: Table) -> bool:
    """Draw the record that a link meant and the way to all others; False where none is meant."""
    named, row_id = st.session_state.get(_ALONE, ("", None))
    rows = workshop.records.table(table.name)
    if named != table.name or st.session_state.get(_number_key(table)) != row_id:
        st.session_state.pop(_ALONE, None)
        return False
    number = st.session_state[_number_key(table)]
    st.session_state[_number_key(table)] = number  # its field is not drawn: kept by hand
    if row_id in rows.index:
        row = rows.loc[[row_id]]
        record_table(row, table, key=f"browse-alone-{table.name}")
        _correct(workshop, table, row_id, row.iloc[0].to_dict())
    elif not _correct_gone(workshop, table, row_id):
        st.info(_("Somebody took that record out."), icon=":material/delete:")
    label = _("All records under “{table}”", table=_(LABELS[table.name]))
    if st.button(label, width="stretch", key="browse-all", icon=":material/arrow_back:"):
        del st.session_state[_ALONE]
        st.session_state[_number_key(table)] = None
        st.rerun()
    return True


def _opened_times() -> int:
    """How often a record was saved or taken out in this session, or all of them were restored:
    part of the keys of the table and of its forms, so that each begins anew, with nothing chosen.
    """
    times: int = st.session_state.get("browse-times", 0)
    shown = session.workshop().shown
    if st.session_state.setdefault("browse-of", shown) != shown:
        st.session_state["browse-of"] = shown
        times += 1
        st.session_state["browse-times"] = times
    return times


def _number_key(table: Table) -> str:
    return f"browse-number-{table.name}-{_opened_times()}"


def _done(done: Recorded) -> None:
    """Close the form and tell what was done."""
    st.session_state["browse-times"] = _opened_times() + 1
    telling.recorded(in_words(done.what) + ".", done.batch)


def _tapped(shown: pd.DataFrame, table: Table) -> None:
    """The table; a tap on any cell writes the number of its record into the field below.

    A box at the row's left would be too small for gloves. What was tapped is looked up among the
    rows that were on screen then: a record written since, on another device, moves them all.
    """
    key = f"browse-rows-{table.name}-{_opened_times()}"
    picked = record_table(
        shown,
        table,
        on_select="rerun", selection_mode="single-cell", key=key,
    )  # fmt: skip
    cells = [at for at, _column in picked["selection"]["cells"]] if picked else []
    on_screen: dict[str, list[int]] = st.session_state.setdefault("browse-on-screen", {})
    known = on_screen.get(key, shown.index.tolist())
    on_screen.clear()
    on_screen[key] = shown.index.tolist()
    if cells and cells != st.session_state.get(f"{key}-tapped") and cells[0] < len(known):
        st.session_state[_number_key(table)] = int(known[cells[0]])
    st.session_state[f"{key}-tapped"] = cells


def record_name(table: Table, row: Mapping[str, object]) -> str:
    """A record by what tells it from others, in words: ``Left, Wiper blade, 3 Oct 2026``."""
    cells = [(table.column(name), written(row.get(name))) for name in table.key]
    return ", ".join(cell_words(column, text) for column, text in cells if text)


def _form_name(table: Table, row_id: int) -> str:
    return f"edit-{table.name}-{row_id}-{_opened_times()}"


def _correct_gone(workshop: session.Workshop, table: Table, row_id: int) -> bool:
    """A record that somebody took out while it was being corrected: what was typed stays in sight,
    and on saving it is said who took it out. False where no such form was open.
    """
    form = as_read.open_now(_form_name(table, row_id))
    if form is None:
        return False
    _correct(workshop, table, row_id, form.read)
    return True


def _correct(workshop: session.Workshop, table: Table, row_id: int, row: Mapping[str, Any]) -> None:
    form = as_read.opened(_form_name(table, row_id), row)
    name = plain(_("record {number}: {name}", number=row_id, name=record_name(table, form.read)))
    st.subheader(_("Correct {name}", name=name), anchor=False)
    with telling.errors_in_words(days=True):
        values = edit_row(table, form.read, form.key)
        form.drawn()
        by = _who_else(workshop, table.name, row_id)
        if by is not None and acting.may():
            st.caption(
                _(
                    "Written down by {who}: this device may fill in what is empty and end what is "
                    "open. The rest is for one that may manage.",
                    who=plain(by or _("somebody without a name")),
                )
            )
        question = st.container()  # above the button, where the finger is
        tapped = acting.button(
            _("Save {name}", name=name),
            role=role_for(table.name),
            type="primary",
            width="stretch",
            key=f"save-{row_id}",
        )
        with question:
            goes = form.goes(tapped)
        if goes:
            typed = form.typed(values)
            changed = _different(table, form.read, typed)
            if not changed and form.theirs:  # all that both had changed stays as the other wrote it
                st.session_state["browse-times"] = _opened_times() + 1
                st.rerun()
            if not changed:
                raise RecordError(_("Nothing was different, so nothing was changed."))
            if table.name == "printers" and "printer" in changed:
                raise RecordError(
                    _(
                        "A printer is renamed under “Settings”, “Names”: there all its records "
                        "take the new name along."
                    )
                )
            with form.saving():
                done = workshop.store.correct(table.name, row_id, changed, as_read=form.read)
            _done(done)
        role = role_for(table.name) if by is None else MANAGE
        _remove(workshop, table, row_id, name, form.read, role)


def _who_else(workshop: session.Workshop, table: str, row_id: int) -> str | None:
    """Who wrote that record down, where somebody else's may not be taken out here; else None."""
    if acting.may(MANAGE):
        return None
    by = workshop.store.who_added(table, row_id)
    return None if by == session.who() else by


def _remove(
    workshop: session.Workshop,
    table: Table,
    row_id: int,
    name: str,
    read: Mapping[str, Any],
    role: str,
) -> None:
    """Taking a record out is asked about first, by its name again; it is refused where somebody
    changed it after it was asked about.
    """
    asked = ("browse-removing", table.name, row_id)
    if acting.button(
        _("Remove {name}", name=name),
        role=role,
        width="stretch",
        key=f"remove-{row_id}",
    ):
        st.session_state["browse-removing"] = (asked, dict(read))
    removing = st.session_state.get("browse-removing")
    if removing is None or removing[0] != asked:
        return
    st.warning(
        _(
            "Take out {name}? Nothing counts it any more; “What was changed today” brings it back.",
            name=name,
        ),
        icon=":material/delete:",
    )
    yes, no = st.columns(2)
    if acting.button(
        _("Yes, remove record {number}", number=row_id),
        at=yes,
        role=role,
        width="stretch",
        key=f"remove-{row_id}-yes",
    ):
        del st.session_state["browse-removing"]
        _done(workshop.store.remove(table.name, row_id, as_read=removing[1]))
    if no.button(_("No, keep it"), width="stretch", key=f"remove-{row_id}-no"):
        del st.session_state["browse-removing"]
        st.rerun()


def _different(
    table: Table, before: Mapping[str, object], typed: Mapping[str, object]
) -> dict[str, object]:
    """The fields that say something else than the record does."""
    was, is_now = (
        {column.name: _comparable(column, row.get(column.name)) for column in table.columns}
        for row in (before, typed)
    )
    return {name: typed[name] for name in typed if was[name] != is_now[name]}


def _comparable(column: Column, value: object) -> str:
    if column.is_time and value is not None:
        return written(pd.Timestamp(str(value)))
    return written(value)


def _add(workshop: session.Workshop, table: Table) -> None:
    with telling.errors_in_words(days=True):
        values = edit_row(table, {}, f"new-{table.name}-{_opened_times()}")
        if acting.button(
            _("Add this record"),
            role=role_for(table.name),
            width="stretch",
            key=f"add-{table.name}",
        ):
            _done(workshop.store.add(table.name, values))
