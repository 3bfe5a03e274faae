"""The tables that sums are asked of: a fleet's log with a whole number for every word and day.

Days are whole days since 1970-01-01. Moments of a life are *ticks*, 32 to a day, on the clock of
its printer's open days: half a day and the ends of periods (half a quarter, 45 21/32 days) are
whole numbers of them, so that equal ages are equal and no sum depends on an order.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import BigInteger, Column, ColumnElement, MetaData, Table, case, cast, func

TICKS = 32  # to a day
PERIOD_TICKS = 1461  # half a quarter of a year of 365.25 days

fleet = MetaData()


def _whole(*names: str) -> list[Column]:
    return [Column(name, BigInteger, nullable=False) for name in names]


# ``unit``: what shares a level, such as a printer, a site or a region.
PRINTERS = Table("fleet_printers", fleet, *_whole("printer", "unit", "began", "ended"))

# One row per life watched. Ticks: ``new_on`` (age 0), watched from ``began`` to ``left_on``; the
# life model counts it until ``ended``, when it ``failed`` (1) or not (0). A failure that lies
# somewhere between two distant checks has not failed then, and ``good_on`` and ``found_on``.
LIVES = Table(
    "fleet_lives",
    fleet,
    *_whole("printer", "unit", "life_group", "lot", "new_on", "began", "ended", "failed"),
    *_whole("left_on", "accident"),
    Column("good_on", BigInteger),
    Column("found_on", BigInteger),
)

# Of each printer, ticks from ``begins`` to ``ends`` in which its class of care is the same.
# ``period`` counts back from today, 0 being the one up to today.
SPANS = Table("fleet_spans", fleet, *_whole("printer", "begins", "ends", "period", "care"))

PERIODS = Table("fleet_periods", fleet, *_whole("period", "begins", "ends"))

# ``month``: 12 · year + month − 1. One row per part that wore out or met with an accident.
BREAKDOWNS = Table("fleet_breakdowns", fleet, *_whole("printer", "part_kind", "month"))

ACTIONS = Table(
    "fleet_actions",
    fleet,
    *_whole("printer", "task", "done_on", "month", "planned", "seconds"),
)

# One interval per printer and task, counted from ``starts_on`` where it was never done.
ROUTINES = Table("fleet_routines", fleet, *_whole("printer", "task", "every_days", "starts_on"))

# ``item``: what was paid for.
COSTS = Table("fleet_costs", fleet, *_whole("printer", "month", "item", "cents"))

ALL = (PRINTERS, LIVES, SPANS, PERIODS, BREAKDOWNS, ACTIONS, ROUTINES, COSTS)


def total(amount: ColumnElement[Any]) -> ColumnElement[int]:
    """The sum as a whole number, which some engines would widen to a decimal."""
    return cast(func.sum(amount), BigInteger)


def later(a: ColumnElement[int], b: ColumnElement[int]) -> ColumnElement[int]:
    """The greater one; not every engine has a word for it."""
    return case((a > b, a), else_=b)


def earlier(a: ColumnElement[int], b: ColumnElement[int]) -> ColumnElement[int]:
    """The smaller one."""
    return case((a < b, a), else_=b)


def whole_times(amount: ColumnElement[int], of: Any) -> ColumnElement[int]:
    """How often it goes in whole; the remainder off first, as engines differ in what / does."""
    return (amount - amount % of) // of
