"""Two people correct one record: what the second did not touch keeps what the first wrote.

A form carries the record as it was read. On saving three states meet: as read, as it is now, and as
typed. What was not touched stays as it is now; what only one of the two changed is taken; a field
that both changed differently is asked about, and nothing is written until that is answered
(a three-way merge, field by field).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tracker.errors import RecordError
from tracker.language import _
from tracker.store import packing
from tracker.store.meanwhile.authors import Author
from tracker.store.packing import Row
from tracker.workshop.declarations import Table


@dataclass(frozen=True)
class Disagreement:
    """A field that both changed, each to something else, since one of them read it.

    ``theirs`` is what stands there now and ``mine`` what was to be saved, as values; ``author``
    wrote theirs. ``record`` says which record of the table, in words.
    """

    table: str
    column: str
    record: str
    theirs: object
    mine: object
    author: Author | None


class ChangedMeanwhile(RecordError):
    """Somebody else changed the same fields since they were read: nothing was written.

    Save again with ``as_read`` saying what stands there now (``Disagreement.theirs``) for the
    fields that are to be overwritten, and without those that are to stay.
    """

    def __init__(self, disagreements: Sequence[Disagreement]) -> None:
        self.disagreements = tuple(disagreements)
        first = self.disagreements[0]
        author = first.author
        columns = ", ".join(dict.fromkeys(one.column for one in self.disagreements))
        super().__init__(
            _(
                "{table}: {who} changed {columns} of {record} on {moment}, after you read it. "
                "Nothing was written; look at it as it is now and say which is right.",
                table=first.table,
                record=first.record,
                who=author.name if author else _("somebody"),
                columns=columns,
                moment=author.moment if author else "?",
            )
        )


def merged(now: Row, typed: Row, as_read: Row | None) -> tuple[Row, list[str]]:
    """What a record becomes, and the columns on which the two disagree (they stay as they are now).

    All packed. Without ``as_read`` what is typed is taken. Columns that ``as_read`` does not hold
    are taken too.
    """
    if as_read is None:
        return now | typed, []
    taken, differing = dict(now), []
    for column, mine in typed.items():
        if column not in as_read or now[column] in (as_read[column], mine):
            taken[column] = mine
        elif mine != as_read[column]:
            differing.append(column)
    return taken, differing


def packed(table: Table, as_read: Mapping[str, object] | None) -> Row | None:
    """A record as read, as the database keeps it."""
    return None if as_read is None else packing.pack_row(table, as_read)
