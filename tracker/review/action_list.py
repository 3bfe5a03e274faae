"""The list of a month's review: what earlier reviews left open, what this one gives to do.

An action is *proposed* from the month's figures until somebody writes it down; from then on it is
*open* until it is *done* or dropped. A dropped one is not shown again.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

import pandas as pd

from tracker.review.proposals import OrderByDate, OrderForShelf, Proposal
from tracker.store.acts.review_list import in_order
from tracker.workshop.records import Records

MOST_ACTIONS = 8  # of one month's own, orders besides
SETTLES_DAYS = 14  # what was done so lately is not proposed again: its figures lag behind
State = Literal["proposed", "open", "done"]


@dataclass(frozen=True)
class ListedAction:
    """An action as the list of a review has it.

    ``month`` is the first day of the month whose review gave it; ``carried_over`` says that this
    was an earlier one. ``what`` and ``why`` are the words it was written down in, ``row_id`` its
    record. Of a ``proposal`` that nobody wrote down there are only its facts, until
    ``say.review_actions`` puts them into words.
    """

    month: date
    what: str
    why: str
    state: State
    assigned_to: str = ""
    done_on: date | None = None
    note: str = ""
    made_from: str = ""
    row_id: int | None = None
    carried_over: bool = False
    proposal: Proposal | None = None


def action_list(
    records: Records, first: date, last: date, looked_on: date, proposals: Sequence[Proposal]
) -> tuple[ListedAction, ...]:
    """What is to be done after a month's review, as it stood on the day ``looked_on``?

    ``first`` and ``last`` are the month's first day and the last one that its figures know. First
    comes what earlier reviews gave and what was not done before the month began, the open ones
    first; then the month's own actions in their order; then ``proposals`` not written down yet.
    A proposal is left out that the month's list has in whatever words, that was dropped in this
    review, or that is carried over; a warranty claim and a question about a batch are not made
    again once done.
    """
    rows = in_order(_known(records, looked_on).actions)
    month, end = pd.Timestamp(first), pd.Timestamp(last)
    own = rows[rows["month"] == month]
    finished = rows["done_on"].fillna(rows["dropped_on"])
    earlier = rows[(rows["month"] < month) & (rows["written_on"] <= end) & ~(finished < month)]
    over = [_listed(row, carried_over=True) for row in _shown(earlier).itertuples()]
    over.sort(key=lambda action: (action.state == "done", action.month))
    kept = [_listed(row, carried_over=False) for row in _shown(own).itertuples()]
    settled = set(own["made_from"]) | _settled(rows, earlier, month, end)
    room = max(0, MOST_ACTIONS - len(own))
    left = [
        ListedAction(first, "", "", "proposed", made_from=proposal.made_from, proposal=proposal)
        for proposal in proposals
        if proposal.made_from not in settled
    ]
    return (*over, *kept, *_short(left, room))


def _short(left: Sequence[ListedAction], room: int) -> list[ListedAction]:
    """The first so many; orders beyond them too, for a part that nobody orders is missing."""
    return [
        act
        for number, act in enumerate(left)
        if number < room or isinstance(act.proposal, OrderByDate | OrderForShelf)
    ]


def _known(records: Records, day: date) -> Records:
    """Actions and notes as written down by that day; the other tables are left aside."""
    return Records(actions=records.actions, review_notes=records.review_notes).known_at(day)


def _shown(rows: pd.DataFrame) -> pd.DataFrame:
    return rows[rows["dropped_on"].isna()]


def _settled(
    rows: pd.DataFrame, earlier: pd.DataFrame, month: pd.Timestamp, end: pd.Timestamp
) -> set[str]:
    """What proposals need not be made again, whatever this month's own list says."""
    still_open = earlier[~(earlier["done_on"].fillna(earlier["dropped_on"]) <= end)]
    lately = rows[(rows["month"] < month) & (rows["done_on"] > end - timedelta(days=SETTLES_DAYS))]
    once = rows[
        rows["made_from"].str.match("batch |claim ") & rows["done_on"].notna()
        | rows["made_from"].str.startswith("claim ") & rows["dropped_on"].notna()
    ]
    return {name for some in (still_open, lately, once) for name in some["made_from"]} - {""}


def _listed(row: object, carried_over: bool) -> ListedAction:
    done = row.done_on  # type: ignore[attr-defined]
    return ListedAction(
        month=row.month.date(),  # type: ignore[attr-defined]
        what=row.action,  # type: ignore[attr-defined]
        why=row.reason,  # type: ignore[attr-defined]
        state="open" if pd.isna(done) else "done",
        assigned_to=row.assigned_to,  # type: ignore[attr-defined]
        done_on=None if pd.isna(done) else done.date(),
        note=row.note,  # type: ignore[attr-defined]
        made_from=row.made_from,  # type: ignore[attr-defined]
        row_id=int(row.Index),  # type: ignore[attr-defined]
        carried_over=carried_over,
    )


def review_note(records: Records, month: date, looked_on: date) -> str:
    """The note beside that month's review, "" when there is none."""
    notes = _known(records, looked_on).review_notes
    mine = notes[notes["month"] == pd.Timestamp(month.replace(day=1))]
    return str(mine["note"].iloc[-1]) if len(mine) else ""


def open_actions(records: Records, as_of: date) -> tuple[date, ...]:
    """Which actions are open on that day? The month of each one's review, the earliest first."""
    rows = _known(records, as_of).actions
    rows = rows[rows["done_on"].isna() & rows["dropped_on"].isna()]
    return tuple(month.date() for month in sorted(rows["month"]))


def people(records: Records) -> list[str]:
    """Names that work was given to or done by, the commonest first."""
    times: Counter[str] = Counter()
    for column in (
        records.codes("actions", "assigned_to"),
        records.codes("maintenance", "done_by"),
    ):
        times.update(column.counts())
    return [name for name, _many in times.most_common() if name]
