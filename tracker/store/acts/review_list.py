"""What a monthly review gives to do, and what the workshop notes beside it.

An action belongs to the month under review and stays open until it is done or dropped; later
reviews carry it over. ``day`` is the day it is written down, done or dropped.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal, Protocol

import pandas as pd

from tracker.errors import RecordError
from tracker.language import _, month_name
from tracker.store.acts.once import told_already
from tracker.store.batch import Batch
from tracker.store.database import Store
from tracker.workshop.refusal import written


class Proposal(Protocol):
    """Something to do, why, and what it was made from, so that it is not proposed again."""

    @property
    def what(self) -> str: ...
    @property
    def why(self) -> str: ...
    @property
    def made_from(self) -> str: ...


@dataclass(frozen=True)
class NewAction:
    """Something to do, why and by whom; ``made_from`` is the proposal it stands for.

    ``state`` is ``done`` or ``dropped`` for one that never was on the list as an open one.
    """

    action: str
    reason: str = ""
    assigned_to: str = ""
    note: str = ""
    made_from: str = ""
    state: Literal["open", "done", "dropped"] = "open"


def keep_actions(store: Store, month: date, proposals: Iterable[Proposal], day: date) -> int | None:
    """Writes the proposals down, after what the month's list has; those it has stay as they are."""
    with store.change(_("Kept the actions of {month}", month=month_name(month))) as change:
        rows = _of_month(change.records.actions, month)
        there, place = set(rows["made_from"]), _next_place(rows)
        for proposal in proposals:
            if proposal.made_from in there:
                continue
            there.add(proposal.made_from)
            change.add(
                "actions",
                {"month": month.replace(day=1), "action": proposal.what, "reason": proposal.why,
                 "made_from": proposal.made_from, "written_on": day, "place": place},
            )  # fmt: skip
            place += 1
    return change.number


def write_action(store: Store, month: date, new: NewAction, day: date) -> int | None:
    """Writes one action down: one's own, or a proposal (``made_from``) as changed, done, dropped.

    RecordError when it has no words, or when the month's list has it already.
    """
    verb = {"open": _("Wrote down"), "done": _("Did"), "dropped": _("Dropped")}[new.state]
    with store.change(f"{verb}: {_text_of(new.action)}") as change:
        rows = _of_month(change.records.actions, month)
        if new.made_from and new.made_from in set(rows["made_from"]):
            raise _on_the_list(new.action, month)
        _refuse_twice(rows, new.action, month)
        row = {name: value for name, value in vars(new).items() if name != "state"}
        days = {"month": month.replace(day=1), "written_on": day}
        if new.state != "open":
            days[f"{new.state}_on"] = day
        change.add("actions", {**row, **days, "place": _next_place(rows)})
    return change.number


def edit_action(
    store: Store,
    row_id: int,
    values: Mapping[str, str],
    *,
    as_read: Mapping[str, object] | None = None,
) -> int | None:
    """Changes an action's words: any of ``action, reason, assigned_to, note``.

    ``as_read`` holds them as the person read them (see ``Batch.correct``).
    """
    with store.change() as change:
        before = change.values("actions", row_id)
        action = values.get("action", before["action"])
        change.what = _("Changed: {action}", action=_text_of(action))
        month = before["month"].date()
        rows = _of_month(change.records.actions, month)
        _refuse_twice(rows[rows.index != row_id], action, month)
        change.correct("actions", row_id, values, as_read=as_read)
    return change.number


def finish_action(store: Store, row_id: int, day: date) -> int | None:
    """Ticks an action off; RecordError when it was done or dropped meanwhile."""
    with store.change() as change:
        action = _open_action(change, row_id)
        change.what = _("Did: {action}", action=action)
        change.correct("actions", row_id, {"done_on": day})
    return change.number


def reopen_action(store: Store, row_id: int) -> int | None:
    """Takes the tick off again: the action is open as before."""
    with store.change() as change:
        change.what = _("Open again: {action}", action=change.values("actions", row_id)["action"])
        change.correct("actions", row_id, {"done_on": None, "dropped_on": None})
    return change.number


