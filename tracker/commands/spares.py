"""Commands about spares: what to keep and order, and when to order each costly part."""

from __future__ import annotations

import argparse
from collections.abc import Collection, Sequence
from datetime import date
from typing import Any

import pandas as pd

from tracker.commands.printing import as_json, nothing_fitted, rows_of, show
from tracker.commands.sources import records_and_day
from tracker.errors import UsageError
from tracker.language import _
from tracker.say import numbers, part_types
from tracker.workshop.variants import PartType, types_in
from tracker.workshop.variants import part_types as part_types_of

_STOCK = (
    "part_kind", "variant", "fitted", "on_hand", "on_order", "horizon_days", "expected_need",
    "chance_of_need", "stock_for_service", "stock_least_cost", "chance_of_shortage_now",
    "order_now", "lead_days", "lead_days_late", "risk_before_arrival", "counted_on",
    "need_if_guess_halved", "need_if_guess_doubled",
)  # fmt: skip
_SITES = ("part_kind", "variant", "common_stock", "apart_stock", "saved_pieces", "saved_money")
_PREORDER = (
    "part_kind", "variant", "printer", "position", "order_by", "risk_if_ordered_now",
    "risk_if_waiting_30_days", "curve", "verdict", "risk_limit_by", "spares",
    "risk_before_arrival", "median_if_guess_halved", "median_if_guess_doubled", "reason",
    "lead_days", "lead_days_late",
)  # fmt: skip
_TOGETHER = (
    "supplier", "part_kind", "variant", "printer", "position", "pieces", "cost", "due_on",
    "earlier_cost", "saving", "saving_together",
)  # fmt: skip
_BUDGET = ("part_kind", "variant", "pieces", "price", "spent", "avoided_cost", "risk_left")


def stock(options: argparse.Namespace) -> int:
    """How many spares to keep, what to order now and what to add to that order."""
    from tracker.decisions.ordering.budget import buy_first
    from tracker.decisions.ordering.order_proposal import order_proposal, types_by_date
    from tracker.decisions.ordering.order_together import order_together
    from tracker.decisions.ordering.shelf import on_hand
    from tracker.decisions.ordering.site_shelves import site_shelves
    from tracker.decisions.preorder import preorder as order_dates
    from tracker.decisions.stock_table import WhatIf, stock_table
    from tracker.say.spares import orders
    from tracker.say.spares import stock as stock_words
    from tracker.say.spares.answers import costly_to_keep
    from tracker.say.spares.thin import standing_guessed

    records, as_of = records_and_day(options)
    what_if = WhatIf(
        lead_days=options.lead_days,
        more_printers=options.more_printers,
        leaving=_leaving(options.leaving or (), as_of),
        site=options.site,
        doing=dict(options.doing or ()),
    )
    table = stock_table(records, as_of, options.service, what_if=what_if)
    heads = order_dates(records, as_of, doing=what_if.doing)
    lines = order_proposal(table, heads, as_of)
    together = order_together(records, as_of, table, heads, lines)
    bought = None
    if options.budget is not None:
        bought = buy_first(table, lines, options.budget)
    shelves = None
    if options.by_site:
        shelves = site_shelves(records, as_of, options.service, what_if=what_if)
    if options.json:
        kinds = table.assign(reason=[stock_words.reason(row) for row in table.itertuples()])
        answer: dict[str, Any] = {"as_of": as_of, "kinds": rows_of(kinds, (*_STOCK, "reason"))}
        answer["order_together"] = rows_of(together, _TOGETHER)
        if bought is not None:
            answer["buy_first"] = rows_of(bought, _BUDGET)
        if shelves is not None:
            answer["sites"] = rows_of(shelves, (*_SITES, "by_site", "fitted_by_site"))
        return as_json(answer)
    pieces = ", ".join(f"{row.pieces} × {part_types.within(row)}" for row in lines.itertuples())
    day = numbers.day(as_of)
    told = [
        _("Order now ({day}): {pieces}.", day=day, pieces=pieces)
        if pieces
        else _("Order now ({day}): nothing.", day=day)
    ]
    for seller, joined in together.groupby("supplier", sort=False):
        adds = ", ".join(orders.addition(row) for row in joined.itertuples())
        saved = numbers.money(joined["saving_together"].iloc[0], records.setting("currency"))
        told.append(
            _(
                "Add to the same order from {seller}: {adds} (saves about {saved}).",
                seller=seller,
                adds=adds,
                saved=saved,
            )
            if seller
            else _("Add to the same order: {adds} (saves about {saved}).", adds=adds, saved=saved)
        )
    if options.lead_days is not None or what_if.more_printers or what_if.leaving or what_if.site:
        told.append(_("Costly parts are dated as things are, without the what-if."))
    sentence = " ".join(filter(None, (*told, costly_to_keep(table, heads))))
    remarks = [
        f"{part_types.of(row)}: {remark}"
        for row in table.itertuples()
        if (remark := stock_words.remarks(row))
    ]
    columns = tuple(name for name in _STOCK if name != "chance_of_need")
    show(sentence, _as_proposed(rows_of(table, columns), lines, types_by_date(table, heads)))
    for remark in remarks:
        print(remark)
    if guess := standing_guessed(records):
        print(guess)
    known = records.known_at(as_of)
    shelf, types = on_hand(known, as_of), part_types_of(known)
    if left_over := stock_words.taken_by_no_printer(shelf, types):
        print(left_over)
    if bought is not None:
        budget = numbers.money(options.budget, records.setting("currency"))
        first = (
            _("Buy first for {budget}:", budget=budget)
            if len(bought) > 1
            else _(
                "Buy first for {budget}: nothing; no pack on the list is to be had for that sum.",
                budget=budget,
            )
        )
        show(f"\n{first}", rows_of(bought.iloc[1:], _BUDGET))
    if shelves is not None:
        saved = stock_words.between_sites(shelves, records.setting("currency"))
        between = saved or _("All printers stand at one site.")
        show(f"\n{between}", rows_of(shelves, _SITES))
    return 0


