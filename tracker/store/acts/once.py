"""The same happening, told by two people, is written down once.

One rule for every act: what a change adds is compared with what was written down before it, by the
columns that make two records one happening. It is judged at the writer's own turn, so of two taps
within a second one is written and the other is told who was first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
import pandas as pd

from tracker.errors import RecordError
from tracker.language import _
from tracker.store import packing
from tracker.store.batch import Batch
from tracker.store.database import Store
from tracker.store.meanwhile.authors import Author, first_author, last_author
from tracker.workshop.columns.day_numbers import day_number
from tracker.workshop.contract import TABLE_BY_NAME

# By table: the column with the day, and the others that make two records one happening.
_SAME: Mapping[str, tuple[str, tuple[str, ...]]] = {
    "maintenance": ("done_on", ("printer", "task", "why")),
    "nozzle_checks": ("checked_on", ("printer", "position", "channel", "missing_nozzles")),
    "orders": ("ordered_on", ("part_kind", "variant")),
    "stock": ("moved_on", ("part_kind", "variant", "reason", "quantity")),
    "routines": ("starts_on", ("task", "printer")),
    "stoppages": ("began_at", ("printer",)),
}
# The same only where all rows of the change are: another count is another check of the nozzles.
_AS_A_WHOLE = frozenset({"nozzle_checks"})
# A part that has just gone in seldom fails: common practice, no source.
_SAME_CHANGE = timedelta(days=3)
# Said by one and left out by the other it may be the same; said differently it is another.
_MAY_BE_LEFT_OUT = {"maintenance": "position", "orders": "supplier"}


@dataclass(frozen=True)
class Earlier:
    """A record that says the same already, and who wrote it down (None where nobody knows).

    ``other_day``: of another day than was said now.
    """

    table: str
    row_id: int
    values: Mapping[str, object]
    author: Author | None
    other_day: bool = False


class LoggedAlready(RecordError):
    """Somebody wrote the same down already; nothing was written.

    ``may_repeat``: it can happen twice, and the act with ``again=True`` writes it a second time.
    """

    def __init__(self, text: str, found: tuple[Earlier, ...], *, may_repeat: bool) -> None:
        self.found = found
        self.may_repeat = may_repeat
        super().__init__(text)


@contextmanager
def once(
    store: Store,
    what: str = "",
    *,
    among: tuple[str, ...],
    again: bool,
) -> Iterator[Batch]:
    """``store.change`` that raises LoggedAlready where what it adds ``among`` these tables is there
    already, unless it happened ``again``.
    """
    with store.change(what) as change:
        yield change
        found = () if again else _found(change, among)
        if found:
            raise said_already(found)


def refuse_gone(change: Batch, fitting: int) -> None:
    """Raises LoggedAlready for a part that the person saw in its place and that came out since."""
    raise said_already((_earlier(change, "fittings", fitting, last_author),))


def refuse_new(change: Batch, fitting: int, day: date) -> None:
    """Raises LoggedAlready where the part in that place took another one's place that very day.

    That is the new part of the same change, told by somebody else. So too where it went in up to
    ``_SAME_CHANGE`` days before: two people do not always say the same day.
    """
    now = change.values("fittings", fitting)
    went_in, last, first = (pd.Timestamp(at) for at in (now["fitted_on"], day, day - _SAME_CHANGE))
    if not first <= went_in <= last:  # so too where the day it went in is not known
        return
    rows = change.records.fittings
    rows = rows[rows["removed_on"].between(first, went_in)]
    for column in ("printer", "part_kind", "position"):
        rows = rows[rows[column] == now[column]]
    if len(rows):
        out = rows.sort_values("removed_on", kind="stable").iloc[-1]
        found = _earlier(change, "fittings", int(out.name), last_author)
        raise said_already((replace(found, other_day=out["removed_on"].date() != day),))


def told_already(change: Batch, table: str, row_id: int, text: str) -> LoggedAlready:
    """The error for what can happen only once, such as an order that arrived: who told of it."""
    found = _earlier(change, table, row_id, last_author)
    by = found.author
    if by is not None:
        text = _("{text} {who} wrote that down on {moment}.", text=text, who=by.name,
                 moment=by.moment)  # fmt: skip
    return LoggedAlready(text, (found,), may_repeat=False)


def said_already(found: tuple[Earlier, ...]) -> LoggedAlready:
    """The error for what may have happened a second time."""
    by = found[0].author
    text = _(
        "The same was written down on {moment} by {who} already ({what}); nothing was written. "
        "Write it a second time only if it happened twice.",
        moment=by.moment if by else "?",
        who=by.name if by else _("somebody"),
        what=by.what if by else found[0].table,
    )
    return LoggedAlready(text, found, may_repeat=True)


def _found(change: Batch, among: tuple[str, ...]) -> tuple[Earlier, ...]:
    found: list[Earlier] = []
    for table in among:
        added = [edit.after for edit in change.edits.values()
                 if edit.table == table and edit.before is None and edit.after]  # fmt: skip
        same = [at for row in added if (at := _same_record(change, table, row)) is not None]
        if table in _AS_A_WHOLE:
            same = same[:1] if len(same) == len(added) else []
        found += [_earlier(change, table, at, first_author) for at in dict.fromkeys(same)]
    return tuple(found)


def _same_record(change: Batch, table: str, row: packing.Row) -> int | None:
    """The newest record that says the same as the packed row; None where there is none."""
    day, others = _SAME[table]
    known = TABLE_BY_NAME[table]
    began = pd.Timestamp(packing.unpack_value(known.column(day), row[day]))  # type: ignore[arg-type]
    # By day first: a day holds few of a fleet's million tasks.
    number = day_number(began.date())
    said = {name: packing.unpack_value(known.column(name), row[name]) for name in others}
    may_lack = _MAY_BE_LEFT_OUT.get(table)
    found = []
    for rows in change.records.coded_table(table).of_day(day, number):
        same = np.ones(len(rows), dtype=bool)
        for column, value in said.items():
            same &= rows.cells(column) == value
        if may_lack and row[may_lack]:
            cells = rows.cells(may_lack)
            same &= (cells == "") | (cells == row[may_lack])
        found += rows.index[same].tolist()
    return max(found, default=None)


def _earlier(
    change: Batch, table: str, row_id: int, whose: Callable[..., Author | None]
) -> Earlier:
    author = whose(change.connection, table, row_id)
    return Earlier(table, row_id, change.values(table, row_id), author)
