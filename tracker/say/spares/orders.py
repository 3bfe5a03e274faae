"""What to order today, in words: why each line stands there, and what is worth adding to it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import pandas as pd

from tracker.decisions.ordering.purchases import WorseSeller
from tracker.language import N_, _, ngettext
from tracker.say import numbers, part_types
from tracker.say.phrases import first_down
from tracker.say.spares import preorder, stock
from tracker.say.spares.thin import by_guess
from tracker.workshop.variants import PartType, types_in

_NAMED_PARTS = 3
_COUNTED_BY_STOCK = N_(
    "Counted by stock and not by date, for one place may need a second spare before the "
    "next delivery."
)


def reasons(
    lines: pd.DataFrame, table: pd.DataFrame, heads: pd.DataFrame, currency: str
) -> list[str]:
    """Why each line of ``order_proposal`` is to be ordered, in order.

    ``table`` of ``stock_table`` and ``heads`` of ``preorder``, from which the lines were made.
    """
    stocked = dict(zip(types_in(table), table.itertuples(), strict=True))
    found = []
    for part, line in zip(types_in(lines), lines.itertuples(), strict=True):
        if line.by_date:
            found.append(_of_dates(heads.loc[list(line.due)], currency))
        else:
            added = f" {_(_COUNTED_BY_STOCK)}" if line.dated_too else ""
            found.append(stock.reason(stocked[part]) + added)
    return found


def in_short(
    lines: pd.DataFrame, table: pd.DataFrame, heads: pd.DataFrame, currency: str
) -> list[str]:
    """The same in a few words each: what works and what there is, and why to order."""
    stocked = dict(zip(types_in(table), table.itertuples(), strict=True))
    return [
        f"{stock.in_use(stocked[part])}. "
        + why_dated(heads.loc[list(line.due)], stocked[part], currency)
        if line.by_date
        else in_short_stocked(stocked[part])
        for part, line in zip(types_in(lines), lines.itertuples(), strict=True)
    ]


def in_short_stocked(row: Any) -> str:
    """``"4 in use, 1 on the way; 12 % chance of running short within 44 days."``"""
    told = _(
        "{fitted} in use, {stock}",
        fitted=numbers.decimal(row.fitted),
        stock=first_down(stock.why(row)),
    )
    return of_type_by_guess(row, told)


def why_stocked(row: Any) -> str:
    """What there is of a type and the chance of running short; ``row`` of ``stock_table``."""
    return of_type_by_guess(row, stock.why(row))


def of_type_by_guess(row: Any, told: str) -> str:
    """``by_guess`` of a row of ``stock_table``: a piece that is missing now is no guess."""
    return told if stock.missing_now(row) else by_guess(row, told)


def why_part(row: Any, currency: str) -> str:
    """Why a part is ordered on its day; ``row`` of ``preorder``."""
    return of_part_by_guess(row, preorder.why(row, currency))


def of_part_by_guess(row: Any, told: str) -> str:
    """``by_guess`` of a row of ``preorder``: a place that stands empty is no guess."""
    return told if not pd.isna(row.empty_since) else by_guess(row, told)


def why_dated(due: pd.DataFrame, shelf: Any, currency: str) -> str:
    """Why every piece that is due is ordered, each with its own chances, the most urgent first.

    ``due``: rows of ``preorder`` whose date has come, ``shelf`` their type's of ``stock_table``.
    """
    first, *others = due.itertuples()
    said = [why_part(first, currency)]
    for number, row in enumerate(others[: _NAMED_PARTS - 1], start=2):
        said.append(
            _(
                "Piece {number}, for {printer} {position}: {why}",
                number=number,
                printer=row.printer,
                position=row.position,
                why=first_down(preorder.why(row, currency)),
            )
        )
    if len(others) >= _NAMED_PARTS:
        said.append(_("And {count} more.", count=len(others) - _NAMED_PARTS + 1))
    wanted = int(shelf.stock_for_service) - int(shelf.available)
    if max(wanted, 0) < len(due) and not any(row.dated_by_risk for row in due.itertuples()):
        said.append(
            _(
                "For the chance wanted {wanted} would do; each is dated by cost: waiting costs "
                "more than holding it.",
                wanted=max(wanted, 0) or _("none"),
            )
        )
    return " ".join(said)


def seller_sentence(worse: WorseSeller | None) -> str:
    """That the supplier bought from last is worse, and who is better; "" where none is worse.

    >>> seller_sentence(WorseSeller("Left Parts", 34, 20.7, "Right Parts"))
    'Last bought from Left Parts, whose parts fail sooner (34 failed where 21 is usual): \
rather buy from Right Parts.'
    """
    if worse is None:
        return ""
    places = {
        "supplier": worse.supplier,
        "failed": numbers.decimal(worse.failed),
        "usual": numbers.figure(worse.usual),
    }
    if worse.better:
        return _(
            "Last bought from {supplier}, whose parts fail sooner ({failed} failed where {usual} "
            "is usual): rather buy from {better}.",
            **places,
            better=worse.better,
        )
    return _(
        "Last bought from {supplier}, whose parts fail sooner ({failed} failed where {usual} is "
        "usual): ask elsewhere too.",
        **places,
    )


def beside_seller(
    said: Sequence[str],
    rows: pd.DataFrame,
    worse: Mapping[PartType, WorseSeller],
    *,
    between: str = " ",
) -> list[str]:
    """Each row's words, and behind them that its supplier is worse where that is so."""
    told = [seller_sentence(worse.get(part)) for part in types_in(rows)]
    return [between.join(filter(None, both)) for both in zip(said, told, strict=True)]


