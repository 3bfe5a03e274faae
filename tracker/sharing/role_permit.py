"""What may somebody write, and in whose name?

The gate stands in the open store (``Store.permit``), below every page: what a page shows or hides
is courtesy.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tracker.errors import NotAllowed
from tracker.language import _
from tracker.sharing.roles import LOG, MANAGE, OF_THE_DAY, Person, reaches
from tracker.store.batch import Batch, RowEdit
from tracker.store.meanwhile.authors import author_of_change, first_author
from tracker.store.packing import EMPTY

# A record that somebody else began is ended by whoever is there: the column that ends it, and what
# goes along with it.
_ENDS = {
    "fittings": (
        "removed_on",
        {"removed_counter_m2", "removal_reason", "failure_mode", "last_ok_on", "note"},
    ),
    "stoppages": ("ended_at", {"ended_pass", "scrap_cost"}),
    "orders": ("received_on", {"quantity", "unit_cost"}),
    "actions": ("done_on", set()),
}


@dataclass(frozen=True)
class RolePermit:
    """What the person at a device may write; ``still`` asks anew at each change who that is.

    A device may be removed, or given another role, while a page of it stands open: ``still``
    returns None then, or the person as of now.
    """

    person: Person
    still: Callable[[], Person | None]

    @property
    def name(self) -> str:
        """The name that every change of this device bears."""
        return self.person.name

    def begin(self) -> None:
        """Refuses where nothing may be written."""
        if not reaches(self._now().role, LOG):
            raise NotAllowed(
                _(
                    "This device may look and write nothing; ask whoever runs the workshop to "
                    "let it log, on the page Records under Devices."
                )
            )

    def judge(self, batch: Batch) -> None:
        """Refuses what is more than a day's log, where the role reaches no further."""
        if not reaches(self._now().role, MANAGE):
            _judge_log(batch, self.name)

    def replace_all(self) -> None:
        """Refuses a restore where the role does not reach so far."""
        if not reaches(self._now().role, MANAGE):
            raise NotAllowed(
                _("Only a device that may manage can bring back a backup; ask its person.")
            )

    def _now(self) -> Person:
        now = self.still()
        if now is None or now.name != self.person.name:
            raise NotAllowed(
                _("This device was removed from the list; open the page anew to pair it again.")
            )
        return now


def _judge_log(batch: Batch, name: str) -> None:
    if batch.undoes is not None:
        by = author_of_change(batch.connection, batch.undoes).who
        if by != name:
            raise NotAllowed(
                _(
                    "Change {number} was made by {who}; this device may take back only what it "
                    "wrote itself.",
                    number=batch.undoes,
                    who=by or _("somebody without a name"),
                )
            )
    beyond = any(
        edit.table not in OF_THE_DAY and not _names_the_time_zone(edit)
        for edit in batch.edits.values()
    )
    if batch.is_load or batch.blocks or beyond:
        raise NotAllowed(
            _(
                "This device may log what happens at the printers; settings, printers, prices, "
                "routines and files need one that may manage."
            )
        )
    if batch.undoes is not None:
        return
    for row_id, edit in batch.edits.items():
        if edit.before is None or _only_fills(edit) or _ends(edit):
            continue
        first = first_author(batch.connection, edit.table, row_id)
        by = first.who if first else ""
        if by != name:
            raise NotAllowed(
                _(
                    "This record was written down by {who}; this device may correct and remove "
                    "only its own. Ask one that may manage.",
                    who=by or _("somebody without a name"),
                )
            )


def _names_the_time_zone(edit: RowEdit) -> bool:
    """Does this say in which time zone a time was read, where nobody else said so, or take that
    back?"""
    added_or_removed = edit.after if edit.before is None else edit.before
    is_whole = edit.table == "settings" and None in (edit.before, edit.after)
    return is_whole and added_or_removed is not None and added_or_removed["name"] == "time_zone"


def _changed(edit: RowEdit) -> set[str]:
    before, after = edit.before or {}, edit.after or {}
    return {name for name, value in before.items() if after.get(name) != value}


def _only_fills(edit: RowEdit) -> bool:
    """Does this fill empty cells of a record and change nothing that stands there?"""
    before = edit.before or {}
    return edit.after is not None and all(before[name] in EMPTY for name in _changed(edit))


def _ends(edit: RowEdit) -> bool:
    """Does this end a record that was open, and nothing else?"""
    if edit.before is None or edit.after is None or edit.table not in _ENDS:
        return False
    end, along = _ENDS[edit.table]
    ends = edit.before[end] in EMPTY and edit.after[end] not in EMPTY
    return ends and _changed(edit) <= {end, *along}
