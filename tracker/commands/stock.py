"""How many spares to keep, what to order now and what to add to that order."""

from __future__ import annotations

import argparse
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

import pandas as pd

from tracker.commands.order_dates import suppliers_shut
from tracker.commands.printing import as_json, rows_of, show
from tracker.commands.sources import records_and_day
from tracker.errors import UsageError
from tracker.language import _
from tracker.say import numbers, part_types
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType, types_in
from tracker.workshop.variants import part_types as part_types_of

if TYPE_CHECKING:
    from tracker.decisions.stock_table import WhatIf

_STOCK = (
    "part_kind", "variant", "fitted", "on_hand", "on_order", "horizon_days", "expected_need",
    "chance_of_need", "stock_for_service", "stock_least_cost", "chance_of_shortage_now",
    "order_now", "lead_days", "lead_days_late", "risk_before_arrival", "counted_on",
    "need_if_guess_halved", "need_if_guess_doubled",
)  # fmt: skip
_SITES = ("part_kind", "variant", "common_stock", "apart_stock", "saved_pieces", "saved_money")
_TOGETHER = (
    "supplier", "part_kind", "variant", "printer", "position", "pieces", "cost", "due_on",
    "earlier_cost", "saving", "saving_together",
)  # fmt: skip
_BUDGET = ("part_kind", "variant", "pieces", "price", "spent", "avoided_cost", "risk_left")


@dataclass(frozen=True)
class _Answer:
    """The shelf on that day; ``bought`` and ``shelves`` only where they were asked about."""

    records: Records
    as_of: date
    what_if: WhatIf
    table: pd.DataFrame
    heads: pd.DataFrame
    lines: pd.DataFrame
    together: pd.DataFrame
    bought: pd.DataFrame | None
    shelves: pd.DataFrame | None

    def money(self, amount: float) -> str:
        return numbers.money(amount, self.records.setting("currency"))


def stock(options: argparse.Namespace) -> int:
    """Print what to keep and order, as one object or in words and tables."""
    records, as_of = records_and_day(options)
    what_if = _what_if(options, as_of)
    if what_if.site is not None:
        return _need_of_site(options, records, as_of, what_if)
    answer = _answer(options, records, as_of, what_if)
    if options.json:
        return as_json(_as_object(answer))
    _show_kinds(answer)
    if answer.bought is not None:
        _show_budget(answer, answer.bought, options.budget)
    if answer.shelves is not None:
        from tracker.say.spares.stock import between_sites

        saved = between_sites(answer.shelves, answer.records.setting("currency"))
        between = saved or _("All printers stand at one site.")
        show(f"\n{between}", rows_of(answer.shelves, _SITES))
    return 0


def _what_if(options: argparse.Namespace, as_of: date) -> WhatIf:
    from tracker.decisions.stock_table import WhatIf

    return WhatIf(
        lead_days=options.lead_days,
        more_printers=options.more_printers,
        leaving=_leaving(options.leaving or (), as_of),
        site=options.site,
        doing=dict(options.doing or ()),
    )


def _need_of_site(
    options: argparse.Namespace, records: Records, as_of: date, what_if: WhatIf
) -> int:
    """Print what one site needs, and that nothing on the shelf is told to be its own."""
    from tracker.decisions.stock_table import OF_THE_SHELF, stock_table
    from tracker.say.spares.on_the_shelf import ONE_SHELF

    if options.by_site or options.budget is not None:
        raise UsageError(
            _("site: the shelf is one for all sites; ask --by-site and --budget without --site.")
        )
    table = stock_table(records, as_of, options.service, what_if=what_if)
    if options.json:
        kinds = rows_of(table.assign(reason=_(ONE_SHELF)), (*_STOCK, "reason"))
        return as_json({"as_of": as_of, "kinds": kinds, "order_together": []})
    told = _(
        "What {site} alone needs ({day}). {one_shelf} What to order is told without --site, for "
        "all sites together.",
        site=what_if.site,
        day=numbers.day(as_of),
        one_shelf=_(ONE_SHELF),
    )
    columns = [name for name in _STOCK if name not in (*OF_THE_SHELF, "chance_of_need")]
    return show(told, rows_of(table, columns))


