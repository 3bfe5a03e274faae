"""The workshop's own orders, each once, however many lines it is written in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from tracker.workshop.records import Records
from tracker.workshop.variants import PartType, spare_variants, types_in

_A_DAY = pd.Timedelta(days=1)


@dataclass(frozen=True)
class OwnOrder:
    """One order of a type: when it was ``placed``, ``came`` (infinite: it has not) and is or was
    ``promised`` (None: for no day), in days from today.
    """

    part: PartType
    supplier: str
    placed: float
    came: float
    promised: float | None


def own_orders(known: Records, as_of: date) -> Iterator[OwnOrder]:
    """Every order whose days can be true, in the order of the records."""
    orders = _once_half_here(known.orders.assign(variant=spare_variants(known, known.orders)))
    days = (
        ((orders[name] - pd.Timestamp(as_of)) / _A_DAY).to_numpy()
        for name in ("ordered_on", "received_on", "expected_on")
    )
    for part, name, placed, came, promised in zip(
        types_in(orders), orders["supplier"].str.strip(), *days, strict=True
    ):
        if placed <= (0.0 if np.isnan(came) else came):
            here = np.inf if np.isnan(came) else float(came)
            yield OwnOrder(
                part, name, float(placed), here, None if np.isnan(promised) else float(promised)
            )


def _once_half_here(lines: pd.DataFrame) -> pd.DataFrame:
    """One row for each order: the line with which half of its pieces were here, or an open one."""
    lines = lines.sort_values("received_on", kind="stable")
    pieces, order = lines["quantity"].fillna(0.0), by_order(lines).ngroup()
    here = pieces.groupby(order).cumsum() >= pieces.groupby(order).transform("sum") / 2
    return lines[here & ~order.where(here).duplicated()].sort_index()


def by_order(lines: pd.DataFrame) -> Any:
    """Lines of ``orders`` grouped by the order they are of: what one supplier was asked for on one
    day, of one type and for one promised day, however many lines it is written in.
    """
    columns = ["part_kind", "variant", "ordered_on", "expected_on", "supplier"]
    return lines.groupby(columns, dropna=False, sort=False)
