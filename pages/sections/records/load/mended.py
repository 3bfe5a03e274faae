"""What a person mended without touching the file, and the way back from each mend."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import partial

import streamlit as st

from pages.shell.words import plain
from tracker.intake.mistakes import left_out_csv
from tracker.intake.pieces import File, Intake, Mends
from tracker.language import _, as_spoken
from tracker.workshop.refusal import Refusal

_MENDED = "load-mended"
Cell = tuple[str, str, int, int]
Row = tuple[str, str, int]


@dataclass
class _Mended:
    """Cells and rows of one file's content; ``before`` is what stood in a cell."""

    data: bytes
    cells: dict[Cell, str] = field(default_factory=dict)
    before: dict[Cell, str] = field(default_factory=dict)
    left_out: dict[Row, str] = field(default_factory=dict)


def _all() -> dict[str, _Mended]:
    found: dict[str, _Mended] = st.session_state.setdefault(_MENDED, {})
    return found


def _of(files: Sequence[File]) -> list[_Mended]:
    """The mends of these very files; a file of other content under the same name has none."""
    kept = _all()
    return [
        one
        for file in files
        if (one := kept.get(file.name)) is not None
        and (one.data is file.data or one.data == file.data)
    ]


def mends(files: Sequence[File]) -> Mends:
    """The mends as the reading takes them."""
    own = _of(files)
    return Mends(
        {cell: text for one in own for cell, text in one.cells.items()},
        {row: why for one in own for row, why in one.left_out.items()},
    )


def fingerprint(files: Sequence[File]) -> tuple[object, ...]:
    """Differs when a mend differs."""
    said = mends(files)
    return (tuple(sorted(said.cells.items())), tuple(sorted(said.left_out.items())))


def mend_cells(files: Sequence[File], refusals: Iterable[Refusal], text: str) -> None:
    """The refused cells hold this text from now on."""
    for refusal in refusals:
        own = _for(files, refusal.source)
        if own is None or refusal.row is None or not refusal.column_number:
            continue
        cell = (refusal.source, refusal.sheet, refusal.row, refusal.column_number)
        own.before.setdefault(cell, refusal.value)
        own.cells[cell] = text


def leave_out(files: Sequence[File], refusals: Iterable[Refusal], reason: str) -> None:
    """The refused rows are not read; without a reason of the person's, their mistake is it."""
    for refusal in refusals:
        own = _for(files, refusal.source)
        if own is not None and refusal.row is not None:
            why = reason.strip() or f"{refusal.value} {refusal.problem}".strip()
            own.left_out.setdefault((refusal.source, refusal.sheet, refusal.row), why)


def _for(files: Sequence[File], source: str) -> _Mended | None:
    data = next((file.data for file in files if file.name == source), None)
    if data is None:
        return None
    own = _all().get(source)
    if own is None or own.data != data:
        own = _all()[source] = _Mended(data)
    return own


def show(files: Sequence[File], intake: Intake) -> None:
    """What was mended here, each with its way back, and the rows left out as a file."""
    lines = [
        (
            one,
            cell,
            None,
            _(
                "{place}: “{before}” is read as “{text}”",
                place=_where(cell),
                before=one.before[cell],
                text=text,
            ),
        )
        for one in _of(files)
        for cell, text in one.cells.items()
    ] + [
        (one, None, row, _("{place} is left out: {why}", place=_where(row), why=why))
        for one in _of(files)
        for row, why in one.left_out.items()
    ]
    if not lines:
        return
    with st.expander(_("What you mended here ({count})", count=len(lines))):
        st.caption(_("Your file stays as it is."))
        for one, cell, row, line in lines[:_SHOWN]:
            said, back = st.columns([4, 1], vertical_alignment="center")
            said.markdown(plain(line))
            back.button(
                _("Take back"),
                key=f"load-back-{cell or row}",
                width="stretch",
                on_click=_take_back,
                args=(one, cell, row),
            )
        if len(lines) > _SHOWN:
            st.caption(_("And {count} more.", count=len(lines) - _SHOWN))
            st.button(_("Take all back"), key="load-back-all", on_click=forget)
        if intake.left_out:
            st.download_button(
                _("Download the rows left out, with the reasons"),
                as_spoken(partial(left_out_csv, intake)),
                file_name="left-out.csv",
                mime="text/csv",
                key="load-left-out-file",
            )


_SHOWN = 12


def _where(place: tuple[str | int, ...]) -> str:
    return ", ".join([*(str(part) for part in place[:2] if part), _("row {row}", row=place[2])])


def _take_back(one: _Mended, cell: Cell | None, row: Row | None) -> None:
    if cell is not None:
        del one.cells[cell], one.before[cell]
    if row is not None:
        del one.left_out[row]


def forget() -> None:
    """Drop every mend."""
    st.session_state.pop(_MENDED, None)


def reasons(files: Sequence[File]) -> str:
    """The rows left out with their reasons, for the list of changes; "" for none."""
    said: dict[str, list[str]] = {}
    for one in _of(files):
        for row, why in one.left_out.items():
            said.setdefault(why, []).append(_where(row))
    return "; ".join(f"{', '.join(rows)}: {why}" for why, rows in said.items())
