"""What a review gives to do, in words: proposals from their facts, and marks of the list."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Any, NamedTuple

from tracker.review import proposals as facts
from tracker.review.action_list import ListedAction
from tracker.review.month import MonthReview
from tracker.say import numbers, part_types
from tracker.say.monthly.findings import suspicion_name, suspicion_sentence
from tracker.say.phrases import first_up, place_of, shortened, where
from tracker.say.spares import preorder, stock
from tracker.workshop import vocabulary as vocab

_PLACES_NAMED = 6  # of a bad batch
_FIRST_OF_MANY = 3
_LONGEST_REASON = 120
NOTHING_TO_DO = "Nothing beyond the usual routine."
MORE_TO_DO = "And {more} more; all of them stand in the appendices."


class Words(NamedTuple):
    """What is to be done, and why."""

    what: str
    why: str


def worded(review: MonthReview) -> tuple[ListedAction, ...]:
    """The review's list with its proposals put into words, as they are shown and written down."""
    return tuple(
        act
        if act.proposal is None
        else replace(act, **proposal_words(act.proposal, review.currency)._asdict())
        for act in review.actions
    )


def proposal_words(proposal: facts.Proposal, currency: str) -> Words:
    """The words that a proposal is shown and written down in."""
    match proposal:
        case facts.AskSupplier():
            return _ask(proposal)
        case facts.OrderByDate() if len(proposal.rows) == 1:
            return _order_one(next(proposal.rows.itertuples()), currency)
        case facts.OrderByDate():
            return _order_many(proposal, currency)
        case facts.OrderForShelf(row):
            return _order_for_shelf(row, currency)
        case facts.ClaimWarranty(row):
            return _claim(row)
        case facts.KeepRoutine(row, month):
            return Words(
                f"Keep “{vocab.task_label(row.task)}” on {row.printer} in time, or change how "
                "often it is due.",
                f"In {month:%B %Y} {row.in_time:.0f} of {row.due:.0f} were done in time, "
                f"{row.late:.0f} late, {row.missed:.0f} not at all.",
            )
        case facts.LookOver(printer):
            return Words(
                f"Look {printer} over for one common cause.",
                "Its stoppages come faster than they used to.",
            )
        case facts.ChangeByPlan(row):
            return _change(row)


def _ask(proposal: facts.AskSupplier) -> Words:
    bad = proposal.suspicion
    if bad.batch:
        what = f"Ask the supplier about {suspicion_name(bad)}, and use none that is left on the "
        what += "shelf"
        if bad.fitted_now:
            what += f"; have spares ready for {', '.join(bad.places_now[:_PLACES_NAMED])}"
    else:
        kinds = part_types.of_all_within(bad.part_kind, bad.variants, plural=True)
        what = f"Buy the next {kinds} elsewhere, or ask {bad.supplier} why they fail early"
    return Words(f"{what}.", suspicion_sentence(bad))


def _order_one(row: Any, currency: str) -> Words:
    return Words(
        f"Order a {part_types.along_with(row, f'for {where(row)}')} by "
        f"{numbers.day(row.order_by)}.",
        first_up(preorder.reason(row, currency)),
    )


def _order_many(proposal: facts.OrderByDate, currency: str) -> Words:
    """One action for a kind of which many are to be ordered, each by its own day."""
    rows, kind = proposal.rows, proposal.part_kind
    first = next(rows.itertuples())
    named = ", ".join(
        place_of(kind, row.printer, row.position) for row in rows.head(_FIRST_OF_MANY).itertuples()
    )
    return Words(
        f"Order {len(rows)} × {part_types.within(first)}, the first by "
        f"{numbers.day(first.order_by)}, the last by {numbers.day(max(rows['order_by']))}.",
        f"For {named} and {len(rows) - _FIRST_OF_MANY} more. "
        + first_up(preorder.reason(first, currency)),
    )


def _order_for_shelf(row: Any, currency: str) -> Words:
    """With what there will be: more than is wanted where whole packs are bought."""
    label = part_types.within(row)
    pack = f" (packs of {row.pack_size:.0f})" if row.pack_size > 1 else ""
    those = "this one" if row.order_now == 1 else f"these {row.order_now:.0f}"
    total = row.on_hand + row.arriving + row.order_now
    return Words(
        f"Order {row.order_now:.0f} × {label} ({numbers.money(row.cost, currency)}).",
        f"{stock.reason(row)} With {those}{pack} there will be {total:.0f}.",
    )


