"""Typed rows under labels of their own, each still knowing its place in a file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from tracker.intake.drafts import Draft
from tracker.intake.layout.changes import (
    PLACE,
)
from tracker.intake.pieces import Place
from tracker.intake.sheet import SheetReading
from tracker.workshop.records import Records
from tracker.workshop.refusal import Refusal


@dataclass(frozen=True)
class Typed:
    """One typed table of a draft."""

    draft: Draft
    reading: SheetReading


@dataclass
class Places(Mapping[int, Place]):
    """Label of a record → where it stands; worked out when it is asked."""

    parts: list[tuple[int, int, Typed]] = field(default_factory=list)  # first, offset, table
    more: dict[int, int] = field(default_factory=dict)  # label of a second record of one row

    def __getitem__(self, label: int) -> Place:
        label = self.more.get(label, label)
        for first, offset, typed in reversed(self.parts):
            if label >= first:
                old = label - offset
                raw = typed.reading.raw
                at = raw.at(old)
                if at < len(raw.row_numbers) and raw.row_numbers[at] == old:
                    piece = typed.draft.piece
                    return Place(piece.source, piece.sheet, raw.row_of(old), typed.reading, old)
                break
        raise KeyError(label)

    def __iter__(self) -> Iterator[int]:
        for _first, offset, typed in self.parts:
            yield from (old + offset for old in typed.reading.raw.row_numbers)
        yield from self.more

    def __len__(self) -> int:
        return sum(len(t.reading.raw.row_numbers) for _, _, t in self.parts) + len(self.more)


@dataclass
class Combined:
    """All rows; ``refused`` are the refusals of cells at the labels of ``records``."""

    records: Records
    places: dict[str, Places]
    refused: list[Refusal]
    notices: list[str]

    def row_of_end(self, label: int) -> int:
        """The label of the row that tells why a part came out: in a sheet of changes the row of the
        part that went in then, else its own.
        """
        places, fittings = self.places["fittings"], self.records.fittings
        reading = places[label].reading
        if reading is None or "removed_on" in reading.mapping.values():
            return label
        own = fittings.loc[label]
        return self._went_in.get((*own[PLACE], own["removed_on"]), label)

    @cached_property
    def _went_in(self) -> dict[tuple[object, ...], int]:
        """Place and day → the label of the first part that went in there then."""
        fittings = self.records.fittings
        dated = fittings[fittings["fitted_on"].notna()]
        keys = dated[[*PLACE, "fitted_on"]].itertuples(index=False, name=None)
        found: dict[tuple[object, ...], int] = {}
        for key, label in zip(keys, dated.index.tolist(), strict=True):
            if label in self.places["fittings"]:
                found.setdefault(key, label)
        return found

    def as_seen(self) -> Records:
        """The records under the rows that the person sees, for sentences that name rows."""
        seen = self.records
        for table, places in self.places.items():
            frame = seen.table(table)
            is_own = len(places.parts) == 1 and places.parts[0][2].reading.raw.places is None
            if frame.empty or (is_own and not places.more):
                continue
            sheets = {(one.draft.piece.source, one.draft.piece.sheet) for _, _, one in places.parts}
            labels = [RowSeen.of(places, label, len(sheets) > 1) for label in frame.index.tolist()]
            seen = replace(seen, **{table: frame.set_axis(labels, axis=0)})
        return seen


@dataclass(frozen=True, order=True)
class RowSeen:
    """The label of a record, told as the row where the person sees it: one row of a file may have
    made several records, which keep their own labels.
    """

    label: int
    row: str

    @classmethod
    def of(cls, places: Places, label: int, several: bool) -> RowSeen:
        """``several``: there is more than one sheet."""
        place = places.get(label)
        if place is None or place.row is None:
            return cls(label, str(label))
        sheet = f" ({place.sheet or place.source})" if several else ""
        return cls(label, f"{place.row}{sheet}")

    def __str__(self) -> str:
        return self.row
