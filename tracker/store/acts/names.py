"""A name is changed in everything that bears it, and several writings of one name become one."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tracker.errors import RecordError
from tracker.language import _
from tracker.store.acts.positions import known_printer
from tracker.store.batch import Batch
from tracker.store.database import Store
from tracker.workshop.names import NAMINGS, PRINTER, written_before


def rename(store: Store, naming: str, names: Sequence[str], new_name: str) -> int | None:
    """Gives these names of one sort (a key of ``NAMINGS``) another in every record that bears them.

    The new name may be there already: then they become one. Two printers do not.
    """
    new_name = new_name.strip()
    what = _(
        "{sort}: {names} renamed to {new_name}",
        sort=_(NAMINGS[naming].label),
        names=", ".join(names),
        new_name=new_name,
    )
    with store.change(what) as change:
        _check(change, naming, names, new_name)
        for table, column in NAMINGS[naming].columns:
            coded = change.records.codes(table, column)
            bears = coded.marked(np.isin(coded.words, list(names)))
            rows = change.records.coded_table(table).index[np.flatnonzero(bears)]
            change.correct_rows(table, rows, {column: new_name})
    return change.number


def _check(change: Batch, naming: str, names: Sequence[str], new_name: str) -> None:
    sort = NAMINGS[naming]
    there = sort.counts(change.records)
    if naming == PRINTER:
        for name in names:
            known_printer(change.records, name)
    if not new_name or (naming == PRINTER and written_before(new_name, there.keys() - set(names))):
        raise RecordError(
            _("{new_name} is taken or empty; choose another name.", new_name=repr(new_name))
        )
    if kept := sort.own.intersection(names):
        raise RecordError(
            _(
                "{names}: a word of the program itself, which keeps its name; choose another.",
                names=", ".join(sorted(kept)),
            )
        )
    if not there.keys() & set(names) - {new_name}:
        raise RecordError(
            _(
                "No record bears the name {names} any more; look at the names as they are now.",
                names=", ".join(names),
            )
        )
