"""By when to order the next head, or any costly part: one row per fitted part.

The curve behind each date is ``order_curve``; this module adds what is on the shelf and on order,
and what other printers may take of it.
"""

from __future__ import annotations

from collections.abc import Container, Mapping
from datetime import date

import numpy as np
import pandas as pd

from tracker.decisions.downtime import Downtime
from tracker.decisions.ordering.daily_costs import holding_share_per_day
from tracker.decisions.ordering.dated_shelf import DatedShelf
from tracker.decisions.ordering.lead_time import lead_times
from tracker.decisions.ordering.order_curve import (
    MAX_DAYS,
    WAITING_DAYS,
    OrderCosts,
    OrderCurve,
    order_curve,
    time_grid,
)
from tracker.decisions.ordering.orders import open_orders
from tracker.decisions.ordering.positions_ahead import positions_ahead
from tracker.decisions.ordering.purchases import costly_types, type_prices
from tracker.decisions.spare_pool import Pool
from tracker.errors import UsageError
from tracker.forecast.fitted_lives import FittedLives, fit_lives
from tracker.forecast.futures import fitted_positions, play_futures
from tracker.forecast.futures.futures import UNPLANNED, Cause
from tracker.forecast.futures.play import MOST, futures_for
from tracker.forecast.futures.positions import leaders
from tracker.forecast.planned_practice import practised_ages
from tracker.language import _
from tracker.workshop.records import Records
from tracker.workshop.shelf import OnHand, on_hand
from tracker.workshop.variants import PartType, by_type, of_type, of_types, part_types, types_in

__all__ = ["COLUMNS", "OrderCurve", "order_curve", "preorder"]


# Around its cheapest day an order costs much the same on any, so few positions are played in many
# futures: with 4 000 the day moved by a month with the luck drawn, with 40 000 by a week or two.
_DATED_FROM, _LIVES_PLAYED = 40_000, 200_000
IN_TURN = 12  # positions of a type up to which its spares are ordered by these dates

COLUMNS = (
    "part_kind",
    "variant",
    "printer",
    "position",
    "age_days",
    "as_of",
    "order_by",
    "risk_if_ordered_now",
    "risk_if_waiting_30_days",
    "risk_limit_by",
    "curve",
    "spares",
    "risk_before_arrival",
    "late_comes",
    "late_comes_low",
    "late_comes_high",
    "coming_on",
    "ordered_before",
    "fitted",
    "waiting",
    "empty_since",
    "cheapest_on",
    "risk_limit",
    "dated_by_risk",
    "now_costs_more",
    "later_costs_more",
    "later_days",
    "costs_alike_from",
    "costs_alike_until",
    "costs_alike_within",
    "unit_cost",
    "lead_days",
    "lead_days_late",
    "later_here_days",
    "failures",
    "life_guessed",
    "days_p50",
    "median_if_guess_halved",
    "median_if_guess_doubled",
)


