"""The order list as one printable sheet, for whoever places the orders."""

from __future__ import annotations

from datetime import date
from html import escape

import pandas as pd

from tracker.say import numbers

_STYLE = (
    "body{font:11pt/1.5 sans-serif;max-width:52rem;margin:2rem auto;padding:0 1rem;color:#111}"
    "h1{font-size:15pt}h2{font-size:12pt;margin-top:1.4em}"
    "table{border-collapse:collapse;width:100%}"
    "td,th{border:1px solid #888;padding:.3em .6em;text-align:left;vertical-align:top}"
    "th{background:#eee}.n{text-align:right;white-space:nowrap}tr{break-inside:avoid}"
    "tfoot td{font-weight:bold}.why{font-size:9.5pt}.answer{font-size:13pt;font-weight:bold}"
    "@page{margin:18mm}"
)


def order_sheet(listing: pd.DataFrame, workshop: str, as_of: date, currency: str) -> str:
    """A self-contained HTML page: what to order, from whom, why, and the sum.

    ``listing`` has ``part, pieces, unit_cost, cost, supplier, why, reason`` (``spare_orders``).
    Works offline and prints on A4. All text is escaped.
    """

    def money(amount: float) -> str:
        return escape(numbers.money(amount, currency))

    title = f"Order list, {numbers.day(as_of)}"
    heading = escape(f"{workshop} – {title}" if workshop else title)
    lines = "".join(
        f'<tr><td class="n">{row.pieces}</td><td>{escape(row.part)}</td>'
        f'<td class="n">{money(row.unit_cost)}</td><td class="n">{money(row.cost)}</td>'
        f"<td>{escape(row.supplier) or '–'}</td>"
        f'<td class="why"><b>{escape(row.why)}.</b> {escape(row.reason)}</td></tr>'
        for row in listing.sort_values("supplier", kind="stable").itertuples()
    )
    total = money(float(listing["cost"].sum()))
    return (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{heading}</title>'
        f"<style>{_STYLE}</style></head><body><h1>{heading}</h1>"
        f'<p class="answer">{numbers.count(int(listing["pieces"].sum()), "piece")} of '
        f"{numbers.count(listing['part'].nunique(), 'part')}, about {total}.</p>"
        '<table><thead><tr><th class="n">Pieces</th><th>Part</th><th class="n">Price each</th>'
        '<th class="n">Price</th><th>Supplier</th><th>Why</th></tr></thead>'
        f"<tbody>{lines}</tbody>"
        f'<tfoot><tr><td colspan="3">Sum, without delivery</td><td class="n">{total}</td>'
        "<td></td><td></td></tr></tfoot></table>"
        "<p>Prices: your own last purchases, else the catalogue. Supplier: where it was bought "
        f"last. Worked out from what was written down by {numbers.day(as_of)}.</p></body></html>"
    )
