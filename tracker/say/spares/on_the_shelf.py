"""What lies on the shelf, as a technician asks: how many, counted when, how many on order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import pandas as pd

from tracker.language import N_, _, ngettext
from tracker.say import numbers, part_types
from tracker.workshop.shelf import OnHand
from tracker.workshop.variants import PartType

ONE_SHELF = N_("All sites take from one shelf: the log does not say where a spare lies.")


def left_after(part: PartType, shelf: OnHand | None) -> str:
    """How many are left once one of them goes in; ``shelf`` None: nothing was ever put on it.

    >>> left_after(PartType("wiper"), OnHand(usable=3))
    '2 left on the shelf after this.'
    """
    if shelf is None or (shelf.usable == 0 and shelf.counted_on is None):
        return _("How many are on the shelf was never counted.")
    if not shelf.usable:
        return _(
            "By the log no {part} is on the shelf; one that goes in all the same counts as bought "
            "for it.",
            part=part_types.within(part),
        )
    left = shelf.usable - 1
    return ngettext(
        "{count} left on the shelf after this.",
        "{count} left on the shelf after this.",
        left,
        count=numbers.decimal(left),
    )


def shelf_list(
    parts: Sequence[PartType], shelf: Mapping[PartType, OnHand], on_order: Mapping[PartType, int]
) -> pd.DataFrame:
    """One row for each of these types: pieces that can be used, since when counted, on order."""
    rows = [shelf.get(part, OnHand()) for part in parts]
    return pd.DataFrame(
        {
            _("Part"): [part_types.of(part) for part in parts],
            _("Pieces"): [_pieces(row) for row in rows],
            _("Counted"): [
                _("never") if row.counted_on is None else numbers.day(row.counted_on)
                for row in rows
            ],
            _("On order"): [on_order.get(part, 0) for part in parts],
        }
    )


def _pieces(row: OnHand) -> str:
    if row.counted_on is None and not row.usable and not row.expired:
        return _("not counted yet")
    pieces = numbers.decimal(row.usable)
    if row.expired:
        return _("{pieces}, and {expired} too old", pieces=pieces, expired=row.expired)
    return pieces
