"""The typed tables of all pieces as one workshop's records, each row still knowing its place."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property

import numpy as np
import pandas as pd

from tracker.intake.cells.months import bare
from tracker.intake.drafts import Draft
from tracker.intake.layout.changes import (
    PLACE,
    Chained,
    chained,
    first_in_words,
    split_places,
    with_each_place,
)
from tracker.intake.layout.known import Known
from tracker.intake.layout.words import WHOLE_SET
from tracker.intake.names import Names
from tracker.intake.pieces import Place
from tracker.intake.questions import COLUMNS, Question
from tracker.intake.sheet import SheetReading
from tracker.intake.talk import Talk
from tracker.language import N_, _, ngettext
from tracker.workshop.columns.coded import CodedTable, alike, joined, occurrence
from tracker.workshop.columns.frames import shape_frame
from tracker.workshop.contract import TABLE_BY_NAME
from tracker.workshop.records import Records
from tracker.workshop.refusal import Refusal
from tracker.workshop.vocabulary import part_label

_MEANS_ALL = re.compile(rf"(?<![^ ]){WHOLE_SET}(?![^ ])")
_WHOLE_SET = "set"  # stands for a position where the wording means all of them
_ALL = N_("the whole set")
_SETS = ("C M Y K W", "C M Y K W1 W2", "C M Y K W1 W2 W3 W4", "W")


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
    _answers: dict[str, str] = field(default_factory=dict)  # so that each is asked once

    def of(self, typed: Sequence[Typed]) -> Combined:
        by_table: dict[str, list[Typed]] = {}
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
            tables[table] = self._one_table(table, read)
        self._add_printers(tables)
        records = Records().after_reading(tables)
        return Combined(records, self.places, self.refused, self.notices)

    def _labelled(self, table: str, one: Typed) -> CodedTable:
        """The rows under labels of their own; the refusals of their cells go with them."""
        places = self.places.setdefault(table, Places())
        numbers = one.reading.raw.row_numbers
        offset = 0 if not places.parts else self.last[table]
        first = (numbers[0] if numbers else 2) + offset
        places.parts.append((first, offset, one))
        self.last[table] = max(self.last.get(table, 1), (numbers[-1] if numbers else 1) + offset)
        self.refused += [
            _moved(refusal, offset) for refusal in one.reading.refusals if refusal.row != 1
        ]
        typed = one.reading.typed
        return typed.labelled(typed.frame.index + offset) if offset else typed

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

    # --- parts -----------------------------------------------------------------------------------

    def _as_parts(self, parts: Sequence[Typed], read: list[CodedTable]) -> list[CodedTable]:
        """Fittings with every position, those of change logs with the days they came out."""
        if all(one.draft.strict for one in parts):
            return read
        plain: list[pd.DataFrame] = []
        changes: list[pd.DataFrame] = []
        bad = {r.row for r in self.refused if r.table == "fittings"}
        for one, frame in zip(parts, [table.frame for table in read], strict=True):
            if one.draft.strict:
                plain.append(frame)
                continue
            is_good = ~frame.index.isin(bad)
            whole = self._with_places(one, frame[is_good])
            if one.draft.result.changes:
                days = whole["fitted_on"].notna()
                changes.append(whole[days])
                whole = whole[~days]
            plain += [whole, self._with_places(one, frame[~is_good]).pipe(_first_each)]
        if not any(len(frame) for frame in changes):
            return list(map(CodedTable, plain))
        known = self.known.records.fittings
        others = pd.concat([frame for frame in (known, *plain) if len(frame)] or [known])
        result = chained(pd.concat([frame for frame in changes if len(frame)]), others)
        if result.doubled:
            self.notices.append(
                _(
                    "fittings: {doubled} changes of one place on one day stand in two "
                    "places; each was taken once.",
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
                    "replaced, reason not known. No failure is made of it.",
                    "{unknown} parts gave way to the next one and no reason is said: taken as "
                    "replaced, reason not known. No failure is made of them.",
                    unknown,
                    unknown=unknown,
                )
            )
        return list(map(CodedTable, [*plain, result.rows, result.completes]))

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

    def _with_places(self, one: Typed, frame: pd.DataFrame) -> pd.DataFrame:
        """A row for each position that is meant; where nothing says which, it is asked."""
        sets: dict[tuple[str, str], str] = {}

        def places_of(printer: str, kind: str, text: str) -> Sequence[str]:
            there: Sequence[str] = self.known.positions(printer, kind)
            named = split_places(text)
            if not text.strip() or text == _WHOLE_SET:
                if len(there) == 1:
                    return there
                if not there:
                    return self._asked_places(one, kind, printer)
                if not text.strip():
                    return self._set_or_one(one, kind, printer, there)
                sets[printer, kind] = " ".join(there)
                return there
            spread = []
            for place in named:
                alike = [other for other in there if other[:1] == "W"] if place == "W" else []
                exact = [other for other in there if other.casefold() == place.casefold()]
                spread += exact or alike or [place]
            return spread

        result = with_each_place(self._with_sets(frame), places_of)
        for (printer, kind), positions in sets.items():
            self.notices.append(
                _(
                    "{name}: {part}s of {printer} without a place were taken for all of them "
                    "({positions}).",
                    name=one.draft.name,
                    part=part_label(kind).lower(),
                    printer=printer,
                    positions=positions,
                )
            )
        return result

    def _with_sets(self, frame: pd.DataFrame) -> pd.DataFrame:
        """The rows whose wording means all places of a part ("Dampers changed", "set") say so."""
        places = self.places["fittings"]

        def means_all(label: int, position: str) -> bool:
            if position.strip():
                return _MEANS_ALL.fullmatch(bare(position)) is not None
            place = places[label]
            reading = place.reading
            if reading is None:
                return False
            cell = reading.raw.cell_of(place.label, "part_kind", reading.mapping)
            return cell is not None and _MEANS_ALL.search(bare(cell.text)) is not None

        labels = zip(frame.index.tolist(), frame["position"].tolist(), strict=True)
        return frame.assign(
            position=[_WHOLE_SET if means_all(*label) else label[1] for label in labels]
        )

    def _set_or_one(
        self, one: Typed, kind: str, printer: str, there: Sequence[str]
    ) -> Sequence[str]:
        """A part named once where several sit: asked once for the file."""
        question = Question(
            "position",
            _(
                "a {part} stands without its place, and a printer has several. The whole set "
                "or one?",
                part=part_label(kind).lower(),
            ),
            (_ALL, *there),
            (_("in {printer}: {there}", printer=printer, there=" ".join(there)),),
            COLUMNS,
            one.draft.piece.source,
            filed=f"{one.draft.piece.source}|set|{kind}",
        )
        answer = self._answers.get(question.key)
        if answer is None:
            answer = self._answers[question.key] = self.talk.ask(question, f"set|{kind}") or ""
        if not answer:
            return [""]
        return there if answer == _ALL else [answer]

    def _asked_places(self, one: Typed, kind: str, printer: str) -> Sequence[str]:
        question = Question(
            "position",
            _(
                "which places are meant where {part}s stand without one?",
                part=part_label(kind).lower(),
            ),
            (*_SETS, *(f"{ink}" for ink in ("C", "M", "Y", "K")), kind),
            (_("in {printer}", printer=printer),),
            COLUMNS,
            one.draft.piece.source,
            filed=f"{one.draft.piece.source}|places|{kind}",
        )
        answer = self.talk.ask(question, f"places|{kind}")
        return answer.split() if answer else [""]

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


def _first_each(frame: pd.DataFrame) -> pd.DataFrame:
    """One record for each row: a row that is refused is refused once."""
    return frame[~frame.index.duplicated()]


def _moved(refusal: Refusal, offset: int) -> Refusal:
    if not offset or refusal.row is None:
        return refusal
    return replace(refusal, row=refusal.row + offset)
