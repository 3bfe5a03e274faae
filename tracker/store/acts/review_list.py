"""What a monthly review gives to do, and what the workshop notes beside it.

An action belongs to the month under review and stays open until it is done or dropped; later
reviews carry it over. ``day`` is the day it is written down, done or dropped.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Protocol

import pandas as pd

from tracker.errors import RecordError
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


def keep_actions(
    store: Store,
    month: date,
    proposals: Iterable[Proposal],
    day: date,
    *,
    who: str = "",
    now: datetime | None = None,
) -> int | None:
    """Writes the proposals down, after what the month's list has; those it has stay as they are."""
    with store.change(f"Kept the actions of {month:%B %Y}", who, now=now) as all_:
        rows = _of_month(all_.records.actions, month)
        there, place = set(rows["made_from"]), _next_place(rows)
        for proposal in proposals:
            if proposal.made_from in there:
                continue
            there.add(proposal.made_from)
            all_.add(
                "actions",
                {"month": month.replace(day=1), "action": proposal.what, "reason": proposal.why,
                 "made_from": proposal.made_from, "written_on": day, "place": place},
            )  # fmt: skip
            place += 1
    return all_.number


def write_action(
    store: Store,
    month: date,
    action: str,
    day: date,
    *,
    reason: str = "",
    assigned_to: str = "",
    note: str = "",
    made_from: str = "",
    done: bool = False,
    dropped: bool = False,
    who: str = "",
    now: datetime | None = None,
) -> int | None:
    """Writes one action down: one's own, or a proposal (``made_from``) as changed, done, dropped.

    RecordError when it has no words, or when the month's list has it already.
    """
    told = "Dropped" if dropped else "Did" if done else "Wrote down"
    with store.change(f"{told}: {_words(action)}", who, now=now) as all_:
        rows = _of_month(all_.records.actions, month)
        if made_from and made_from in set(rows["made_from"]):
            raise RecordError(
                f"“{action.strip()}” is on the list of {month:%B %Y} already; change it there."
            )
        _refuse_twice(rows, action, month)
        all_.add(
            "actions",
            {"month": month.replace(day=1), "action": action, "reason": reason,
             "assigned_to": assigned_to, "note": note, "made_from": made_from, "written_on": day,
             "done_on": day if done else None, "dropped_on": day if dropped else None,
             "place": _next_place(rows)},
        )  # fmt: skip
    return all_.number


def edit_action(
    store: Store,
    row_id: int,
    values: Mapping[str, str],
    *,
    who: str = "",
    now: datetime | None = None,
) -> int | None:
    """Changes an action's words: any of ``action, reason, assigned_to, note``."""
    with store.change(who=who, now=now) as all_:
        before = all_.values("actions", row_id)
        action = values.get("action", before["action"])
        all_.what = f"Changed: {_words(action)}"
        month = before["month"].date()
        rows = _of_month(all_.records.actions, month)
        _refuse_twice(rows[rows.index != row_id], action, month)
        all_.correct("actions", row_id, values)
    return all_.number


def finish_action(
    store: Store, row_id: int, day: date, *, who: str = "", now: datetime | None = None
) -> int | None:
    """Ticks an action off; RecordError when it was done or dropped meanwhile."""
    with store.change(who=who, now=now) as all_:
        action = _open_action(all_, row_id)
        all_.what = f"Did: {action}"
        all_.correct("actions", row_id, {"done_on": day})
    return all_.number


def reopen_action(
    store: Store, row_id: int, *, who: str = "", now: datetime | None = None
) -> int | None:
    """Takes the tick off again: the action is open as before."""
    with store.change(who=who, now=now) as all_:
        all_.what = f"Open again: {all_.values('actions', row_id)['action']}"
        all_.correct("actions", row_id, {"done_on": None, "dropped_on": None})
    return all_.number


def drop_action(
    store: Store,
    row_id: int,
    day: date,
    month: date,
    *,
    who: str = "",
    now: datetime | None = None,
) -> int | None:
    """Takes an action off the list because it is not needed; it stays in the records.

    ``month`` is the review in which that was decided. When it carried the action over, the same
    proposal of its own month is dropped with it, for it would come up in its place at once.
    """
    with store.change(who=who, now=now) as all_:
        action = _open_action(all_, row_id)
        all_.what = f"Dropped: {action}"
        all_.correct("actions", row_id, {"dropped_on": day})
        row = all_.values("actions", row_id)
        rows = _of_month(all_.records.actions, month)
        carried_over = row["month"].date() < month.replace(day=1)
        if carried_over and row["made_from"] and row["made_from"] not in set(rows["made_from"]):
            same = {name: row[name] for name in ("action", "reason", "made_from")}
            days = {"month": month.replace(day=1), "written_on": day, "dropped_on": day}
            all_.add("actions", {**same, **days})
    return all_.number


def move_action_up(
    store: Store, row_id: int, *, who: str = "", now: datetime | None = None
) -> int | None:
    """Puts an action before the one above it in its month's list; None when it is the first."""
    with store.change(who=who, now=now) as all_:
        row = all_.values("actions", row_id)
        all_.what = f"Moved up: {row['action']}"
        rows = in_order(_of_month(all_.records.actions, row["month"].date()))
        order = [int(at) for at in rows.index[rows["dropped_on"].isna()]]
        at = order.index(row_id) if row_id in order else 0
        if at > 0:
            order[at - 1], order[at] = order[at], order[at - 1]
            for place, label in enumerate(order, 1):
                all_.correct("actions", label, {"place": place})
    return all_.number


def write_note(
    store: Store,
    month: date,
    note: str,
    day: date,
    *,
    who: str = "",
    now: datetime | None = None,
) -> int | None:
    """Writes the note beside a month's review, over the one that is there; "" takes it out."""
    with store.change(f"Note of the review of {month:%B %Y}", who, now=now) as all_:
        rows = _of_month(all_.records.review_notes, month)
        if rows.empty and note.strip():
            first = month.replace(day=1)
            all_.add("review_notes", {"month": first, "note": note, "written_on": day})
        for row_id in map(int, rows.index):
            if note.strip():
                all_.correct("review_notes", row_id, {"note": note})
            else:
                all_.remove("review_notes", row_id)
    return all_.number


def in_order(rows: pd.DataFrame) -> pd.DataFrame:
    """Actions as they stand in the list: by place, those without one last, as written down."""
    return rows.sort_values("place", kind="stable")


def _of_month(rows: pd.DataFrame, month: date) -> pd.DataFrame:
    return rows[rows["month"] == pd.Timestamp(month.replace(day=1))]


def _next_place(rows: pd.DataFrame) -> int:
    highest = rows["place"].max()
    return 1 if pd.isna(highest) else int(highest) + 1


def _words(action: str) -> str:
    if not action.strip():
        raise RecordError("The action has no words; write what is to be done.")
    return action.strip()


def _refuse_twice(rows: pd.DataFrame, action: str, month: date) -> None:
    same = rows["action"].str.casefold() == action.strip().casefold()
    if (same & rows["done_on"].isna() & rows["dropped_on"].isna()).any():
        raise RecordError(
            f"“{action.strip()}” is on the list of {month:%B %Y} already; change it there."
        )


def _open_action(all_: Batch, row_id: int) -> str:
    """The words of an action that is still open; RecordError when it is not."""
    row = all_.values("actions", row_id)
    for column, told in (("done_on", "done"), ("dropped_on", "dropped")):
        if row[column] is not None:
            raise RecordError(
                f"“{row['action']}” was {told} on {written(row[column])} already; undo that first, "
                "or correct the record."
            )
    return str(row["action"])
