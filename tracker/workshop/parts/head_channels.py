"""Which channels does each head of a printer print?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import pandas as pd

from tracker.workshop.records import Records


def printer_channels(records: Records, printer: str) -> tuple[str, ...]:
    """The channels of a printer in its own order; where none are written down, those checked."""
    rows = records.printers
    listed = str(rows.loc[rows["printer"].eq(printer), "channels"].iloc[-1]).split()
    return tuple(listed or sorted(set(_checks(records, printer)["channel"])))


def head_channels(
    records: Records, printer: str, heads: Sequence[str]
) -> dict[str, tuple[str, ...]]:
    """The channels that each of these heads prints, in the printer's own order.

    One head prints them all. One of several prints those of its latest nozzle check that found a
    channel whole, for a check that names nothing but missing nozzles leaves others out; without
    such a check, all that were ever checked there. A head never checked has what no other has, or
    all where that is nothing.
    """
    every = printer_channels(records, printer)
    if len(heads) < 2:
        return dict.fromkeys(heads, every)
    checks = _checks(records, printer)
    own = {head: _last_checked(checks[checks["position"].eq(head)]) for head in heads}
    taken = set().union(*own.values())
    left = tuple(channel for channel in every if channel not in taken) or every
    return {head: in_order(own[head], every) or left for head in heads}


def in_order(channels: Iterable[str], every: Sequence[str]) -> tuple[str, ...]:
    """The channels as the printer has them, those that it does not name after them."""
    chosen = set(channels)
    return (*(one for one in every if one in chosen), *sorted(chosen.difference(every)))


def _checks(records: Records, printer: str) -> pd.DataFrame:
    table = "nozzle_checks"
    rows = np.flatnonzero(records.codes(table, "printer").is_word(printer))
    columns = ("checked_on", "position", "channel", "missing_nozzles")
    return records.rows_at(table, rows, *columns)


def _last_checked(checks: pd.DataFrame) -> set[str]:
    whole = checks.loc[checks["missing_nozzles"].eq(0), "checked_on"]
    if len(whole):
        checks = checks[checks["checked_on"].eq(whole.max())]
    return set(checks["channel"])
