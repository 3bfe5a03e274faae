"""The typed tables of all pieces as one workshop's records, each row still knowing its place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

import numpy as np
import pandas as pd

from tracker.intake.layout.changes import (
    Chained,
    chained,
    first_in_words,
    in_there_already,
)
from tracker.intake.layout.known import Known
from tracker.intake.names import Names
from tracker.intake.talk import Talk
from tracker.intake.together.known_writings import in_known_writing
from tracker.intake.together.labelled import Combined, Places, Typed
from tracker.intake.together.part_places import PartPlaces
from tracker.intake.together.serials_out import SerialsOut, only_parts
from tracker.intake.together.standing import Standing, hours_without_day, stoppages_of
from tracker.intake.together.stop_ends import ended
from tracker.language import _, ngettext
from tracker.workshop.columns.coded import CodedTable, alike, joined, occurrence
from tracker.workshop.columns.frames import shape_frame
from tracker.workshop.contract import TABLE_BY_NAME
from tracker.workshop.records import Records
from tracker.workshop.refusal import Refusal
from tracker.workshop.vocabulary import PART_KINDS, part_label


def combine(
    typed: Sequence[Typed], known: Known, names: Names, talk: Talk, today: date | None
) -> Combined:
    """The rows of all pieces in one value, parts with their days, new printers added.

    A row that stands in two pieces is taken once; labels are row numbers of the file where only
    one table has them.
    """
    return _Combining(known, names, talk, today).of(typed)


@dataclass
class _Combining:
    known: Known
    names: Names
    talk: Talk
    today: date | None
    places: dict[str, Places] = field(default_factory=dict)
    last: dict[str, int] = field(default_factory=dict)
    refused: list[Refusal] = field(default_factory=list)
    notices: list[str] = field(default_factory=list)

    def of(self, typed: Sequence[Typed]) -> Combined:
        known, by_table = self.known.records, dict[str, list[Typed]]()
        for one in typed:
            by_table.setdefault(one.reading.table, []).append(one)
        tables: dict[str, CodedTable] = {}
        for table in [name for name in TABLE_BY_NAME if name in by_table]:
            parts = by_table[table]
            read = [self._labelled(table, one) for one in parts]
            if table == "printers" and len(read):
                self.known = self._with_printers([one.frame for one in read])
            if table == "fittings":
                read = self._as_parts(parts, read)
            if table == "stoppages":
                read = [self._ended(one) for one in read]
            if table == "parts":
                self.notices += _none_taken_along(parts, self.known.records)
            tables[table] = self._one_table(table, read)
        self._add_stoppages(by_table.get("fittings", ()), tables)
        self._add_printers(tables)
        records = in_known_writing(Records().after_reading(tables), known, self.notices)
        return Combined(records, self.places, self.refused, self.notices)

    def _labelled(self, table: str, one: Typed) -> CodedTable:
        """The rows under labels of their own; the refusals of their cells go with them."""
        offset = self._offset(table, one)
        self.refused += [
            _moved(refusal, offset) for refusal in one.reading.refusals if refusal.row != 1
        ]
        typed = one.reading.typed
        return typed.labelled(typed.frame.index + offset) if offset else typed

    def _offset(self, table: str, one: Typed) -> int:
        """What makes the rows of that piece labels of their own in a table."""
        places = self.places.setdefault(table, Places())
        numbers = one.reading.raw.row_numbers
        offset = 0 if not places.parts else self.last[table]
        first = (numbers[0] if numbers else 2) + offset
        places.parts.append((first, offset, one))
        self.last[table] = max(self.last.get(table, 1), (numbers[-1] if numbers else 1) + offset)
        return offset

    def _pieces(self, table: str) -> list[tuple[int, int, Typed]]:
        return self.places[table].parts if table in self.places else []

    def _one_table(self, table: str, read: list[CodedTable]) -> CodedTable:
        if len(read) > 1:
            held = [one for one in read if len(one.frame)]
            read = [self._without_doubles(table, held)] if held else read[:1]
        return read[0] if read[0].frame.index.is_unique else self._relabelled(table, read[0])

    def _relabelled(self, table: str, read: CodedTable) -> CodedTable:
        """Labels of their own for the further records that one row made."""
        labels = read.frame.index.to_numpy().copy()
        again = read.frame.index.duplicated()
        fresh = self.last[table] + 1 + np.arange(int(again.sum()))
        self.places[table].more.update(zip(fresh.tolist(), labels[again].tolist(), strict=True))
        self.last[table] = int(fresh[-1])
        labels[again] = fresh
        return read.labelled(pd.Index(labels))

    def _without_doubles(self, table: str, read: list[CodedTable]) -> CodedTable:
        """All rows, those left out that an earlier piece has already, as often as it has them."""
        whole = joined(read)
        rows = alike([whole], whole.frame.columns)
        piece = np.repeat(np.arange(len(read)), [len(one.frame) for one in read])
        nth = occurrence(rows * len(read) + piece)
        double = pd.Series(rows * (int(nth.max()) + 1) + nth).duplicated().to_numpy()
        if double.any():
            many = int(double.sum())
            self.notices.append(
                ngettext(
                    "{table}: {many} row stands in two places and was taken once.",
                    "{table}: {many} rows stand in two places and were taken once.",
                    many,
                    table=table,
                    many=many,
                )
            )
        return whole.cut(~double) if double.any() else whole

    def _ended(self, read: CodedTable) -> CodedTable:
        """Stoppages with the ends that their lengths tell."""
        whole = ended(read.frame)
        if whole is None:
            return read
        self.refused += whole.refused
        self.notices += whole.notices
        return CodedTable(whole.frame)

    # --- parts -----------------------------------------------------------------------------------

    def _as_parts(self, parts: Sequence[Typed], read: list[CodedTable]) -> list[CodedTable]:
        """Fittings with every position, those of change logs with the days they came out."""
        if all(one.draft.strict for one in parts):
            return read
        plain: list[pd.DataFrame] = []
        changes: list[pd.DataFrame] = []
        already: list[pd.DataFrame] = []
        bad = {r.row for r in self.refused if r.table == "fittings"}
        meant = PartPlaces(self.known, self.talk, self.places["fittings"], self.notices)
        for one, frame in zip(parts, [table.frame for table in read], strict=True):
            if one.draft.strict:
                plain.append(frame)
                continue
            is_good = ~frame.index.isin(bad)
            whole = meant.spread(one, frame[is_good])
            is_listed = in_there_already(whole)
            already.append(whole[is_listed])
            whole = whole[~is_listed]
            if one.draft.result.changes:
                days = whole["fitted_on"].notna()
                changes.append(whole[days])
                whole = whole[~days]
            plain += [whole, meant.spread(one, frame[~is_good]).pipe(_first_each)]
        said = [*plain, *changes, *already]
        if not any(len(frame) for frame in changes):
            return self._with_serials([*plain, *already], said)
        known = self.known.records.fittings
        others = pd.concat([frame for frame in (known, *plain) if len(frame)] or [known])
        result = chained(
            pd.concat([frame for frame in changes if len(frame)]), others, pd.concat(already)
        )
        if result.doubled:
            self.notices.append(
                ngettext(
                    "fittings: {doubled} change of one place on one day stands in two places; it "
                    "was taken once.",
                    "fittings: {doubled} changes of one place on one day stand in two "
                    "places; each was taken once.",
                    result.doubled,
                    doubled=result.doubled,
                )
            )
        self._tell_spread([label for frame in changes for label in frame.index], result)
        if told := first_in_words(result.first, self.known.records.printers):
            self.notices.append(told)
        unknown = int(result.rows["removal_reason"].eq("unknown").sum())
        if unknown:
            self.notices.append(
                ngettext(
                    "{unknown} part gave way to the next one and no reason is said: taken as "
                    "replaced, reason not known. No failure is made of it; the "
                    "monthly review asks why.",
                    "{unknown} parts gave way to the next one and no reason is said: taken as "
                    "replaced, reason not known. No failure is made of them; the "
                    "monthly review asks why.",
                    unknown,
                    unknown=unknown,
                )
            )
        return self._with_serials([*plain, result.rows, result.completes], said)

    def _with_serials(
        self, frames: Sequence[pd.DataFrame], said: Sequence[pd.DataFrame]
    ) -> list[CodedTable]:
        """The parts, with the serial numbers that rows tell of those that came out."""
        out = SerialsOut(only_parts(frames), self.known.records.fittings)
        out.give(said)
        self.notices += out.notices
        return list(map(CodedTable, [*out.frames, *out.completes]))

    def _add_stoppages(self, parts: Sequence[Typed], tables: dict[str, CodedTable]) -> None:
        """Those that rows of part changes tell by the hours that the printer stood."""
        told = [Standing.of(one) for one in parts]
        for stood, (_first, offset, _one) in zip(told, self._pieces("fittings"), strict=True):
            self.refused += [_moved(refusal, offset) for refusal in stood.refused]
        rows = [
            stood.rows.set_axis(stood.rows.index + self._offset("stoppages", stood.one))
            for stood in told
            if len(stood.rows)
        ]
        if dayless := sum(stood.dayless for stood in told):
            self.notices.append(hours_without_day(dayless))
        if not rows:
            return
        written = [self.known.records.stoppages]
        written += [tables["stoppages"].frame] if "stoppages" in tables else []
        source = told[0].one.draft.piece.source
        made = stoppages_of(pd.concat(rows), _joined(written), self.talk, source, self.notices)
        tables["stoppages"] = CodedTable(_joined([*written[1:], made]))

    def _tell_spread(self, labels: Sequence[int], made: Chained) -> None:
        """Why there are more part changes than rows: a row may name several places, or none."""
        more = self.places["fittings"].more
        rows = len({more.get(label, label) for label in labels})
        changes = len(labels) - made.doubled
        if changes > rows:
            self.notices.append(
                ngettext(
                    "{rows} row tells of {changes} part changes: one in each place that it names, "
                    "or in all places of that part where it names none.",
                    "{rows} rows tell of {changes} part changes: one in each place that a row "
                    "names, or in all places of that part where it names none.",
                    rows,
                    rows=rows,
                    changes=changes,
                )
            )

    # --- printers --------------------------------------------------------------------------------

    def _with_printers(self, frames: Sequence[pd.DataFrame]) -> Known:
        """The workshop with the printers that the files list."""
        records = self.known.records
        listed = pd.concat([shape_frame(TABLE_BY_NAME["printers"], frame) for frame in frames])
        there = records.printers
        new = listed[~listed["printer"].isin(there["printer"])]
        return Known(records.with_table("printers", pd.concat([there, new]) if len(there) else new))

    def _add_printers(self, tables: dict[str, CodedTable]) -> None:
        """New printers, from the first day anything was written down of them."""
        if not self.names.new:
            return
        first: dict[str, pd.Timestamp] = {}
        for table, read in tables.items():
            frame = read.frame
            happened = TABLE_BY_NAME[table].happened_on
            if "printer" not in frame or happened is None or table == "printers":
                continue
            for printer, day in frame.groupby("printer")[happened].min().items():
                if not pd.isna(day):
                    name = str(printer)
                    first[name] = min(day, first.get(name, day))
        today = pd.Timestamp(self.today) if self.today else pd.NaT
        rows = pd.DataFrame(
            {
                "printer": self.names.new,
                "started_on": [first.get(name, today) for name in self.names.new],
            }
        )
        rows["started_on"] = pd.to_datetime(rows["started_on"]).dt.normalize()
        there = tables["printers"].frame if "printers" in tables else rows.iloc[:0]
        start = 2 if there.empty else int(there.index.max()) + 1
        added = shape_frame(
            TABLE_BY_NAME["printers"], rows.set_axis(range(start, start + len(rows)))
        )
        tables["printers"] = CodedTable(added if there.empty else pd.concat([there, added]))


def _joined(frames: Sequence[pd.DataFrame]) -> pd.DataFrame:
    return pd.concat([frame for frame in frames if len(frame)] or list(frames[:1]))


def _first_each(frame: pd.DataFrame) -> pd.DataFrame:
    """One record for each row: a row that is refused is refused once."""
    return frame[~frame.index.duplicated()]


def _moved(refusal: Refusal, offset: int) -> Refusal:
    if not offset or refusal.row is None:
        return refusal
    return replace(refusal, row=refusal.row + offset)


def _none_taken_along(parts: Sequence[Typed], known: Records) -> Iterator[str]:
    """Kinds that commonly go out with another, in files that have no column to say so: an empty
    cell of it says that nothing takes them along.
    """
    for one in parts:
        if "replaced_with" in one.reading.mapping.values():
            continue
        for kind in one.reading.typed.frame["part_kind"].unique():
            usual = PART_KINDS[kind].replaced_with if kind in PART_KINDS else ""
            if usual and kind not in set(known.parts["part_kind"]):
                yield _(
                    "{source} has no column “replaced_with”: {kind} is taken to stay when {usual} "
                    "is replaced, though they commonly go together; if they do, add the column.",
                    source=one.reading.source,
                    kind=part_label(kind).lower(),
                    usual=part_label(usual).lower(),
                )
