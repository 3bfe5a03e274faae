"""What cannot be read or cannot be true: mended in place, or left out with a reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from pathlib import PurePath
from typing import Any

import pandas as pd
import streamlit as st

from pages.sections.records.load import mended
from pages.shell.words import plain
from tracker.intake.mistakes import refused_rows_csv
from tracker.intake.pieces import File, Intake
from tracker.language import N_, _, as_spoken, ngettext
from tracker.say import numbers
from tracker.say.entering.record_words import column_label, in_words, word_label
from tracker.say.phrases import first_up, listed, quoted
from tracker.workshop.contract import TABLE_BY_NAME
from tracker.workshop.refusal import Refusal

_FIELDS = 5  # mistakes with a field of their own; more of them are a table on a wide screen
_ROWS_NAMED = 6
_SKIPPED = "load-skipped"
# A table of cells is for a mouse; on a phone the next few mistakes have fields instead.
_BY_WIDTH = """
<style>
.st-key-load-mend-fields {display: none;}
@media (max-width: 640px) {
  .st-key-load-mend-fields {display: flex;}
  .st-key-load-mend-table {display: none;}
}
</style>
"""
_COLUMNS = (
    *(N_("Where"), N_("Should be"), N_("Leave out"), N_("What is wrong"), N_("How to mend it")),
)
Group = list[Refusal]


def show(files: Sequence[File], intake: Intake, refusals: Sequence[Refusal]) -> None:
    """The mistakes, alike ones together: mend a cell, leave a row out, or take them along."""
    if not refusals:
        return
    groups = _alike(refusals)
    rows = {(r.source, r.sheet, r.row) for r in refusals if r.row is not None}
    st.error(
        _(
            "{mistakes} in {rows}; nothing is loaded until each is mended here or left out.",
            mistakes=numbers.count(len(refusals), "mistake", "mistakes"),
            rows=numbers.count(len(rows), "row", "rows"),
        )
        if rows
        else _("Nothing is loaded until this is mended."),
        icon=":material/front_hand:",
    )
    several = len({(r.source, r.sheet) for r in refusals}) > 1
    of_cells = [group for group in groups if group[0].column_number]
    for group in groups:
        if len(of_cells) <= _FIELDS or not group[0].column_number:
            _mend(files, group, several=several)
    if len(of_cells) > _FIELDS:
        st.html(_BY_WIDTH)
        with st.container(key="load-mend-table"):
            _table(files, of_cells, several=several)
        with st.container(key="load-mend-fields"):
            for group in of_cells[:_FIELDS]:
                _mend(files, group, several=several)
            st.caption(
                _("{count} more follow when these are mended.", count=len(of_cells) - _FIELDS)
            )
    if len(rows) > 1:
        with st.popover(
            _("Leave these {count} rows out and load the others", count=len(rows)), width="stretch"
        ):
            _leave_out(files, refusals, "all")
    _downloads(intake, refusals)


def _alike(refusals: Sequence[Refusal]) -> list[Group]:
    """The refusals in groups that one mend serves: the same text, wrong for the same reason.

    Empty cells stand alone, for each may want another text.
    """
    groups: dict[Refusal, Group] = {}
    for refusal in refusals:
        alone = refusal.column_number and not refusal.value
        groups.setdefault(refusal if alone else replace(refusal, row=None), []).append(refusal)
    return list(groups.values())


def _mend(files: Sequence[File], group: Group, *, several: bool) -> None:
    """One mistake with a field for what the cell should say."""
    first = group[0]
    key = "|".join(
        map(str, (first.source, first.sheet, first.table, first.row, first.column, first.problem))
    )
    with st.container(border=True):
        where = plain(_where(group, several=several))
        st.markdown(f"**{where}** – {plain(_problem(first))}")
        if first.mend:
            st.caption(plain(f"{first_up(in_words(first.mend))}."))
        if first.row is None:
            file = next((f.name for f in files if _is_of(first.source, f.name)), None)
            if file is not None:
                st.button(
                    _("Go on without {file}", file=plain(file)),
                    key=f"load-skip|{key}",
                    width="stretch",
                    on_click=_skip,
                    args=(file,),
                )
            return
        field, out = st.columns([3, 1], vertical_alignment="bottom")
        if first.column_number:
            widget = f"load-mend|{key}|{first.value}"
            how: dict[str, Any] = {
                "key": widget,
                "on_change": _mended,
                "args": (files, group, widget),
            }
            if choices := _choices(first):
                field.selectbox(
                    _label(group), choices, index=None, placeholder=_("Choose one"),
                    format_func=lambda word: word_label(word, first.column), **how,
                )  # fmt: skip
            else:
                field.text_input(_label(group), value=first.value, **how)
        with out.popover(_("Leave out"), width="stretch"):
            _leave_out(files, group, key)


def _is_of(source: str, file: str) -> bool:
    """A refusal may name the sheet along with its file."""
    return source == file or source.startswith(f"{file}, ")


def _label(group: Group) -> str:
    column = plain(group[0].header or column_label(group[0].column))
    rows = len(_rows(group))
    if rows > 1:
        return _("{column} should be, in all {rows} rows", column=column, rows=rows)
    return _("{column} should be", column=column)


def _choices(refusal: Refusal) -> tuple[str, ...]:
    """What the cell may say where only a few words are allowed: they are picked, in the words of
    the screen, not typed by the contract's names.
    """
    table = TABLE_BY_NAME.get(refusal.table)
    columns = table.columns if table else ()
    found = next((column for column in columns if column.name == refusal.column), None)
    return () if found is None or found.open_choices else tuple(found.choices)


def _mended(files: Sequence[File], group: Group, widget: str) -> None:
    mended.mend_cells(files, group, str(st.session_state[widget] or ""))


def _leave_out(files: Sequence[File], refusals: Sequence[Refusal], key: str) -> None:
    rows = _rows(refusals)
    why = f"load-why-out|{key}"
    st.text_input(
        _("Why? It is kept with the load"),
        key=why,
        placeholder=_("e.g. not legible"),
        help=_("Left empty, the mistake itself is the reason."),
    )
    st.button(
        _("Leave row {row} out", row=rows[0])
        if len(rows) == 1
        else _("Leave {count} rows out", count=len(rows)),
        key=f"load-out|{key}",
        width="stretch",
        on_click=_left_out,
        args=(files, tuple(refusals), why),
    )


def _left_out(files: Sequence[File], refusals: Sequence[Refusal], why: str) -> None:
    mended.leave_out(files, refusals, str(st.session_state.get(why, "")))


def _table(files: Sequence[File], groups: Sequence[Group], *, several: bool) -> None:
    """All mistakes as one table, the wrong cells editable in it."""
    st.caption(_("Click a cell under “Should be”, type what is right, then read again below."))
    shown = pd.DataFrame(
        {
            "Where": [_where(group, several=several) for group in groups],
            "Should be": [group[0].value for group in groups],
            "Leave out": [False] * len(groups),
            "What is wrong": [_problem(group[0]) for group in groups],
            "How to mend it": [in_words(group[0].mend) for group in groups],
        }
    )
    edited = st.data_editor(
        shown,
        hide_index=True,
        width="stretch",
        num_rows="fixed",
        disabled=["Where", "What is wrong", "How to mend it"],
        column_config={name: st.column_config.Column(_(name)) for name in _COLUMNS},
        key=f"load-mend-cells-{hash(tuple(group[0] for group in groups))}",
    )
    if st.button(_("Read again with these"), key="load-mend-apply", type="primary"):
        for group, text, out in zip(groups, edited["Should be"], edited["Leave out"], strict=True):
            if out:
                mended.leave_out(files, group, "")
            elif str(text or "") != group[0].value:
                mended.mend_cells(files, group, str(text or ""))
        st.rerun()


def _rows(refusals: Sequence[Refusal]) -> list[int]:
    return sorted({refusal.row for refusal in refusals if refusal.row is not None})


def _where(group: Group, *, several: bool) -> str:
    first = group[0]
    rows = [str(row) for row in _rows(group)]
    row = ""
    if len(rows) > _ROWS_NAMED:
        named = ", ".join(rows[:_ROWS_NAMED])
        row = _("Rows {named} and {more} more", named=named, more=len(rows) - _ROWS_NAMED)
    elif rows:
        row = ngettext("Row {named}", "Rows {named}", len(rows), named=listed(rows))
    column = first.header or (column_label(first.column) if first.column else "")
    place = [first.source, first.sheet] if several or not rows else []
    return ", ".join(filter(None, [*place, row, column]))


def _problem(refusal: Refusal) -> str:
    written = f"{quoted(refusal.value)} " if refusal.value else ""
    return f"{written}{in_words(refusal.problem)}"


def _downloads(intake: Intake, refusals: Sequence[Refusal]) -> None:
    for piece in intake.pieces:
        here = [
            r for r in refusals
            if (r.source, r.sheet) == (piece.source, piece.sheet)
            and r.row is not None and piece.first_row <= r.row <= piece.last_row
        ]  # fmt: skip
        if not here:
            continue
        label = _("Download the refused rows with the reasons")
        if len(intake.pieces) > 1:
            name = piece.sheet or piece.source
            label = _("Download the refused rows of {name} with the reasons", name=name)
        st.download_button(
            label,
            as_spoken(partial(refused_rows_csv, piece, here)),
            file_name=f"refused-{PurePath(piece.source).stem}.csv",
            mime="text/csv",
            key=f"{piece.key}-refused-file",
            width="stretch",
        )


def _skip(source: str) -> None:
    st.session_state[_SKIPPED] = {*st.session_state.get(_SKIPPED, ()), source}


def without_skipped(files: Sequence[File]) -> list[File]:
    """The files but those that are to be gone on without."""
    return [file for file in files if file.name not in st.session_state.get(_SKIPPED, ())]


def forget() -> None:
    """All files are read again."""
    st.session_state.pop(_SKIPPED, None)
