"""Which printer, which part in it: looked up in the records, or said plainly why not."""

from __future__ import annotations

from datetime import date

import pandas as pd

from tracker.errors import RecordError
from tracker.workshop import vocabulary as words
from tracker.workshop.records import Records
from tracker.workshop.refusal import nearest_word, written


def known_printer(records: Records, printer: str) -> int:
    """The record of that printer; RecordError when there is none of that name."""
    names = records.printers["printer"]
    found = records.printers.index[names == printer]
    if len(found):
        return int(found[0])
    if names.empty:
        raise RecordError(f"There is no printer {printer!r} yet; add the printer first.")
    meant = nearest_word(printer, names)
    hint = f"did you mean {meant}?" if meant else f"there are {_listed(names)}."
    raise RecordError(f"There is no printer {printer!r}; {hint}")


def fitted_part(records: Records, printer: str, part_kind: str, position: str) -> int:
    """The record of the part that is in that position now.

    Raises RecordError when the printer is not known, nothing was ever fitted there, or what was
    there has been taken out.
    """
    known_printer(records, printer)
    fittings = records.fittings
    here = fittings[(fittings["printer"] == printer) & (fittings["part_kind"] == part_kind)]
    there = here[here["position"] == position]
    still_in = there[there["removed_on"].isna()]
    if len(still_in):
        return int(still_in.index[-1])
    label = words.part_label(part_kind).lower()
    if len(there):
        last = there.sort_values("removed_on").iloc[-1]
        reason = f" ({last['removal_reason']})" if last["removal_reason"] else ""
        raise RecordError(
            f"The {label} {position} of {printer} was already taken out on "
            f"{written(last['removed_on'])}{reason}; log the new one as a first part there."
        )
    in_now = here[here["removed_on"].isna()]["position"]
    if in_now.empty:
        raise RecordError(
            f"No {label} is written down for {printer}; log the one in {position} as a first part."
        )
    meant = nearest_word(position, in_now)
    hint = f"did you mean {meant}?" if meant else f"there are {_listed(in_now)}."
    raise RecordError(f"{printer} has no {label} in {position}; {hint}")


def empty_position(records: Records, printer: str, part_kind: str, position: str) -> None:
    """Raises RecordError when a part is in that position still."""
    known_printer(records, printer)
    fittings = records.fittings
    there = fittings[
        (fittings["printer"] == printer)
        & (fittings["part_kind"] == part_kind)
        & (fittings["position"] == position)
        & fittings["removed_on"].isna()
    ]
    if len(there):
        since = written(there["fitted_on"].iloc[-1]) or "before the log began"
        raise RecordError(
            f"{position} of {printer} is taken by the {words.part_label(part_kind).lower()} fitted "
            f"{since}; log a part change instead, so that the old one is taken out."
        )


def on_hand(records: Records, part_kind: str, day: date | None = None) -> int:
    """How many pieces of the kind lie on the shelf at the end of that day (None: after all)."""
    rows = records.stock[records.stock["part_kind"] == part_kind]
    if day is not None:
        rows = rows[rows["moved_on"] <= pd.Timestamp(day)]
    return round(rows["quantity"].sum())


def _listed(names: pd.Series, most: int = 8) -> str:
    listed = [*dict.fromkeys(names)]
    more = f" and {len(listed) - most} more" if len(listed) > most else ""
    return ", ".join(listed[:most]) + more
