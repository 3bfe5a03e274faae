"""What each row of the stock's log put on the shelf or took off it."""

from __future__ import annotations

from math import isnan

import numpy as np
import pandas as pd

from tracker.workshop.records import Records
from tracker.workshop.variants import spare_variants


def stock_moves(records: Records) -> pd.DataFrame:
    """The rows of the stock, ``quantity`` as each changed what lay there.

    A row that tells how many were ``counted`` brings the shelf to that number, whatever was
    written down later for days before it; the difference that stands beside the count is the one
    found when it was made. Rows of one day count in the order in which they were written down.
    """
    return records.once(_stock_moves)


def _stock_moves(records: Records) -> pd.DataFrame:
    stock = records.stock
    if not stock["counted"].notna().any():
        return stock
    order = np.argsort(stock["moved_on"].to_numpy(), kind="stable")
    part = stock["part_kind"].str.cat(spare_variants(records, stock), sep="\x1f")
    type_of, names = pd.factorize(part)
    there = [0.0] * len(names)
    quantity, counted = (stock[name].astype(float).tolist() for name in ("quantity", "counted"))
    for row in order.tolist():
        own = int(type_of[row])
        if not isnan(counted[row]):
            quantity[row] = counted[row] - there[own]
        if not isnan(quantity[row]):
            there[own] += quantity[row]
    return stock.assign(quantity=quantity)
