"""How a change is undone.

An undo is a change like any other, so it can be undone in turn. What matters is which changes are
*in effect*: one that was undone is not, until its undo is undone.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from sqlalchemy import Connection, func, select, text

from tracker.errors import RecordError
from tracker.language import _
from tracker.store import tables
from tracker.store.batch import Batch, Block
from tracker.store.logged_rows import row_from_json, unpack_block
from tracker.store.meanwhile.authors import author_of_change
from tracker.workshop.columns.coded import CodedTable
from tracker.workshop.refusal import Refusal

_NAMED = 3  # of the later changes that an undo waits for


def plan_undo(change: Batch, number: int) -> None:
    """Puts into ``change`` what reverses batch ``number``.

    Raises RecordError when there is no such change, when it is undone already, or when a later
    change that still stands touched the same rows.
    """
    connection = change.connection
    log = tables.BATCHES
    head = connection.execute(select(log).where(log.c.id == number)).one_or_none()
    if head is None:
        newest = connection.execute(select(func.max(log.c.id))).scalar()
        known = (
            _("the newest is {newest}", newest=newest) if newest else _("nothing was changed yet")
        )
        raise RecordError(
            _("There is no change {number} to undo; {known}.", number=number, known=known)
        )
    undoes = read_undoes(connection)
    if not in_effect(undoes).get(number, True):
        by = max(at for at, target in undoes.items() if target == number)
        author = author_of_change(connection, by)
        raise RecordError(
            _(
                "Change {number} ({what}) is undone already, by change {by}; to bring it back, "
                "undo change {by} ({who}, {moment}).",
                number=number,
                what=head.what,
                by=by,
                who=author.name,
                moment=author.moment,
            )
        )
    later = _later_changes(connection, number, undoes)
    if later:
        other = author_of_change(connection, max(later))
        raise RecordError(
            _(
                "Change {number} ({what}) cannot be undone on its own: change {id} ({what_2}), by "
                "{who} on {moment}, came later and touched the same rows; undo that one first.",
                number=number,
                what=head.what,
                id=other.batch,
                what_2=other.what,
                who=other.name,
                moment=other.moment,
            )
        )
    change.undoes = number
    change.what = _("Undid change {number}: {what}", number=number, what=head.what)
    _reverse_rows(connection, change, number)
    _reverse_blocks(connection, change, number)


def _reverse_rows(connection: Connection, change: Batch, number: int) -> None:
    rows = tables.ROW_CHANGES
    for row in connection.execute(select(rows).where(rows.c.batch_id == number)):
        before, after = (row_from_json(row.table_name, kept) for kept in (row.before, row.after))
        if change.find(row.table_name, row.row_id) != after:
            raise RecordError(
                _(
                    "Change {number} cannot be undone: record {row_id} of “{table_name}” is no "
                    "longer as that change left it; correct it by hand.",
                    number=number,
                    row_id=row.row_id,
                    table_name=row.table_name,
                )
            )
        change.put(row.table_name, row.row_id, before)


def _reverse_blocks(connection: Connection, change: Batch, number: int) -> None:
    blocks = tables.ROW_BLOCKS
    for block in connection.execute(select(blocks).where(blocks.c.batch_id == number)):
        name = block.table_name
        if block.content is not None:
            rows = CodedTable(unpack_block(name, block.content))
            change.blocks.append(Block(name, rows, added=True))
            continue
        there = change.records.coded_table(name)
        here = slice(*there.index.searchsorted([block.first_id, block.last_id + 1]).tolist())
        rows = there.cut(here)
        if len(rows) != block.row_count:
            raise RecordError(
                _(
                    "Change {number} cannot be undone: {row_count} of the {row_count_2} rows "
                    "it added to {name} are no longer there.",
                    number=number,
                    row_count=block.row_count - len(rows),
                    row_count_2=block.row_count,
                    name=name,
                )
            )
        change.blocks.append(Block(name, rows, added=False))


def refuse_below_later(change: Batch, found: Iterable[Refusal]) -> None:
    """Raises RecordError where an undo cannot be because of what later changes wrote, naming those.

    ``found``: what would be impossible after it.
    """
    number = change.undoes or 0
    refused = {refusal.row for refusal in found if refusal.row is not None}
    later = _later_writers(change.connection, number, refused)
    if not later:
        return
    named = [author_of_change(change.connection, at) for at in sorted(later, reverse=True)]
    told = [
        _("change {id} ({what}), by {who} on {moment}", id=author.batch, what=author.what,
          who=author.name, moment=author.moment)
        for author in named[:_NAMED]
    ]  # fmt: skip
    if len(named) > _NAMED:
        told.append(_("and {count} more", count=len(named) - _NAMED))
    raise RecordError(
        _(
            "Change {number} cannot be taken back yet, for later entries rest on what it wrote. "
            "Take back the later entries first: {later}.",
            number=number,
            later="; ".join(told),
        )
    )


def _later_writers(connection: Connection, number: int, row_ids: set[int]) -> set[int]:
    """The changes after ``number`` that wrote any of these records, undone ones left out."""
    rows, blocks = tables.ROW_CHANGES, tables.ROW_BLOCKS
    one_by_one = select(rows.c.batch_id, rows.c.row_id).where(rows.c.batch_id > number)
    later = {at for at, row_id in connection.execute(one_by_one) if row_id in row_ids}
    in_blocks = select(blocks.c.batch_id, blocks.c.first_id, blocks.c.last_id)
    for at, first, last in connection.execute(in_blocks.where(blocks.c.batch_id > number)):
        if any(first <= row_id <= last for row_id in row_ids):
            later.add(at)
    undoes = read_undoes(connection)
    effect = in_effect(undoes)
    return {at for at in later if at not in undoes and effect.get(at, True)}


def read_undoes(connection: Connection) -> dict[int, int]:
    """Every undo and the change it reversed."""
    log = tables.BATCHES
    found = connection.execute(select(log.c.id, log.c.undoes).where(log.c.undoes.is_not(None)))
    return dict(found.tuples().all())


def in_effect(undoes: Mapping[int, int]) -> dict[int, bool]:
    """Of the changes that were undone or are undos: do they stand? All others do."""
    effect: dict[int, bool] = {}
    # A change stands when none of its undos does; undos are younger, so the youngest come first.
    for undo in sorted(undoes, reverse=True):
        stands = effect.setdefault(undo, True)
        effect[undoes[undo]] = effect.get(undoes[undo], True) and not stands
    return effect


_SAME_ROWS = text("""
SELECT other.batch_id FROM row_changes mine JOIN row_changes other ON other.row_id = mine.row_id
 WHERE mine.batch_id = :number
