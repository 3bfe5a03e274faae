"""What a review gives to do, in words: proposals from their facts, and marks of the list."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Any, NamedTuple

import pandas as pd

from tracker.language import N_, _, month_name, ngettext
from tracker.review import proposals as facts
from tracker.review.action_list import ListedAction
from tracker.review.month import MonthReview
from tracker.say import numbers, part_types
from tracker.say.monthly.findings import suspicion_name, suspicion_sentence
from tracker.say.phrases import by_day, first_up, place_of, shortened, where
from tracker.say.spares import preorder, stock
from tracker.say.spares.orders import of_part_by_guess, of_type_by_guess
from tracker.workshop import vocabulary as vocab
from tracker.workshop.variants import PartType, types_in

_PLACES_NAMED = 6  # of a bad batch
_FIRST_OF_MANY = 3
_LONGEST_REASON = 120
NOTHING_TO_DO = N_("Nothing beyond the usual routine.")
MORE_TO_DO = N_("And {more} more; all of them stand in the appendices.")


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
                _(
                    "Keep “{task}” on {printer} in time, or change how often it is due.",
                    task=vocab.task_label(row.task),
                    printer=row.printer,
                ),
                _(
                    "In {month} {in_time} of {due} were done in time, {late} late, {missed} "
                    "not at all.",
                    month=month_name(month),
                    in_time=f"{row.in_time:.0f}",
                    due=f"{row.due:.0f}",
                    late=f"{row.late:.0f}",
                    missed=f"{row.missed:.0f}",
                ),
            )
        case facts.LookOver(printer):
            return Words(
                _("Look {printer} over for one common cause.", printer=printer),
                _("Its stoppages come faster than they used to."),
            )
        case facts.ChangeByPlan(row):
            return _change(row)


def _ask(proposal: facts.AskSupplier) -> Words:
    bad = proposal.suspicion
    if bad.batch:
        name, places = suspicion_name(bad), ", ".join(bad.places_now[:_PLACES_NAMED])
        what = (
            _(
                "Ask the supplier about {bad}, and use none that is left on the shelf; have "
                "spares ready for {places}.",
                bad=name,
                places=places,
            )
            if bad.fitted_now
            else _(
                "Ask the supplier about {bad}, and use none that is left on the shelf.", bad=name
            )
        )
    else:
        kinds = part_types.of_all_within(bad.part_kind, bad.variants, plural=True)
        what = _(
            "Buy the next {kinds} elsewhere, or ask {supplier} why they fail early.",
            kinds=kinds,
            supplier=bad.supplier,
        )
    return Words(what, suspicion_sentence(bad))


def _order_one(row: Any, currency: str) -> Words:
    place = _("for {place}", place=where(row))
    return Words(
        _(
            "Order one {part} {by}.",
            part=part_types.along_with(row, place),
            by=by_day(row.order_by, row.as_of),
        ),
        of_part_by_guess(row, first_up(preorder.reason(row, currency))),
    )


def _order_many(proposal: facts.OrderByDate, currency: str) -> Words:
    """One action for a kind of which many are to be ordered, each by its own day."""
    rows, kind = proposal.rows, proposal.part_kind
    first = next(rows.itertuples())
    named = ", ".join(
        place_of(kind, row.printer, row.position) for row in rows.head(_FIRST_OF_MANY).itertuples()
    )
    return Words(
        _(
            "Order {count} × {part}, the first {first}, the last {last}.",
            count=len(rows),
            part=part_types.within(first),
            first=by_day(first.order_by, first.as_of),
            last=by_day(max(rows["order_by"]), first.as_of),
        ),
        _("For {named} and {count} more. ", named=named, count=len(rows) - _FIRST_OF_MANY)
        + of_part_by_guess(first, first_up(preorder.reason(first, currency))),
    )


def _order_for_shelf(row: Any, currency: str) -> Words:
    """With what there will be: more than is wanted where whole packs are bought."""
    label = part_types.within(row)
    ordered = f"{row.order_now:.0f}"
    pack = (
        _(" (packs of {pack_size})", pack_size=f"{row.pack_size:.0f}") if row.pack_size > 1 else ""
    )
    total = row.available + row.order_now
    return Words(
        _(
            "Order {order_now} × {label} ({cost}).",
            order_now=ordered,
            label=label,
            cost=numbers.money(row.cost, currency),
        ),
        ngettext(
            "{reason} With this one{pack} there will be {total}.",
            "{reason} With these {count}{pack} there will be {total}.",
            row.order_now,
            reason=of_type_by_guess(row, stock.reason(row)),
            count=ordered,
            pack=pack,
            total=f"{total:.0f}",
        ),
    )


def _claim(row: Any) -> Words:
    part = part_types.placed_within(row)
    return Words(
        _("Claim the {part} from {supplier} under warranty.", part=part, supplier=row.supplier)
        if row.supplier
        else _("Claim the {part} under warranty.", part=part),
        _(
            "It failed on {failed_on}, {age_days} after fitting; its warranty runs "
            "{warranty_days}, and no claim is written down.",
            failed_on=numbers.day(row.failed_on),
            age_days=numbers.days(row.age_days),
            warranty_days=numbers.days(row.warranty_days),
        ),
    )


def _change(row: Any) -> Words:
    return Words(
        _(
            "Change the {part} by {due_on}, before it fails.",
            part=part_types.placed_within(row),
            due_on=numbers.day(row.due_on),
        ),
        _(
            "It is {age} old; a change at {change_at_days} saves {saving} against running to "
            "failure ({chance_it_pays} sure that it pays).",
            age=numbers.days(row.age_days)
            if row.age_known
            else _("about {age}", age=numbers.days(row.age_days)),
            change_at_days=numbers.days(row.change_at_days),
            saving=numbers.chance(row.saving),
            chance_it_pays=numbers.chance(row.chance_it_pays),
        ),
    )


def marks(act: ListedAction) -> str:
    """Where it comes from, whose it is and whether it is done, "" for a bare proposal.

    >>> marks(ListedAction(date(2026, 9, 1), "Look.", "", "done", "Ana", date(2026, 10, 12)))
    'Ana · done 12 Oct 2026'
    """
    pieces = [_("from the {month} review", month=month_name(act.month))] if act.carried_over else []
    pieces += [act.assigned_to] if act.assigned_to else []
    pieces += [_("done {done_on}", done_on=numbers.day(act.done_on))] if act.done_on else []
    return " · ".join(pieces)


def dated_reason(act: ListedAction) -> str:
    """Why; of a carried-over action with the month it was seen in.

    >>> dated_reason(ListedAction(date(2026, 8, 1), "", "2 were late.", "open", carried_over=True))
    'August 2026: 2 were late.'
    """
    month = month_name(act.month)
    if not act.why or not act.carried_over or month in act.why:
        return act.why
    return f"{first_up(month)}: {act.why}"


def in_short(act: ListedAction) -> str:
    """The first sentence of why, no longer than a line; the rest is told on demand.

    >>> in_short(ListedAction(date(2026, 8, 1), "", "None is left. One is on the way.", "open"))
    'None is left.'
    """
    first, mark, _rest = dated_reason(act).partition(". ")
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
    lines += [] if actions else [f"  {_(NOTHING_TO_DO)}"]
    if note:
        lines += ["", _("Note:"), *(f"  {line}" for line in note.splitlines())]
    return lines


def to_do_sentence(review: MonthReview, still_open: int, proposed: int) -> str:
    """How many to-dos are open, how many more the figures propose, and as of when; "" for none."""
    told = []
    if still_open:
        told.append(
            ngettext(
                "{count} to-do is open.",
                "{count} to-dos are open.",
                still_open,
                count=numbers.decimal(still_open),
            )
        )
    if proposed:
        told.append(
            ngettext(
                "The figures of {month}, as known on {day}, propose {count} more.",
                "The figures of {month}, as known on {day}, propose {count} more.",
                proposed,
                month=month_name(review.month, year=False),
                day=numbers.day(review.as_of),
                count=numbers.decimal(proposed),
            )
        )
    return " ".join(told)


def orders_moved_on(
    proposed: Sequence[ListedAction], lines: pd.DataFrame, then: date, today: str
) -> str:
    """That the orders proposed are those of a day gone by, where today's are others; else "".

    ``lines`` of today's ``order_proposal``, ``today`` what the page Spares answers.
    """
    pieces: dict[PartType, int] = {}
    for act in proposed:
        match act.proposal:
            case facts.OrderByDate(rows):
                for part in types_in(rows):
                    pieces[part] = pieces.get(part, 0) + 1
            case facts.OrderForShelf(row):
                part = PartType(str(row.part_kind), str(row.variant))
                pieces[part] = pieces.get(part, 0) + int(row.order_now)
    wanted = dict(zip(types_in(lines), map(int, lines["pieces"]), strict=True))
    if not pieces or pieces == wanted:
        return ""
    return _(
        "The orders below are those of {then} and have moved on since. {today}",
        then=numbers.day(then),
        today=today,
    )


def open_sentence(months: Sequence[date]) -> str:
    """How many to-dos of which reviews are open; "" when none is.

    ``months``: of each action's review, the earliest first.

    >>> open_sentence([date(2026, 2, 1), date(2026, 3, 1)])
    '2 to-dos of the reviews up to March are open.'
    """
    if not months:
        return ""
    last, number = month_name(months[-1], year=False), len(months)
    if len(set(months)) == 1:
        return ngettext(
            "{count} to-do of the {last} review is open.",
            "{count} to-dos of the {last} review are open.",
            number,
            count=number,
            last=last,
        )
    return _(
        "{count} to-dos of the reviews up to {last} are open.",
        count=numbers.decimal(number),
        last=last,
    )