def _as_proposed(
    rows: list[dict[str, Any]], lines: pd.DataFrame, dated: Collection[PartType]
) -> list[dict[str, Any]]:
    """The rows with what the sentence asks for as ``order_now``, marked where a date says it."""
    asked = dict(zip(types_in(lines), lines["pieces"], strict=True))
    for row in rows:
        part = PartType(row["part_kind"], row["variant"])
        pieces = int(asked.get(part, 0))
        row["order_now"] = _("{pieces} (by date)", pieces=pieces) if part in dated else str(pieces)
    return rows


def _leaving(asked: Sequence[str], as_of: date) -> dict[str, date]:
    """``["Door", "Loft=2026-12-01"]`` as printers with the day on which they leave."""
    days = {}
    for text in asked:
        printer, _equals, day = text.rpartition("=")
        try:
            days[printer or text] = date.fromisoformat(day) if printer else as_of
        except ValueError:
            raise UsageError(
                _(
                    "leaving: {day} is not a day; write {printer}=2026-10-31.",
                    day=repr(day),
                    printer=printer,
                )
            ) from None
    return days


def preorder(options: argparse.Namespace) -> int:
    """When to order each costly part."""
    from tracker.decisions.preorder import preorder as order_dates
    from tracker.say.spares import preorder as preorder_words
    from tracker.say.spares.thin import standing_guessed

    records, as_of = records_and_day(options)
    table = order_dates(
        records,
        as_of,
        risk_limit=options.risk_limit,
        express_premium=options.express_premium,
        doing=dict(options.doing or ()),
    )
    currency = records.setting("currency")
    table = table.assign(
        verdict=[preorder_words.verdict(row) for row in table.itertuples()],
        reason=[preorder_words.reason(row, currency) for row in table.itertuples()],
    )
    if options.json:
        return as_json({"as_of": as_of, "parts": rows_of(table, _PREORDER)})
    sentence = _("Costly parts on {day}, the most urgent first.", day=numbers.day(as_of))
    columns = tuple(name for name in _PREORDER if name not in ("curve", "reason"))
    show(sentence if len(table) else nothing_fitted(as_of), rows_of(table, columns))
    if len(table) and (guess := standing_guessed(records)):
        print(guess)
    return 0
