"""Prices of a piece so far from the usual one of its type that one of the two may be a slip."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median

import numpy as np

from tracker.arrays import Array, Bools
from tracker.language import _
from tracker.workshop.checks.standing_notices import rows_of
from tracker.workshop.records import Records
from tracker.workshop.refusal import written
from tracker.workshop.variants import PartType

# No rebate and no rise of prices is tenfold; a decimal mark lost is (common practice, no source).
_FAR = 10.0
_PRICED = ("orders", "stock", "fittings")


def usual_price(records: Records, part: PartType) -> float | None:
    """What the workshop's own list says a piece costs, else the median of what was paid for
    pieces of the type, two at least; None where neither is known.
    """
    facts = records.part_facts(*part)
    if "unit_cost" not in facts.guessed:
        return facts.unit_cost or None
    paid = np.concatenate([_paid(records, name)[1][_of(records, name, part)] for name in _PRICED])
    paid = paid[paid > 0]
    return median(map(float, paid)) if len(paid) >= 2 else None


def is_far(price: float, usual: float) -> bool:
    """Is a price, not 0, ten times the usual one or more, or a tenth of it or less?"""
    return bool(usual and price and not usual / _FAR < price < usual * _FAR)


def odd_price(records: Records, part: PartType, price: float) -> str:
    """What is odd about the price of a piece of that type, going on from it; "" where nothing is.

    >>> import pandas as pd
    >>> listed = Records.of({"parts": pd.DataFrame({"part_kind": ["head"], "unit_cost": 600.0})})
    >>> odd_price(listed, PartType("head"), 6)
    'is far from 600, which is usual for it'
    >>> odd_price(listed, PartType("head"), 450)
    ''
    """
    usual = usual_price(records, part)
    return _said(usual) if usual is not None and is_far(price, usual) else ""


def _said(usual: float) -> str:
    return _("is far from {usual}, which is usual for it", usual=written(usual))


def price_notices(records: Records) -> Iterator[str]:
    """Which prices that were written down stray so far, a sentence for each table and type."""
    for name in _PRICED:
        priced, price = _paid(records, name)
        for part in _types(records, name, priced):
            usual = usual_price(records, part)
            if usual is None:
                continue
            rows = np.flatnonzero(_of(records, name, part) & priced)
            far = rows[[is_far(own, usual) for own in price[rows]]]
            if len(far):
                yield _(
                    "{where}: {column} {value} {odd}; correct whichever of them is a slip.",
                    where=rows_of(records.coded_table(name).index[far], name),
                    column="unit_cost",
                    value=written(float(price[far[0]])),
                    odd=_said(usual),
                )


def _paid(records: Records, table: str) -> tuple[Bools, Array]:
    """Where that table tells a price that was paid, and the prices."""
    price = np.asarray(records.cells(table, "unit_cost"), dtype=float)
    return price > 0, price


def _of(records: Records, table: str, part: PartType) -> Bools:
    """Which rows are of that type."""
    kind, variant = (records.codes(table, name) for name in ("part_kind", "variant"))
    own: Bools = kind.is_word(part.part_kind) & variant.is_word(part.variant)
    return own


def _types(records: Records, table: str, rows: Bools) -> list[PartType]:
    """The types among those rows."""
    kind, variant = (records.codes(table, name).take(rows) for name in ("part_kind", "variant"))
    pairs = set(zip(kind.codes.tolist(), variant.codes.tolist(), strict=True))
    return sorted(PartType(str(kind.words[k]), str(variant.words[v])) for k, v in pairs)
