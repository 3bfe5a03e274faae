"""Parts that were in there already when a printer was written down, and what a file tells of them.

Such a part stands in the records without a fitting day. Known history that is loaded later says
which part it was: that row takes its place, under the number it has. A part that came out before
the printer was written down stands before it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

import numpy as np
import pandas as pd

from tracker.language import N_, _, ngettext
from tracker.store.loading.match import Matching, differs, fills
from tracker.store.loading.positions import Positions
from tracker.store.packing import Row
from tracker.workshop import vocabulary as words
from tracker.workshop.records import Records
from tracker.workshop.refusal import written

_PLACE = ("printer", "part_kind", "position")
_RECORD = N_("part that was in there already")
Place = tuple[object, ...]
Told = tuple[int, Row]  # position in the file, packed row


@dataclass
class Placeholders:
    """Pairs the rows of a file with the parts that were in there already.

    ``known`` are the records before the load; ``began`` is the day on which the file says its own
    log began. ``notes`` say what was done.
    """

    known: Records
    began: date | None = None
    replaced: list[str] = field(default_factory=list)
    ended: list[str] = field(default_factory=list)

    def __call__(self, matching: Matching) -> None:
        """Pairs what it can; the rest is left to the key."""
        _leave_corrected_days(matching)
        self._take_places(matching)
        self._find_again(matching)

    @property
    def notes(self) -> list[str]:
        """What was done, a sentence each."""
        notes = list(self.ended)
        if self.replaced:
            many = len(self.replaced)
            more = _(" and {count} more", count=many - 5) if many > 5 else ""
            notes.insert(
                0,
                ngettext(
                    "Known history took the place of 1 part that was in there already ({parts}).",
                    "Known history took the place of {many} parts that were in there already "
                    "({parts}).",
                    many,
                    many=many,
                    parts=", ".join(self.replaced[:5]) + more,
                ),
            )
        return notes

    # -- a file with days, a record without

    def _take_places(self, matching: Matching) -> None:
        unknown = _by_place(matching, matching.free, matching.stored, dated=False)
        if not unknown:
            return
        told = _by_place(matching, matching.left, matching.rows, dated=True, only=unknown)
        undated = _by_place(matching, matching.left, matching.rows, dated=False, only=unknown)
        for place in [place for place in unknown if place in told or place in undated]:
            here = matching.file_rows(told.get(place, ()))
            same = matching.file_rows(undated.get(place, ())).values()
            for found, part in matching.records(unknown[place]).items():
                rows = sorted(
                    ((at, row) for at, row in here.items() if at in matching.left),
                    key=lambda one: (_day(one[1], "fitted_on"), _end(one[1])),
                )
                self._take_place(matching, found, part, rows, list(same))

    def _take_place(
        self,
        matching: Matching,
        found: int,
        part: Row,
        rows: Sequence[Told],
        undated: Sequence[Row],
    ) -> None:
        seen = self._seen_on(part)
        before = [row for row in undated if seen is not None and _end(row) <= seen]
        if len(before) < len(undated):
            return  # the file has that very part, without a day too
        chosen = _same_part(rows, part["removed_on"], seen)
        if chosen is not None:
            at, row = chosen
            values = fills(part, row) | {"age_guess_days": None}
            if part["age_guess_days"] is None:
                del values["age_guess_days"]
            matching.pair(at, found, values, differs(part, row), _RECORD)
            self.replaced.append(_named(part))
            return
        if before:
            matching.free.discard(found)  # came out before this one was seen: another part
        later = [one for one in rows if seen is not None and _day(one[1], "fitted_on") > seen]
        if part["removed_on"] is None and later:
            at, row = later[0]
            gone = {"removed_on": row["fitted_on"], "removal_reason": "unknown"}
            matching.along.append((at, int(matching.stored.index[found]), gone))
            matching.free.discard(found)
            day = written(pd.Timestamp(np.datetime64(_day(row, "fitted_on"), "D")))
            self.ended.append(
                _(
                    "{part}: the part that was in there already came out on {day}, when the "
                    "file's went in; why is not said.",
                    part=_named(part),
                    day=day,
                )
            )

    def _seen_on(self, part: Row) -> int | None:
        """The last day on which it is known that this part was in there; None for no such day."""
        days = [part["last_ok_on"]] if part["last_ok_on"] is not None else []
        if self.known.log_began_on is not None:
            began = pd.Timestamp(self.known.log_began_on)
            printers = self.known.printers
            came = printers["started_on"][printers["printer"].eq(part["printer"])].max()
            days.append(_number(max(began, came) if not pd.isna(came) else began))
        return max(int(day) for day in days) if days else None

    # -- a file without days, a record with them

    def _find_again(self, matching: Matching) -> None:
        """An older file may still have a part as in there already whose day is known by now."""
        told = _by_place(matching, matching.left, matching.rows, dated=False)
        if not told:
            return
        unknown = _by_place(matching, matching.free, matching.stored, dated=False, only=told)
        dated = _by_place(matching, matching.free, matching.stored, dated=True, only=told)
        began = self.began or self.known.log_began_on
        seen = None if began is None else _number(pd.Timestamp(began))
        for place in [place for place in told if place in dated and place not in unknown]:
            for at, row in matching.file_rows(told[place]).items():
                records = sorted(
                    (
                        one
                        for one in matching.records(dated[place]).items()
                        if one[0] in matching.free
                    ),
                    key=lambda one: (_day(one[1], "fitted_on"), _end(one[1])),
                )
                chosen = _same_part(records, row["removed_on"], seen)
                if seen is None and row["removed_on"] is None and len(records) == 1:
                    chosen = records[0]
                if chosen is not None:
                    said = row | {"age_guess_days": None}  # the day is known
                    found, record = chosen
                    filled, different = fills(record, said), differs(record, said)
                    matching.pair(at, found, filled, different, _("part in that place"))


def _leave_corrected_days(matching: Matching) -> None:
    """Sets aside rows that say that a part was in from one day to another of the same correction.

    A sheet of days of change lets each part end with the next. Where a fitting day was corrected
    here, the sheet's day and the corrected one look like two changes; they are one.
    """
    days: dict[tuple[Place, int], set[object]] = {}
    for key, versions in matching.versions.by_key.items():
        for row_id, _row in versions:
            days.setdefault((key[:-1], row_id), set()).add(key[-1])
    now = {row_id for _, row_id in days if row_id in matching.stored.index}
    chosen = [matching.stored.index.get_loc(row_id) for row_id in sorted(now)]
    for found, record in matching.records(chosen).items():
        own = (tuple(record[name] for name in _PLACE), int(matching.stored.index[found]))
        days.setdefault(own, set()).add(record["fitted_on"])
    corrected: dict[Place, list[set[object]]] = {}
    for (place, _found), once in days.items():
        if len(once) > 1:
            corrected.setdefault(place, []).append(once)
    if not corrected:
        return
    told = _by_place(matching, matching.left, matching.rows, dated=True, only=corrected)
    for place, positions in told.items():
        for at, row in matching.file_rows(positions).items():
            both = {row["fitted_on"], row["removed_on"]}
            untold = row["removal_reason"] in words.UNTOLD
            if untold and len(both) == 2 and any(both <= once for once in corrected[place]):
                matching.set_aside(at)


def _same_part(rows: Sequence[Told], end: object, seen: int | None) -> Told | None:
    """Which of those parts with days, the oldest first, is the one without?

    It came out on day ``end`` (None: it is in there) and was seen in there on day ``seen`` (None:
    nobody knows when). A part that came out on another day is given too where it was the one that
    was in there, for then the two contradict.
    """
    if not rows:
        return None
    if end is not None:
        out = int(str(end))
        same = [one for one in rows if one[1]["removed_on"] == end]
        still = [
            one
            for one in rows[-1:]
            if one[1]["removed_on"] is None and _day(one[1], "fitted_on") <= out
        ]
        over = [
            one
            for one in rows
            if _day(one[1], "fitted_on") < out < _end(one[1]) or _covers(one[1], seen)
        ]
        found = same or still or over
        return found[-1] if found else None
    if seen is None:
        return rows[-1] if rows[-1][1]["removed_on"] is None else None
    return next((one for one in reversed(rows) if _covers(one[1], seen)), None)


def _covers(row: Row, day: int | None) -> bool:
    return day is not None and _day(row, "fitted_on") <= day < _end(row)


def _day(row: Row, name: str) -> int:
    return int(str(row[name]))


def _end(row: Row) -> int:
    """The day it came out; far away for a part that is in there."""
    return 2**40 if row["removed_on"] is None else int(str(row["removed_on"]))


def _number(day: pd.Timestamp) -> int:
    return int(np.datetime64(day, "D").astype(np.int64))


def _named(part: Row) -> str:
    label = words.part_label(str(part["part_kind"]))
    place = "" if part["position"] == part["part_kind"] else f" {part['position']}"
    return _("{part} of {printer}", part=f"{label}{place}", printer=part["printer"])


def _by_place(
    matching: Matching,
    positions: Positions,
    frame: pd.DataFrame,
    *,
    dated: bool,
    only: Mapping[Place, object] | None = None,
) -> dict[Place, list[int]]:
    """Those positions whose fitting day is, or is not, known, by the place of the part."""
    chosen = positions.array()
    chosen = chosen[frame["fitted_on"].notna().to_numpy()[chosen] == dated]
    found: dict[Place, list[int]] = {}
    for at, place in zip(chosen.tolist(), _places(frame.iloc[chosen]), strict=True):
        if only is None or place in only:
            found.setdefault(place, []).append(at)
    return found


def _places(frame: pd.DataFrame) -> Iterator[Place]:
    return zip(*(frame[name].tolist() for name in _PLACE), strict=True)