def drop_action(store: Store, row_id: int, day: date, month: date) -> int | None:
    """Takes an action off the list because it is not needed; it stays in the records.

    ``month`` is the review in which that was decided. When it carried the action over, the same
    proposal of its own month is dropped with it, for it would come up in its place at once.
    """
    with store.change() as change:
        action = _open_action(change, row_id)
        change.what = _("Dropped: {action}", action=action)
        change.correct("actions", row_id, {"dropped_on": day})
        row = change.values("actions", row_id)
        rows = _of_month(change.records.actions, month)
        carried_over = row["month"].date() < month.replace(day=1)
        if carried_over and row["made_from"] and row["made_from"] not in set(rows["made_from"]):
            same = {name: row[name] for name in ("action", "reason", "made_from")}
            days = {"month": month.replace(day=1), "written_on": day, "dropped_on": day}
            change.add("actions", {**same, **days})
    return change.number


def move_action_up(store: Store, row_id: int) -> int | None:
    """Puts an action before the one above it in its month's list; None when it is the first."""
    with store.change() as change:
        row = change.values("actions", row_id)
        change.what = _("Moved up: {action}", action=row["action"])
        rows = in_order(_of_month(change.records.actions, row["month"].date()))
        order = [int(at) for at in rows.index[rows["dropped_on"].isna()]]
        at = order.index(row_id) if row_id in order else 0
        if at > 0:
            order[at - 1], order[at] = order[at], order[at - 1]
            for place, label in enumerate(order, 1):
                change.correct("actions", label, {"place": place})
    return change.number


def write_note(
    store: Store, month: date, note: str, day: date, *, as_read: str | None = None
) -> int | None:
    """Writes the note beside a month's review, over the one that is there; "" takes it out.

    ``as_read`` is the note as the person read it: another one written since is asked about.
    """
    with store.change(_("Note of the review of {month}", month=month_name(month))) as change:
        rows = _of_month(change.records.review_notes, month)
        if rows.empty and note.strip():
            first = month.replace(day=1)
            change.add("review_notes", {"month": first, "note": note, "written_on": day})
        for row_id in map(int, rows.index):
            read = None if as_read is None else {"note": as_read}
            if note.strip():
                change.correct("review_notes", row_id, {"note": note}, as_read=read)
            else:
                change.remove("review_notes", row_id, as_read=read)
    return change.number


def in_order(rows: pd.DataFrame) -> pd.DataFrame:
    """Actions as they stand in the list: by place, those without one last, as written down."""
    return rows.sort_values("place", kind="stable")


def _of_month(rows: pd.DataFrame, month: date) -> pd.DataFrame:
    return rows[rows["month"] == pd.Timestamp(month.replace(day=1))]


def _next_place(rows: pd.DataFrame) -> int:
    highest = rows["place"].max()
    return 1 if pd.isna(highest) else int(highest) + 1


def _text_of(action: str) -> str:
    if not action.strip():
        raise RecordError(_("The action has no words; write what is to be done."))
    return action.strip()


def _refuse_twice(rows: pd.DataFrame, action: str, month: date) -> None:
    same = rows["action"].str.casefold() == action.strip().casefold()
    if (same & rows["done_on"].isna() & rows["dropped_on"].isna()).any():
        raise _on_the_list(action, month)


def _on_the_list(action: str, month: date) -> RecordError:
    return RecordError(
        _(
            "“{action}” is on the list of {month} already; change it there.",
            action=action.strip(),
            month=month_name(month),
        )
    )


def _open_action(change: Batch, row_id: int) -> str:
    """The words of an action that is still open; LoggedAlready, which says by whom, when not."""
    row = change.values("actions", row_id)
    for column, outcome in (("done_on", _("done")), ("dropped_on", _("dropped"))):
        if row[column] is not None:
            told = _(
                "“{action}” was {outcome} on {row} already; undo that first, or correct "
                "the record.",
                action=row["action"],
                outcome=outcome,
                row=written(row[column]),
            )
            raise told_already(change, "actions", row_id, told)
    return str(row["action"])
