"""The order list as one printed page, for whoever places the orders."""

from __future__ import annotations

from datetime import date

import pandas as pd

from tracker.language import _
from tracker.paper import blocks
from tracker.paper.page import Page
from tracker.say import numbers
from tracker.say.listing import Listing


def order_sheet(listing: pd.DataFrame, workshop: str, as_of: date, currency: str) -> str:
    """A self-contained HTML page: what to order, from whom, why, and the sum.

    ``listing`` has ``part, pieces, unit_cost, cost, supplier, why, reason``, a row for each part
    to order; costs in currency units. One supplier's parts stand together.
    """
    total = numbers.money(float(listing["cost"].sum()), currency)
    rows = tuple(
        (
            f"{row.pieces}",
            str(row.part),
            numbers.money(row.unit_cost, currency),
            numbers.money(row.cost, currency),
            str(row.supplier) or "–",
            _(str(row.why)),
            str(row.reason),
        )
        for row in listing.sort_values("supplier", kind="stable").itertuples()
    )
    known = _("as known on {as_of}", as_of=numbers.day(as_of))
    page = Page(
        workshop=workshop, title=_("Order list, {as_of}", as_of=numbers.day(as_of)), known=known
    )
    return page.html(
        blocks.paragraph(
            _(
                "{pieces} of {parts}, about {total}.",
                pieces=numbers.count(int(listing["pieces"].sum()), "piece", "pieces"),
                parts=numbers.count(listing["part"].nunique(), "part", "parts"),
                total=total,
            ),
            "answer",
        ),
        blocks.table(
            Listing(
                (
                    _("Pieces"),
                    _("Part"),
                    _("Price each"),
                    _("Price"),
                    _("Supplier"),
                    _("When"),
                    _("Why"),
                ),
                rows,
                numeric=(0, 2, 3),
                foot=("", _("Sum, without delivery"), "", total, "", "", ""),
            )
        ),
        blocks.paragraph(
            _(
                "Prices: your own last purchases, else the catalogue. Supplier: where it was "
                "bought last. Worked out from what was written down by {as_of}.",
                as_of=numbers.day(as_of),
            ),
            "small",
        ),
    )