def _of_dates(due: pd.DataFrame, currency: str) -> str:
    """Of the parts most at risk, which dates have come and why."""
    sentences = []
    for number, row in enumerate(due.head(_NAMED_PARTS).itertuples()):
        why = preorder.reason(row, currency)
        sentences.append(
            _(
                "Then {printer} {position}: {why}",
                printer=row.printer,
                position=row.position,
                why=why[0].lower() + why[1:],
            )
            if number
            else _(
                "Most at risk: {printer} {position}. {why}",
                printer=row.printer,
                position=row.position,
                why=why,
            )
        )
    if len(due) > _NAMED_PARTS:
        sentences.append(_("And {count} more.", count=len(due) - _NAMED_PARTS))
    return " ".join(sentences)


def why_added(row: Any, currency: str) -> str:
    """Why a part is worth adding to an order that goes out today; ``row`` of ``order_together``."""
    return ngettext(
        "To be ordered by about {due_on} anyway; having it now costs about {earlier_cost} more "
        "and saves about {saving} of later shipments.",
        "To be ordered by about {due_on} anyway; having them now costs about {earlier_cost} more "
        "and saves about {saving} of later shipments.",
        row.pieces,
        due_on=numbers.day(row.due_on),
        earlier_cost=numbers.about_money(row.earlier_cost, currency),
        saving=numbers.about_money(row.saving + row.earlier_cost, currency),
    )


def add_to_the_order(supplier: str, lines: int, saving: float, currency: str) -> str:
    """What is saved by adding lines to the order that goes out today."""
    said = numbers.about_money(saving, currency)
    if supplier:
        return ngettext(
            "Add this to the same order from {supplier}: saves about {saving}, for a second "
            "shipment falls away.",
            "Add these to the same order from {supplier}: saves about {saving}, for a second "
            "shipment falls away.",
            lines,
            supplier=supplier,
            saving=said,
        )
    return ngettext(
        "Add this to the same order: saves about {saving}, for a second shipment falls away.",
        "Add these to the same order: saves about {saving}, for a second shipment falls away.",
        lines,
        saving=said,
    )


def nothing_to_add(shipping: float, currency: str) -> str:
    """Why nothing is worth adding."""
    return _(
        "Nothing else falls due soon enough to be worth adding to the same order (a "
        "shipment is taken to cost {shipping}; change it under Records, Settings).",
        shipping=numbers.money(shipping, currency),
    )


def rest_of_the_list(rows: Sequence[Any], additions: pd.DataFrame, currency: str) -> str:
    """What the folded end of the order list holds."""
    if not rows:
        return _("Worth adding to the same order")
    cost = numbers.money(sum(row.cost for row in rows), currency)
    more = numbers.count(len(rows), "more line", "more lines")
    rest = _("The rest of the list: {more}, about {cost}", more=more, cost=cost)
    if additions.empty:
        return rest
    parts = numbers.count(len(additions), "part", "parts")
    return _("{rest}; and {parts} worth adding", rest=rest, parts=parts)


def addition(row: Any) -> str:
    """An addition by number and name: ``"2 × ink line"``, ``"1 × printhead for Yard H1"``."""
    for_whom = (
        _("for {printer} {position}", printer=row.printer, position=row.position)
        if row.printer
        else ""
    )
    named = part_types.along_with(row, for_whom) if for_whom else part_types.within(row)
    return f"{row.pieces} × {named}"


def on_the_way(row: Any) -> str:
    """One open order: what, since when, from whom, when it is likely here; ``row`` of
    ``open_orders``."""
    whom = _(" from {supplier}", supplier=row.supplier) if row.supplier else ""
    came = (
        _(
            "; {received} of {ordered} came already",
            received=row.received,
            ordered=row.received + row.quantity,
        )
        if row.received
        else ""
    )
    chance = preorder.may_never_come(row.comes, row.comes_low, row.comes_high)
    if row.forgotten:
        return _(
            "{quantity} × {part}, ordered {ordered_on}{whom}{came}{late}, not counted on"
            "{chance}: has it come? Log it; else ask the supplier, order again and remove the "
            "order.",
            quantity=row.quantity,
            part=part_types.within(row),
            ordered_on=numbers.day(row.ordered_on.date()),
            whom=whom,
            came=came,
            late=_("; {days_late} late", days_late=numbers.days(row.days_late))
            if row.days_late
            else "",
            chance=chance,
        )
    late = ""
    if row.days_late:
        text = (
            N_("; {days_late} late{chance}: is it here? Else ask the supplier, or order again")
            if chance
            else N_("; {days_late} late: is it here? Else ask the supplier")
        )
        late = _(text, days_late=numbers.days(row.days_late), chance=chance)
    return _(
        "{quantity} × {part}, ordered {ordered_on}{whom}, likely here {likely_on}{came}{late}.",
        quantity=row.quantity,
        part=part_types.within(row),
        ordered_on=numbers.day(row.ordered_on.date()),
        whom=whom,
        likely_on=numbers.day(row.likely_on.date()),
        came=came,
        late=late,
    )
