"""Which printer, which part in it: looked up in the records, or said plainly why not."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from tracker.errors import RecordError
from tracker.language import _
from tracker.workshop import vocabulary as words
from tracker.workshop.records import Records
from tracker.workshop.refusal import meant_or, written


@dataclass(frozen=True)
class PartPosition:
    """One position of a printer, for one kind of part: P1's damper W1."""

    printer: str
    part_kind: str
    position: str

    @property
    def label(self) -> str:
        """Kind and position in the words of the change log: ``Damper W1``."""
        return words.part_name(self.part_kind, self.position)


def known_printer(records: Records, printer: str) -> int:
    """The record of that printer; RecordError when there is none of that name."""
    names = records.printers["printer"]
    found = records.printers.index[names == printer]
    if len(found):
        return int(found[0])
    if names.empty:
        raise RecordError(
            _("There is no printer {printer} yet; add the printer first.", printer=repr(printer))
        )
    hint = meant_or(printer, names, _("there are {names}.", names=_listed(names)))
    raise RecordError(_("There is no printer {printer}; {hint}", printer=repr(printer), hint=hint))


def fitted_part(records: Records, at: PartPosition) -> int:
    """The record of the part that is in that position now.

    Raises RecordError when the printer is not known, nothing was ever fitted there, or what was
    there has been taken out.
    """
    known_printer(records, at.printer)
    of_kind, there = _fittings(records, at)
    still_in = there[there["removed_on"].isna()]
    if len(still_in):
        return int(still_in.index[-1])
    label = words.part_label(at.part_kind).lower()
    if len(there):
        last = there.sort_values("removed_on").iloc[-1]
        reason = f" ({_(last['removal_reason'])})" if last["removal_reason"] else ""
        raise RecordError(
            _(
                "The {label} {position} of {printer} was already taken out on "
                "{removed_on}{reason}; log the new one as a first part there.",
                label=label,
                position=at.position,
                printer=at.printer,
                removed_on=written(last["removed_on"]),
                reason=reason,
            )
        )
    in_now = of_kind[of_kind["removed_on"].isna()]["position"]
    if in_now.empty:
        raise RecordError(
            _(
                "No {label} is written down for {printer}; log the one in {position} as a "
                "first part.",
                label=label,
                printer=at.printer,
                position=at.position,
            )
        )
    hint = meant_or(at.position, in_now, _("there are {in_now}.", in_now=_listed(in_now)))
    raise RecordError(
        _(
            "{printer} has no {label} in {position}; {hint}",
            printer=at.printer,
            label=label,
            position=at.position,
            hint=hint,
        )
    )


def empty_position(records: Records, at: PartPosition) -> None:
    """Raises RecordError when a part is in that position still."""
    known_printer(records, at.printer)
    _row, there = _fittings(records, at)
    there = there[there["removed_on"].isna()]
    if len(there):
        since = written(there["fitted_on"].iloc[-1]) or _("before the log began")
        raise RecordError(
            _(
                "{position} of {printer} is taken by the {part} fitted {since}; log a part "
                "change instead, so that the old one is taken out.",
                position=at.position,
                printer=at.printer,
                part=words.part_label(at.part_kind).lower(),
                since=since,
            )
        )


def _fittings(records: Records, at: PartPosition) -> tuple[pd.DataFrame, pd.DataFrame]:
    """All fittings of that printer and kind, and those in the very position."""
    rows = records.fittings
    rows = rows[(rows["printer"] == at.printer) & (rows["part_kind"] == at.part_kind)]
    return rows, rows[rows["position"] == at.position]


def _listed(names: pd.Series, most: int = 8) -> str:
    listed = [*dict.fromkeys(names)]
    more = _(" and {count} more", count=len(listed) - most) if len(listed) > most else ""
    return ", ".join(listed[:most]) + more
