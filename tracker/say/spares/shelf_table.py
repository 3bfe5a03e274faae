"""The shelf as a table, and how many to keep in words."""

from __future__ import annotations

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.language import _
from tracker.say import numbers, part_types

_UNSEEN = 0.002  # chances smaller than this are left out at either end


def shelf_table(rows: pd.DataFrame, service: float) -> pd.DataFrame:
    """One row per type of ``stock_table``: chance in per cent, what there is, what to keep."""
    counted = [
        _("not counted yet") if row.counted_on is None and not row.on_hand else f"{row.on_hand}"
        for row in rows.itertuples()
    ]
    return pd.DataFrame(
        {
            _("Part"): [part_types.of(row) for row in rows.itertuples()],
            _("Chance of running short"): 100 * rows["chance_of_shortage_now"],
            _("within so many days"): rows["horizon_days"].round(),
            _("On the shelf"): counted,
            _("On the way"): rows["on_order"],
            _("To keep"): rows["stock_to_keep"],
            _("Least cost"): rows["stock_least_cost"],
            _("For {service}", service=numbers.chance(service)): rows["stock_for_service"],
            _("In use"): rows["fitted"],
        }
    )


def how_many_to_keep(service: float) -> str:
    """What the three levels of the table mean."""
    return _(
        "To keep: what costs least, or what your service level asks for where you set "
        "one (Records, Settings) and it is more. Least cost: one more piece would cost "
        "as much in holding and ageing as it saves in standing hours. For {service}: so "
        "many last until the next order with that chance. All look at delivery plus the "
        "days between two reviews.",
        service=numbers.chance(service),
    )


def site_table(shelves: pd.DataFrame) -> pd.DataFrame:
    """Stock on one shelf for all sites beside one at each; ``shelves`` of ``site_shelves``."""
    return pd.DataFrame(
        {
            _("Part"): [part_types.of(row) for row in shelves.itertuples()],
            _("One shelf"): shelves["common_stock"],
            _("All sites apart"): shelves["apart_stock"],
            **{
                name or _("without a site"): [by[name] for by in shelves["by_site"]]
                for name in shelves["by_site"].iloc[0]
            },
        }
    )


def need_table(chances: Array) -> pd.DataFrame:
    """The chance of needing exactly so many, and more than so many; ``chances[k]`` for k pieces."""
    worth = np.flatnonzero(chances >= _UNSEEN)
    pieces = np.arange(worth[0], worth[-1] + 1) if len(worth) else np.array([chances.argmax()])
    more = 1 - np.cumsum(chances)
    return pd.DataFrame(
        {
            _("Pieces"): pieces,
            _("Exactly so many"): [numbers.chance(chances[k]) for k in pieces],
            _("More than that"): [numbers.chance(max(0.0, more[k])) for k in pieces],
        }
    )
