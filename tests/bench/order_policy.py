"""What do the order dates cost in the long run, against two simple habits?

Run by hand: ``python -m tests.bench.order_policy [workshops]``. Simulated workshops of 1 to 4 heads
with a known life (Weibull, shape 2, scale 400 days), six years each, looked at weekly. Money per
year: standing still, holding, spares grown too old. Habits: order when it breaks; always one on
the shelf (ordered anew as soon as it is taken). The same seed serves every policy.
"""

from __future__ import annotations

import sys
from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd

from tracker.decisions.ordering.dated_shelf import DatedShelf
from tracker.decisions.ordering.lead_time import lead_time_of
from tracker.decisions.ordering.order_curve import MAX_DAYS, OrderCosts, time_grid
from tracker.decisions.spare_pool import Pool
from tracker.forecast.futures import Futures
from tracker.forecast.futures.futures import Cause, Needs

SHAPE, SCALE, PRICE, KEEPS = 2.0, 400.0, 624.0, 540
HOLDING = 0.2 * PRICE / 365
LEAD = lead_time_of(18, 28)
YEARS, LOOK = 6, 7
DAY_ONE = date(2025, 1, 1)
FUTURES = 2000
TIMES = time_grid(LEAD, KEEPS, MAX_DAYS)


def yearly_cost(policy: str, heads: int, standing_per_day: float, seed: int) -> tuple[float, ...]:
    """Standing, holding, waste (currency units) and orders per year of one workshop."""
    rng = np.random.default_rng(seed)
    costs = OrderCosts(standing_per_day, HOLDING, 0.0, KEEPS, PRICE)
    fitted = np.zeros(heads)
    fails = SCALE * rng.weibull(SHAPE, heads)
    shelf: list[float] = []
    coming: list[float] = []
    waiting: list[int] = []
    stood = held = wasted = ordered = 0.0

    def order(day: int) -> None:
        coming.append(day + float(np.exp(LEAD.log_middle + LEAD.log_spread * rng.normal())))

    for day in range(YEARS * 365):
        shelf += [day + KEEPS for came in coming if came <= day]
        coming = [came for came in coming if came > day]
        wasted += PRICE * sum(end <= day for end in shelf)
        shelf = sorted(end for end in shelf if end > day)
        waiting += [i for i in range(heads) if fails[i] <= day and i not in waiting]
        while waiting and shelf:
            i = waiting.pop(0)
            shelf.pop(0)
            fitted[i], fails[i] = day, day + max(0.5, SCALE * rng.weibull(SHAPE))
        stood += standing_per_day * len(waiting)
        held += HOLDING * len(shelf)
        wanted = len(waiting) + (policy == "one on the shelf")
        before = len(coming)
        while len(coming) + len(shelf) < wanted:
            order(day)
        if policy == "by date" and day % LOOK == 0 and len(waiting) < heads:
            for _ in range(_due(costs, fitted, waiting, shelf, coming, day)):
                order(day)
        ordered += len(coming) - before
    return stood / YEARS, held / YEARS, wasted / YEARS, ordered / YEARS


def _due(
    costs: OrderCosts, fitted: Any, waiting: list[int], shelf: list[float], coming: list[float],
    day: int,
) -> int:  # fmt: skip
    running = [i for i in range(len(fitted)) if i not in waiting]
    ages = np.array([day - fitted[i] for i in running])
    needs = futures_of(ages, float(TIMES[-1]), np.random.default_rng(day))
    # A workshop does not know when a parcel comes; it takes half the usual time for the rest.
    spare = len(coming) - len(waiting)
    parcels = np.full((spare, needs.size), LEAD.typical_days / 2)
    held = DatedShelf(needs, len(shelf), np.ones(spare), parcels, np.zeros(needs.size))
    parts = pd.DataFrame({
        "part_kind": "head", "variant": "", "printer": [str(i) for i in running], "position": "H1",
        "age": ages, "soon": ages, "failures": 0, "days_p50": np.nan,
        "median_if_guess_halved": np.nan, "median_if_guess_doubled": np.nan,
    })  # fmt: skip
    pool = Pool(TIMES, LEAD, costs, needs, held, MAX_DAYS)
    today = DAY_ONE + timedelta(days=day)
    due: list[Any] = [row["order_by"] for row in pool.rows(parts, today)]
    return sum(one is not None and one <= today for one in due)


def futures_of(ages: Any, horizon: float, rng: np.random.Generator) -> Futures:
    """When heads of these ages fail, and those after them, their life being known."""
    whole = np.tile((ages / SCALE) ** SHAPE, (FUTURES, 1)) + rng.exponential(
        size=(FUTURES, len(ages))
    )
    end = SCALE * whole ** (1 / SHAPE) - ages
    future, row, day = [], [], []
    while (end <= horizon).any():
        which, position = np.nonzero(end <= horizon)
        future.append(which)
        row.append(position)
        day.append(end[which, position])
        end = end + SCALE * rng.weibull(SHAPE, end.shape)
    if not future:
        future, row, day = [np.zeros(0, np.int64)], [np.zeros(0, np.int64)], [np.zeros(0)]
    f, r, d = (np.concatenate(own) for own in (future, row, day))
    cause = np.full(len(f), int(Cause.WEAR))
    return Futures(FUTURES, horizon, Needs(f, r, d, cause))


def main(workshops: int = 10) -> None:
    """Print the table."""
    rows = []
    for heads, standing in ((1, 256.0), (2, 60.0), (4, 256.0), (4, 20.0)):
        for policy in ("by date", "one on the shelf", "when it breaks"):
            all_ = np.array(
                [yearly_cost(policy, heads, standing, seed) for seed in range(workshops)]
            )
            total = all_[:, :3].sum(axis=1)
            stood, held, wasted, ordered = all_.mean(axis=0)
            rows.append({
                "heads": heads, "standing_per_day": standing, "policy": policy, "stood": stood,
                "held": held, "too_old": wasted, "orders": ordered, "cost": total.mean(),
                "std_error": total.std(ddof=1) / len(total) ** 0.5,
            })  # fmt: skip
    print(pd.DataFrame(rows).round(1).to_string(index=False))


if __name__ == "__main__":
    main(*(int(argument) for argument in sys.argv[1:]))