def _answer(options: argparse.Namespace, records: Records, as_of: date, what_if: WhatIf) -> _Answer:
    from tracker.decisions.ordering.budget import buy_first
    from tracker.decisions.ordering.order_proposal import order_proposal
    from tracker.decisions.ordering.order_together import order_together
    from tracker.decisions.ordering.site_shelves import site_shelves
    from tracker.decisions.preorder import preorder
    from tracker.decisions.stock_table import stock_table

    table = stock_table(records, as_of, options.service, what_if=what_if)
    heads = preorder(records, as_of, doing=what_if.doing)
    lines = order_proposal(table, heads, as_of)
    budget, by_site = options.budget, options.by_site
    return _Answer(
        records,
        as_of,
        what_if,
        table,
        heads,
        lines,
        together=order_together(records, as_of, table, heads, lines),
        bought=None if budget is None else buy_first(table, lines, budget),
        shelves=site_shelves(records, as_of, options.service, what_if=what_if) if by_site else None,
    )


def _as_object(answer: _Answer) -> dict[str, Any]:
    from tracker.say.spares.stock import reason

    kinds = answer.table.assign(reason=[reason(row) for row in answer.table.itertuples()])
    told: dict[str, Any] = {"as_of": answer.as_of, "kinds": rows_of(kinds, (*_STOCK, "reason"))}
    told["order_together"] = rows_of(answer.together, _TOGETHER)
    told["suppliers_shut"] = suppliers_shut(answer.records, answer.as_of)
    if answer.bought is not None:
        told["buy_first"] = rows_of(answer.bought, _BUDGET)
    if answer.shelves is not None:
        told["sites"] = rows_of(answer.shelves, (*_SITES, "by_site", "fitted_by_site"))
    return told


def _show_kinds(answer: _Answer) -> None:
    """What to order, the table of kinds, and what must be known beside it."""
    from tracker.decisions.ordering.order_proposal import types_by_date
    from tracker.decisions.ordering.shut_ahead import shut_ahead
    from tracker.say.spares.answers import costly_to_keep
    from tracker.say.spares.stock import remarks, taken_by_no_printer
    from tracker.say.spares.suppliers_shut import shut_sentences
    from tracker.say.spares.thin import standing_guessed
    from tracker.workshop.shelf import on_hand

    table, heads = answer.table, answer.heads
    told = (*_orders(answer), costly_to_keep(table, heads))
    columns = tuple(name for name in _STOCK if name != "chance_of_need")
    rows = _as_proposed(rows_of(table, columns), answer.lines, types_by_date(table, heads))
    show(" ".join(filter(None, told)), rows)
    for row in table.itertuples():
        if remark := remarks(row):
            print(f"{part_types.of(row)}: {remark}")
    if guess := standing_guessed(answer.records):
        print(guess)
    for sentence in shut_sentences(shut_ahead(answer.records, answer.as_of), answer.as_of):
        print(sentence)
    known = answer.records.known_at(answer.as_of)
    if left_over := taken_by_no_printer(on_hand(known, answer.as_of), part_types_of(known)):
        print(left_over)


def _orders(answer: _Answer) -> Iterator[str]:
    """What to order now and what to add to it, in sentences."""
    from tracker.say.spares.orders import addition

    lines, day = answer.lines, numbers.day(answer.as_of)
    pieces = ", ".join(f"{row.pieces} × {part_types.within(row)}" for row in lines.itertuples())
    if pieces:
        yield _("Order now ({day}): {pieces}.", day=day, pieces=pieces)
    else:
        yield _("Order now ({day}): nothing.", day=day)
    for seller, joined in answer.together.groupby("supplier", sort=False):
        adds = ", ".join(addition(row) for row in joined.itertuples())
        saved = answer.money(joined["saving_together"].iloc[0])
        yield (
            _(
                "Add to the same order from {seller}: {adds} (saves about {saved}).",
                seller=seller,
                adds=adds,
                saved=saved,
            )
            if seller
            else _("Add to the same order: {adds} (saves about {saved}).", adds=adds, saved=saved)
        )
    asked = answer.what_if
    if asked.lead_days is not None or asked.more_printers or asked.leaving:
        yield _("Costly parts are dated as things are, without the what-if.")


def _show_budget(answer: _Answer, bought: pd.DataFrame, budget: float) -> None:
    sum_of_it = answer.money(budget)
    first = (
        _("Buy first for {budget}:", budget=sum_of_it)
        if len(bought) > 1
        else _(
            "Buy first for {budget}: nothing; no pack on the list is to be had for that sum.",
            budget=sum_of_it,
        )
    )
    show(f"\n{first}", rows_of(bought.iloc[1:], _BUDGET))


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
