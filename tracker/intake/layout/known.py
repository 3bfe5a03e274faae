"""What a workshop's records say that helps to read a sheet: printers, positions, own words."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import pandas as pd

from tracker.workshop import vocabulary as words
from tracker.workshop.records import Records

HEAD = "H1"  # what the place of a printer's only head is called


@dataclass(frozen=True)
class Known:
    """The workshop as far as it is written down."""

    records: Records

    @cached_property
    def printers(self) -> tuple[str, ...]:
        """The printers in use, or all when none is."""
        frame = self.records.printers
        in_use = frame[frame["retired_on"].isna()] if len(frame) else frame
        return tuple(dict.fromkeys(in_use["printer"])) or self.all_printers

    @cached_property
    def all_printers(self) -> tuple[str, ...]:
        """Every printer that was ever written down."""
        return tuple(dict.fromkeys(self.records.printers["printer"]))

    @cached_property
    def own_kinds(self) -> tuple[str, ...]:
        """Part kinds that only this workshop has."""
        kinds = (*self.records.part_kinds(), *self.records.parts["part_kind"])
        return tuple(dict.fromkeys(kind for kind in kinds if kind not in words.PART_KINDS))

    @cached_property
    def own_tasks(self) -> tuple[str, ...]:
        """Tasks that only this workshop has."""
        tasks = (
            *self.records.routines["task"],
            *self.records.codes("maintenance", "task").occurring(),
        )
        return tuple(dict.fromkeys(task for task in tasks if task not in words.TASKS))

    @cached_property
    def _places(self) -> dict[tuple[str, str], tuple[str, ...]]:
        frame = self.records.fittings[["printer", "part_kind", "position"]].drop_duplicates()
        return {
            (str(printer), str(kind)): tuple(group["position"])
            for (printer, kind), group in frame.groupby(["printer", "part_kind"], sort=False)
        }

    def positions(self, printer: str, part_kind: str) -> tuple[str, ...]:
        """The places of that kind in that printer, as far as anything tells them.

        A kind that sits once in a printer has one, called like it (a head: H1); one that sits in
        each channel has those of the printer's channels.
        """
        if written := self._places.get((printer, part_kind)):
            return written
        if part_kind == "head":
            return (HEAD,)
        kind = words.PART_KINDS.get(part_kind)
        if kind is not None and kind.per_channel:
            frame = self.records.printers
            named = frame[frame["printer"].eq(printer)]["channels"]
            return tuple(str(named.iloc[0]).split()) if len(named) else ()
        return (part_kind,)

    @cached_property
    def last_day(self) -> pd.Timestamp | None:
        """The last day written down."""
        day = self.records.last_day()
        return None if day is None else pd.Timestamp(day)
