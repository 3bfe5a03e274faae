"""Which suppliers will be shut soon, and by when to order what is to come before?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from tracker.decisions.ordering.lead_time import lead_times
from tracker.decisions.ordering.supplier_days import Suppliers
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType, part_types

LOOKED_AHEAD_DAYS = 120


@dataclass(frozen=True)
class ShutAhead:
    """``supplier`` sends nothing from ``began_on`` to ``ended_on``. ``order_by``: the last day on
    which what is ordered is usually here before, for every type bought there, the soonest first;
    days that are over are left out.
    """

    supplier: str
    began_on: date
    ended_on: date
    order_by: Mapping[PartType, date]


def shut_ahead(records: Records, as_of: date) -> list[ShutAhead]:
    """Every supplier's closed days that are not over and begin within LOOKED_AHEAD_DAYS, the
    soonest first.
    """
    known = records.known_at(as_of)
    sellers = Suppliers.of(known, as_of)
    if not sellers.shut:
        return []
    leads, found = lead_times(known, as_of), []
    for name, days in sellers.shut.items():
        for began, after in days.spans:
            if after <= 0 or began > LOOKED_AHEAD_DAYS:
                continue
            last = {
                part: float(began - leads[part].typical_days)
                for part in part_types(known)
                if sellers.seller_of(part) == name
            }
            found.append(
                ShutAhead(
                    name,
                    _day(as_of, began),
                    _day(as_of, after - 1),
                    {
                        part: _day(as_of, np.floor(own))
                        for part, own in sorted(last.items(), key=lambda one: one[1])
                        if own >= 0
                    },
                )
            )
    return sorted(found, key=lambda one: (one.began_on, one.supplier))


def _day(as_of: date, days: float) -> date:
    return as_of + timedelta(days=int(days))
