"""What cannot be true of rows that were read, beside each other and beside what is known.

Rows with an unreadable cell are judged cell by cell only: a day that cannot be read must not look
like an empty one to the rules over several rows.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date

import pandas as pd

from tracker.intake.questions import UNUSUAL, Question
from tracker.intake.talk import Talk
from tracker.language import N_, _
from tracker.workshop.checks import UnusualFigures, unusual, unusual_figures
from tracker.workshop.checks import refusals as impossible
from tracker.workshop.checks.cells import check_cells
from tracker.workshop.contract import TABLE_BY_NAME
from tracker.workshop.records import Records
from tracker.workshop.refusal import Findings, Refusal, written

_NAMED = ("printers", "parts", "routines")  # tables that say which names there are


def impossible_beside(
    read: Records,
    refused: Sequence[Refusal],
    known: Records,
    today: date | None,
) -> list[Refusal]:
    """The refusals that the checks add to those of single cells.

    ``refused`` are the refusals so far, their rows those of ``read``. ``known`` gives the names of
    printers, parts and tasks that are written down already.
    """
    bad_rows = {
        table: pd.Index(sorted({r.row for r in refused if r.table == table and r.row is not None}))
        for table in {refusal.table for refusal in refused if refusal.table}
    }
    any_bad = any(map(len, bad_rows.values()))
    readable = read
    for table, rows in bad_rows.items():
        # Printers and parts stay known by name even when another cell of theirs is unreadable.
        if len(rows) and table not in ("printers", "parts"):
            frame = read.table(table)
            readable = readable.with_table(table, frame[~frame.index.isin(rows)])
    state, added = _with_names(readable, known)
    only: Mapping[str, pd.Index] | None = None
    if any_bad or added:
        only = {
            table: read.table(table).index.difference(bad_rows.get(table, pd.Index([])))
            for table in TABLE_BY_NAME
            if len(read.table(table))
        }
    found = impossible(state, only=only, today=today)
    if any_bad:
        by_cell = Findings(_with_names(read, known)[0], bad_rows, today)
        check_cells(by_cell)
        found += by_cell.sorted()
    told = {(refusal.table, refusal.row, refusal.column) for refusal in refused}
    slipped = {(refusal.table, refusal.row) for refusal in refused if not refusal.column}
    whole_file = {refusal.table for refusal in refused if refusal.row is None or refusal.row == 1}
    return [
        refusal
        for refusal in found
        if (refusal.table, refusal.row, refusal.column) not in told
        and (refusal.table, refusal.row) not in slipped
        and refusal.table not in whole_file
        and not (refusal.column == "printer" and "printers" in whole_file)
    ]


def _with_names(read: Records, known: Records) -> tuple[Records, bool]:
    """The rows with the known printers, parts and routines that they do not name themselves."""
    state, added = read, False
    for name in _NAMED:
        more = known.table(name)
        if more.empty:
            continue
        own = read.table(name)
        keys = list(TABLE_BY_NAME[name].key)
        if len(own):
            there = pd.MultiIndex.from_frame(own[keys])
            more = more[~pd.MultiIndex.from_frame(more[keys]).isin(there)]
        if name == "printers":
            # Their days are judged where they are kept, and there they can be changed along.
            more = more.assign(started_on=pd.NaT, retired_on=pd.NaT)
        if len(more):
            last = int(own.index.max()) if len(own) else 0
            more = more.set_axis(range(-len(more) - last, -last), axis=0)
            state = state.with_table(name, pd.concat([own, more]) if len(own) else more)
            added = True
    return state, added


MEANT, SLIP = N_("it is so"), N_("it is a mistake")
_SHOWN = 3  # cells of a column


def ask_unusual(
    records: Records, known: Records, placed: Callable[[Refusal], Refusal], talk: Talk
) -> list[Refusal]:
    """Are figures that may be slips meant? Asked once for each column of a file.

    A record that is ``known`` with that figure was said to be meant when it was written: the same
    file a second time asks nothing.

    Returns the refusals of those that are none, at the labels of ``records``; ``placed`` puts a
    refusal at its place in the person's own file. Prices of a size once said to be meant are not
    asked about again, for that is the currency's doing.
    """
    refused: list[Refusal] = []
    for odd in unusual_figures(records):
        columns = [*odd.table.key, odd.column.name]
        there = set(_told(known.table(odd.table.name)[columns]))
        told = dict(
            zip(odd.rows, _told(records.table(odd.table.name).loc[odd.rows, columns]), strict=True)
        )
        by_file: dict[str, list[tuple[Refusal, Refusal]]] = {}
        for row, value in zip(odd.rows.tolist(), odd.values.tolist(), strict=True):
            if told[row] in there:
                continue
            problem = unusual(odd.column, value)
            refusal = Refusal(
                odd.table.name, row, odd.column.name, written(value), problem, _("correct it")
            )
            seen = placed(refusal)
            by_file.setdefault(seen.source, []).append((refusal, seen))
        for source, cells in by_file.items():
            question = _are_meant(odd, source, [seen for _own, seen in cells])
            memory = f"unusual|{odd.table.name}" if odd.column.kind == "money" else ""
            if talk.ask(question, memory) == SLIP:
                refused += [own for own, _seen in cells]
    return refused


def _told(rows: pd.DataFrame) -> list[tuple[str, ...]]:
    """Each row as its cells are written, so that what is empty is equal to itself."""
    return list(rows.astype(str).itertuples(index=False, name=None))


def _are_meant(odd: UnusualFigures, source: str, cells: Sequence[Refusal]) -> Question:
    shown = [_("row {row}: {value}", row=cell.row, value=cell.value) for cell in cells[:_SHOWN]]
    if len(cells) > _SHOWN:
        shown.append(_("and {count} more", count=len(cells) - _SHOWN))
    return Question(
        "",
        _(
            "{column}: figures of more than {usual} are unusual. Are they meant?",
            column=cells[0].header or odd.column.name,
            usual=odd.usual,
        ),
        (MEANT, SLIP),
        tuple(shown),
        UNUSUAL,
        source,
        filed=f"{source}:{odd.column.name}:{UNUSUAL}",
    )