def _claim(row: Any) -> Words:
    return Words(
        f"Claim the {part_types.placed_within(row)}"
        f"{f' from {row.supplier}' if row.supplier else ''} under warranty.",
        f"It failed on {numbers.day(row.failed_on)}, {numbers.days(row.age_days)} after "
        f"fitting; its warranty runs {numbers.days(row.warranty_days)}, and no claim "
        "is written down.",
    )


def _change(row: Any) -> Words:
    return Words(
        f"Change the {part_types.placed_within(row)} by "
        f"{numbers.day(row.due_on)}, before it fails.",
        f"It is {'' if row.age_known else 'about '}{numbers.days(row.age_days)} old; a change at "
        f"{numbers.days(row.change_at_days)} saves {numbers.chance(row.saving)} against "
        f"running to failure ({numbers.chance(row.chance_it_pays)} sure that it pays).",
    )


def marks(act: ListedAction) -> str:
    """Where it comes from, whose it is and whether it is done, "" for a bare proposal.

    >>> marks(ListedAction(date(2026, 9, 1), "Look.", "", "done", "Ana", date(2026, 10, 12)))
    'Ana · done 12 Oct 2026'
    """
    pieces = [f"from the {act.month:%B %Y} review"] if act.carried_over else []
    pieces += [act.assigned_to] if act.assigned_to else []
    pieces += [f"done {numbers.day(act.done_on)}"] if act.done_on else []
    return " · ".join(pieces)


def dated_reason(act: ListedAction) -> str:
    """Why; of a carried-over action with the month it was seen in.

    >>> dated_reason(ListedAction(date(2026, 8, 1), "", "2 were late.", "open", carried_over=True))
    'August 2026: 2 were late.'
    """
    month = f"{act.month:%B %Y}"
    if not act.why or not act.carried_over or month in act.why:
        return act.why
    return f"{month}: {act.why}"


def in_short(act: ListedAction) -> str:
    """The first sentence of why, no longer than a line; the rest is told on demand.

    >>> in_short(ListedAction(date(2026, 8, 1), "", "None is left. One is on the way.", "open"))
    'None is left.'
    """
    first, mark, _ = dated_reason(act).partition(". ")
    if len(first) < _LONGEST_REASON:
        return first + mark.strip()
    clauses = first[:_LONGEST_REASON].rpartition(";")[0]
    return f"{clauses}." if clauses else shortened(first, _LONGEST_REASON)


def open_first(actions: Sequence[ListedAction]) -> tuple[ListedAction, ...]:
    """What is to be done before what is done, each in its order."""
    return tuple(sorted(actions, key=lambda act: act.state == "done"))


def box(act: ListedAction) -> str:
    """An empty or a ticked box."""
    return "☑" if act.state == "done" else "☐"


def action_lines(actions: Sequence[ListedAction], note: str) -> list[str]:
    """The worded list and the note as plain lines, numbered, for the command line."""
    lines = []
    for number, act in enumerate(actions, 1):
        ticked = f"{box(act)} " if act.state != "proposed" else ""
        beside = f" ({marks(act)})" if marks(act) else ""
        both = (f"  {number}. {ticked}{act.what}{beside}", dated_reason(act))
        lines.append(" ".join(filter(None, both)))
    lines += [] if actions else [f"  {NOTHING_TO_DO}"]
    if note:
        lines += ["", "Note:", *(f"  {line}" for line in note.splitlines())]
    return lines


def open_sentence(months: Sequence[date]) -> str:
    """How many to-dos of which reviews are open; "" when none is.

    ``months``: of each action's review, the earliest first.

    >>> open_sentence([date(2026, 2, 1), date(2026, 3, 1)])
    '2 to-dos of the reviews up to March are open.'
    """
    if not months:
        return ""
    last = f"{months[-1]:%B}"
    whose = f"the {last} review" if len(set(months)) == 1 else f"the reviews up to {last}"
    are = "is" if len(months) == 1 else "are"
    return f"{numbers.count(len(months), 'to-do')} of {whose} {are} open."