UNION SELECT other.batch_id FROM row_changes mine JOIN row_blocks other
 ON mine.row_id BETWEEN other.first_id AND other.last_id AND mine.table_name = other.table_name
 WHERE mine.batch_id = :number
UNION SELECT other.batch_id FROM row_blocks mine JOIN row_changes other
 ON other.row_id BETWEEN mine.first_id AND mine.last_id AND mine.table_name = other.table_name
 WHERE mine.batch_id = :number
UNION SELECT other.batch_id FROM row_blocks mine JOIN row_blocks other
 ON other.first_id <= mine.last_id AND other.last_id >= mine.first_id
 AND mine.table_name = other.table_name
 WHERE mine.batch_id = :number
""")


def _later_changes(connection: Connection, number: int, undoes: Mapping[int, int]) -> list[int]:
    """The changes to the same rows that made a difference after batch ``number`` and still do."""

    def root(at: int) -> int:
        while at in undoes:
            at = undoes[at]
        return at

    same_rows = {at for (at,) in connection.execute(_SAME_ROWS, {"number": number})}
    now = in_effect(undoes)
    then = in_effect({undo: target for undo, target in undoes.items() if undo <= number})
    different = {
        first
        for first in {root(at) for at in same_rows} - {root(number)}
        if now.get(first, True) != (first < number and then.get(first, True))
    }
    return [at for at in same_rows if root(at) in different and at > number]
