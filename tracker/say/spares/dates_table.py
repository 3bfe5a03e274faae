"""The order dates of the costly parts as a table, and how they come about."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

import pandas as pd

from tracker.decisions.ordering.order_curve import MAX_DAYS
from tracker.decisions.preorder import IN_TURN
from tracker.language import _
from tracker.say import numbers, part_types
from tracker.say.phrases import first_up, listed
from tracker.say.spares.preorder import verdict
from tracker.workshop.variants import PartType


def part_and_place(row: Any) -> str:
    """Which part in which printer; ``row`` of ``preorder``."""
    return first_up(
        part_types.along_with(
            row, _("{position} of {printer}", position=row.position, printer=row.printer)
        )
    )


def dates_table(heads: pd.DataFrame, as_of: date, limit: float) -> pd.DataFrame:
    """One row per next spare: what to do, and the risks; ``heads`` of ``preorder``."""
    return pd.DataFrame(
        {
            _("Verdict"): [first_up(verdict(row)) for row in heads.itertuples()],
            _("Part"): [part_and_place(row) for row in heads.itertuples()],
            _("Age (days)"): heads["age_days"].round(),
            _("Delivery (days)"): heads["lead_days"].round(),
            _("Risk if ordered now"): heads["risk_if_ordered_now"].map(numbers.chance),
            _("Risk if ordered in 30 days"): heads["risk_if_waiting_30_days"].map(numbers.chance),
            _("Risk stays within {limit} until", limit=numbers.chance(limit)): [
                _until(day, as_of) for day in heads["risk_limit_by"]
            ],
        }
    )


def how_dates_come_about(limit: float, binds: bool) -> str:
    """What a row is, what risk means, and what dates the order; ``binds``: a limit is set."""
    told = numbers.chance(limit)
    row = _(
        "Each row is the next spare, after those on the shelf or on the way and those of the "
        "rows above it (same part), named after the part most at risk, or after a place "
        "that stands empty and that no spare is left for. Risk: the chance that it is "
        "needed before it is here, which takes the days of delivery from the order on."
    )
    if binds:
        return f"{row} " + _(
            "The verdict weighs money: it is the day from which waiting longer costs "
            "more than it saves, or the day from which the risk is above your limit of "
            "{told}, whichever is earlier (Risk limit, set under Records, Settings).",
            told=told,
        )
    return f"{row} " + _(
        "The verdict weighs money: it is the day from which waiting longer costs more "
        "than it saves. No risk limit is set, so the {told} date is only told: it is "
        "what your service level leaves over. A risk limit (Records, Settings) brings "
        "orders forward to it.",
        told=told,
    )


def ordered_by_stock(parts: Sequence[PartType]) -> str:
    """Which costly types the order list counts by stock all the same."""
    return _(
        "{parts}: the list at the top orders by stock, for more than {in_turn} are in "
        "the printers or one place may need a second spare before the next delivery; the "
        "dates show how soon each further one will be needed.",
        parts=listed([part_types.of(part) for part in parts]),
        in_turn=IN_TURN,
    )


def _until(day: date | None, as_of: date) -> str:
    if day is None:
        return _("already over it")
    last = as_of + timedelta(days=MAX_DAYS)
    return _("after {last}", last=numbers.day(last)) if day >= last else numbers.day(day)