def preorder(
    records: Records,
    as_of: date,
    *,
    risk_limit: float | None = None,
    max_days: int = MAX_DAYS,
    express_premium: float | None = None,
    doing: Mapping[str, float] | None = None,
    fitted: FittedLives | None = None,
    futures: int = MOST,
    types: Container[PartType] | None = None,
) -> pd.DataFrame:
    """By when should the next one of every costly part be ordered?

    One row per fitted costly part, the most urgent first, asked on the day ``as_of``:
    ``part_kind, variant, printer, position, age_days``; ``order_by`` (date of least expected cost,
    ``cheapest_on``, or of the risk limit where that is earlier, ``dated_by_risk``; None while both
    lie beyond ``max_days``); ``risk_if_ordered_now`` and ``risk_if_waiting_30_days``: chance that
    the spare is needed before one ordered then is there; ``risk_limit_by``: last date on which
    that risk stays within the limit (None when even ordering now exceeds it); ``risk_limit`` that
    was accepted (NaN: none); ``curve``: [[day, cost], …], and of it ``now_costs_more``, what
    ordering today costs beyond that date, and ``later_costs_more``, what ordering ``later_days``
    after it does (NaN without a date); ``costs_alike_from`` and ``costs_alike_until``: the days
    about it on which ordering costs at most ``costs_alike_within`` more; ``spares`` on the shelf
    and on the way, those ``ordered_before`` that the rows above ask for, the parts ``fitted`` that
    they serve and the positions ``waiting`` empty that are served first;
    ``risk_before_arrival``: that of ``stock_table``, that one is needed and missing before the last
    on its way, likely here on ``coming_on``, has come (NaN, None: none comes within delivery and
    review), which no usual order mends any more; ``late_comes`` and its limits: those of
    ``stock_table``. A spare of
    another type is none: each type is a pool of its own.

    A spare on the shelf or on order serves whichever part of its type fails first. Every figure of
    a row is that of the next spare, after all that are there or coming and those that the rows
    above (same type) ask for: it serves the next failure in the pool that none of them serves, and
    is named after the part most at risk. A position that stands empty needs one at once: it has a
    row (``empty_since``, no age; remaining life is the new part's) where no spare there or coming
    is left for it. Under first come, first served each spare belongs to one
    failure, so each order can be timed by itself (unit by unit: Axsäter, 1990, Operations
    Research 38). For a single part without a spare that is its own ``order_curve``. A printer
    whose ``retired_on`` lies ahead needs none after that day.

    ``risk_limit``: accepted risk (None: the workshop's setting). It brings an order forward and
    never puts one off: standing costs so much more than holding that the cheapest day mostly lies
    where the risk is still far below what anybody accepts, and waiting for that risk costs money.
    "Not yet" is what has neither a cheapest day nor the limit within ``max_days``. Where no risk is
    given, money alone dates the order and ``risk_limit_by`` is told for 1 − the service level.
    ``express_premium``: paid where a part dies before its spare was ordered (the
    workshop's setting when None). ``doing``: what if these tasks are done every so many days from
    now on. ``fitted`` may be given where ``fit_lives`` of that day is already there;
    ``futures``: so many are played (with fewer than usual, remaining lives are left out).
    ``types``: only these are asked about (None: all); their rows are as among all.
    ``records``: everything that was written down; only what was known on the day is used, besides
    printers that were then already to leave.

    Raises:
        UsageError: a risk limit that is not above 0 and below 1.
    """
    limit = accepted_risk(records) if risk_limit is None else risk_limit
    if limit is not None and not 0 < limit < 1:
        raise UsageError(
            _("risk limit: {limit} is no chance; give 0.1 for 10 %.", limit=f"{limit:g}")
        )
    if express_premium is None:
        express_premium = max(0.0, records.number("express_premium"))
    fitted = (fit_lives(records, as_of) if fitted is None else fitted).doing(doing or {})
    if fitted.draws is None:
        return pd.DataFrame(columns=list(COLUMNS))
    asked = costly_types(fitted.known)
    asked = asked if types is None else frozenset(part for part in asked if part in types)
    positions = _positions_of(asked, records, fitted)
    pools = _pools(fitted, positions, limit, max_days, express_premium, futures)
    if not pools:
        return pd.DataFrame(columns=list(COLUMNS))
    dated = positions[positions["dated"]].reset_index(drop=True)
    told = _told_of_parts(fitted, dated, whole=futures == MOST)
    rows = [
        row for part, pool in pools.items() for row in pool.rows(told[of_type(told, part)], as_of)
    ]
    table = pd.DataFrame(rows, columns=list(COLUMNS))
    urgency = pd.to_datetime(table["order_by"]).fillna(pd.Timestamp.max)
    return table.iloc[np.argsort(urgency.to_numpy(), kind="stable")].reset_index(drop=True)


def spare_pools(fitted: FittedLives, *, futures: int = MOST) -> dict[PartType, Pool]:
    """The pools that ``preorder`` dates spares from, by type, as the workshop set its risk."""
    if fitted.draws is None:
        return {}
    known = fitted.known
    positions = _positions_of(costly_types(known), known, fitted)
    premium = max(0.0, known.number("express_premium"))
    return _pools(fitted, positions, accepted_risk(known), MAX_DAYS, premium, futures)


def _positions_of(
    types: Container[PartType], records: Records, fitted: FittedLives
) -> pd.DataFrame:
    """The positions in which a part of these types that wears is fitted or waited for (``dated``),
    with those of the parts whose change takes them along, each until its printer leaves.
    """
    positions = positions_ahead(records, fitted)
    dated = of_types(positions, types) & fitted.is_worn(pd.Index(positions["fitting"]))
    positions = positions.assign(dated=dated)
    # What takes a part along is in the same printer.
    near = positions["printer"].isin(positions.loc[dated, "printer"])
    positions = positions[near].reset_index(drop=True)
    played, leader = positions["dated"].to_numpy(dtype=bool), leaders(positions, fitted.known)
    for _each in set(positions["part_kind"]):  # a chain of leaders is no longer than the kinds
        played = played | np.isin(np.arange(len(played)), leader[played])
    return positions[played].reset_index(drop=True)


