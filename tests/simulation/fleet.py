"""A fleet: two years of many printers at four sites, their log kept until a day."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np

from tests.simulation.simulator import simulate_workshop
from tests.simulation.workshop_plan import study_plan
from tracker.workshop.records import Records

SITES = ("North", "South", "East", "West")
_DAYS = 730
_SEED = 200
_PRINTERS_A_SHELF = 10


def fleet_records(printers: int, last_day: date) -> Records:
    """What so many printers, P001 and on, wrote down in the two years until that day.

    The shelf grows along: with a small workshop's, half of a fleet's printers would stand.
    """
    plan = study_plan(printers=printers, days=_DAYS)
    shelves = max(1, printers // _PRINTERS_A_SHELF)
    parts = tuple(
        replace(
            part,
            first_stock=part.first_stock * shelves,
            reorder_at=part.reorder_at * shelves,
            order_quantity=part.order_quantity * shelves,
        )
        for part in plan.parts
    )
    named = tuple(
        replace(printer, name=f"P{number:03d}", site=SITES[number % 4])
        for number, printer in enumerate(plan.printers, start=1)
    )
    new_name = {old.name: new.name for old, new in zip(plan.printers, named, strict=True)}
    began = date(last_day.year - 2, last_day.month, last_day.day)
    shift = began - plan.log_began_on
    moved = replace(
        plan,
        parts=parts,
        printers=tuple(replace(one, started_on=one.started_on + shift) for one in named),
        routines=tuple(
            replace(
                rule,
                printers=tuple(new_name[name] for name in rule.printers),
                starts_on=rule.starts_on and rule.starts_on + shift,
                ends_on=rule.ends_on and rule.ends_on + shift,
            )
            for rule in plan.routines
        ),
        log_began_on=began,
        log_ends_on=last_day,
    )
    records, _ = simulate_workshop(moved, np.random.default_rng(_SEED))
    return records
