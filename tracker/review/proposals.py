"""What do the month's figures give to do, what matters most first? Facts; ``say`` has the words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import pandas as pd

from tracker.review.ahead import Ahead
from tracker.review.printer_trend import PrinterTrend
from tracker.review.suspicion import Suspicion

MOST_PLANNED, PLANNED_DAYS = 3, 31
MOST_DATED = 3  # orders of one kind told one by one
MOST_ROUTINES = 2
KEPT_WELL = 0.75  # a routine kept less often than this is worth a word
LEAST_DUE = 4


@dataclass(frozen=True)
class AskSupplier:
    """About a batch or a supplier whose parts fail too soon."""

    suspicion: Suspicion

    @property
    def made_from(self) -> str:
        """Kind, supplier and batch."""
        bad = self.suspicion
        return " ".join(filter(None, ("batch", bad.part_kind, bad.supplier, bad.batch)))


@dataclass(frozen=True, eq=False)
class OrderByDate:
    """Parts that are ordered by their own days: rows of ``preorder``, all of one kind."""

    rows: pd.DataFrame

    @property
    def part_kind(self) -> str:
        """The kind of all of them."""
        return str(self.rows["part_kind"].iloc[0])

    @property
    def made_from(self) -> str:
        """The kind; of a single part its place as well."""
        if len(self.rows) > 1:
            return f"order {self.part_kind} {self.rows['variant'].iloc[0]}".rstrip()
        row = self.rows.iloc[0]
        return f"order {row['part_kind']} {row['printer']} {row['position']}"


@dataclass(frozen=True, eq=False)
class OrderForShelf:
    """Pieces the shelf lacks: a row of ``stock_table``."""

    row: Any

    @property
    def made_from(self) -> str:
        """The kind."""
        return f"order {self.row.part_kind} {self.row.variant}".rstrip()


@dataclass(frozen=True, eq=False)
class ClaimWarranty:
    """A part that failed inside its warranty: a row of ``warranty_claims``."""

    row: Any

    @property
    def made_from(self) -> str:
        """The part and the day it failed."""
        row = self.row
        return f"claim {row.part_kind} {row.printer} {row.position} {row.failed_on:%Y-%m-%d}"


@dataclass(frozen=True, eq=False)
class KeepRoutine:
    """A task not kept on a printer in the ``month``: a row of ``routine_kept``."""

    row: Any
    month: date

    @property
    def made_from(self) -> str:
        """Task and printer."""
        return f"routine {self.row.task} {self.row.printer}"


@dataclass(frozen=True)
class LookOver:
    """A printer whose stoppages come faster than they used to."""

    printer: str

    @property
    def made_from(self) -> str:
        """The printer."""
        return f"stoppages {self.printer}"


@dataclass(frozen=True, eq=False)
class ChangeByPlan:
    """A part that reaches the age of its planned change: a row of ``planned_changes``."""

    row: Any

    @property
    def made_from(self) -> str:
        """The part's place."""
        return f"planned {self.row.part_kind} {self.row.printer} {self.row.position}"


# ``made_from`` names what a proposal was made from in words that stay the same from day to day, so
# that it is known again when its figures have moved on or its words were changed by hand.
Proposal = (
    AskSupplier
    | OrderByDate
    | OrderForShelf
    | ClaimWarranty
    | KeepRoutine
    | LookOver
    | ChangeByPlan
)


def proposals(
    suspicions: Sequence[Suspicion],
    ahead: Ahead,
    kept: pd.DataFrame,
    stoppages: PrinterTrend,
    as_of: date,
) -> tuple[Proposal, ...]:
    """What to do next: bad batch, then orders and claims by the money in them, the most first, then
    routine, a printer's trend, planned changes that fall due within PLANNED_DAYS.

    All of it; ``action_list`` keeps the list short, but for orders. ``kept``: see ``routine_kept``.
    """
    soon = ahead.planned["due_on"] <= pd.Timestamp(as_of + timedelta(days=PLANNED_DAYS))
    return (
        *(AskSupplier(bad) for bad in suspicions if not bad.is_over),
        *_dearest_first(ahead),
        *(KeepRoutine(row, as_of) for row in _thin(kept).itertuples()),
        *(LookOver(printer) for printer in stoppages.worse),
        *(ChangeByPlan(row) for row in ahead.planned[soon].head(MOST_PLANNED).itertuples()),
    )


def _dearest_first(ahead: Ahead) -> list[Proposal]:
    """Orders and claims by what the pieces cost: a short list leaves out those of least money."""
    priced: list[tuple[float, Proposal]] = [
        *((float(own.rows["unit_cost"].sum()), own) for own in _by_date(ahead.order_dates)),
        *((float(row.cost), OrderForShelf(row)) for row in ahead.orders.itertuples()),
        *((float(row.unit_cost), ClaimWarranty(row)) for row in ahead.claims.itertuples()),
    ]
    return [own for _cost, own in sorted(priced, key=lambda pair: -pair[0])]


def _by_date(order_dates: pd.DataFrame) -> Iterable[OrderByDate]:
    """One for each part, or one for all of a kind of which many are to be ordered."""
    for _, rows in order_dates.groupby(["part_kind", "variant"], sort=False):
        if len(rows) > MOST_DATED:
            yield OrderByDate(rows)
        else:
            yield from (OrderByDate(rows.iloc[[number]]) for number in range(len(rows)))


def _thin(kept: pd.DataFrame) -> pd.DataFrame:
    """The tasks most often late or skipped on a printer."""
    thin = kept[(kept["due"] >= LEAST_DUE) & (kept["share"] < KEPT_WELL)]
    thin = thin.assign(not_kept=thin["due"] - thin["in_time"])
    return thin.sort_values("not_kept", ascending=False, kind="stable").head(MOST_ROUTINES)