def _pools(
    fitted: FittedLives,
    positions: pd.DataFrame,
    risk_limit: float | None,
    max_days: int,
    express_premium: float,
    futures: int,
) -> dict[PartType, Pool]:
    known, as_of = fitted.known, fitted.as_of
    dated = positions["dated"].to_numpy(dtype=bool)
    mine = {part: own & dated for part, own in by_type(positions).items() if (own & dated).any()}
    facts_of = {part: known.part_facts(*part) for part in part_types(known) if part in mine}
    if not facts_of:
        return {}
    leads, cost_of, shelf = lead_times(known, as_of), type_prices(known), on_hand(known, as_of)
    waiting, downtime = open_orders(known, as_of, leads), Downtime.of(known, as_of)
    grids = {
        part: time_grid(leads[part], facts.shelf_life_days, max_days)
        for part, facts in facts_of.items()
    }
    longest = max(float(grid[-1]) for grid in grids.values())
    review_days = max(0.0, known.number("review_days"))
    ages = practised_ages(known, as_of, fitted.lives)
    # The shelf's futures are those of ``stock_table``.
    size = futures_for(len(fitted_positions(fitted)), most=futures)
    counted = play_futures(fitted, positions, longest, ages, size=size)
    played, many = counted, min(_DATED_FROM, _LIVES_PLAYED // len(positions))
    if futures == MOST and many > size:
        played = play_futures(fitted, positions, longest, ages, size=many)
    pools: dict[PartType, Pool] = {}
    for part, facts in facts_of.items():
        price = cost_of[part].amount
        # What is changed by plan at an age takes a spare then; at no certain age it can wait.
        causes = (*UNPLANNED, Cause.PLANNED) if part.part_kind in ages else UNPLANNED
        needs = played.of(mine[part], causes)
        coming, there = waiting[of_type(waiting, part)], shelf.get(part, OnHand())
        pools[part] = Pool(
            times=grids[part],
            lead=leads[part],
            costs=OrderCosts(
                downtime_per_day=downtime.per_day,
                longest_wait_days=downtime.longest_wait_days,
                holding_per_day=holding_share_per_day(known) * price,
                express_premium=express_premium,
                shelf_life_days=facts.shelf_life_days,
                unit_cost=price,
            ),
            needs=needs,
            shelf=DatedShelf.of(
                counted.of(mine[part]), there, coming, leads[part], pd.Timestamp(as_of)
            ),
            horizon=float(leads[part].here(review_days)),
            max_days=max_days,
            risk_limit=risk_limit,
            usual_risk=1 - known.number("service_level"),
        )
    return pools


def accepted_risk(records: Records) -> float | None:
    """The risk of running out of a costly part that the workshop set; None where it set none."""
    return records.number("risk_limit") or None


def _life_guessed(known: Records, positions: pd.DataFrame) -> list[bool]:
    """Has nobody set the typical life of each position's type?"""
    types = types_in(positions)
    guessed = {part: known.part_facts(*part).is_life_guessed for part in set(types)}
    return [guessed[part] for part in types]


def _told_of_parts(fitted: FittedLives, positions: pd.DataFrame, *, whole: bool) -> pd.DataFrame:
    """What is told of each part by itself, one row per position; ``soon``: its chance of failing
    by the time an order placed a month from now is usually here, or its printer leaves. ``whole``:
    its remaining life too, as guessed and with other guesses.
    """
    assert fitted.draws is not None
    parts = fitted.parts(pd.Index(positions["fitting"]))
    leads = lead_times(fitted.known, fitted.as_of)
    days = np.empty(len(positions))
    for part, own in by_type(positions).items():
        days[own] = leads[part].here(WAITING_DAYS)
    half, halved, doubled = np.full((3, len(positions)), np.nan)
    if whole:
        half = fitted.remaining(parts, (0.5,))[:, 0]
        halved, doubled = fitted.medians_if_guessed(parts, half)
    return positions.assign(
        soon=fitted.chance_by(parts, np.minimum(days, positions["until"].to_numpy(dtype=float))),
        failures=fitted.failures(parts),
        life_guessed=_life_guessed(fitted.known, positions),
        days_p50=half,
        median_if_guess_halved=halved,
        median_if_guess_doubled=doubled,
    )
