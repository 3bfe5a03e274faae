"""Serial numbers that rows of part changes tell of the part that came out, brought to that part."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import pandas as pd

from tracker.intake.headers.sheet_tables import OF_OTHERS, SERIAL_OUT
from tracker.intake.layout.changes import PLACE
from tracker.language import N_, _
from tracker.workshop.columns.frames import shape_frame
from tracker.workshop.contract import FITTINGS
from tracker.workshop.refusal import written
from tracker.workshop.vocabulary import part_name

_End = tuple[object, ...]  # printer, part kind, position and the day a part came out


@dataclass
class SerialsOut:
    """The parts of a load and, beside them, those ``known`` that ended on a day it tells of.

    ``frames`` are those of the load; their serial numbers are filled in, ``more`` are known parts
    that got one, ``notices`` tell of numbers that no part could take.
    """

    frames: list[pd.DataFrame]
    known: pd.DataFrame
    more: list[pd.Series] = field(default_factory=list)
    notices: list[str] = field(default_factory=list)

    def give(self, told: Sequence[pd.DataFrame]) -> None:
        """Gives the part that came out its number, where ``told`` rows say one and it has none."""
        telling = [frame for frame in told if SERIAL_OUT.name in frame]
        if not telling:
            return
        rows = pd.concat(telling)
        rows = rows[rows[SERIAL_OUT.name].ne("")]
        self.frames = [frame.copy() for frame in self.frames]
        ends = dict(_ends(self.known, -1))
        for at, frame in enumerate(self.frames):
            ends |= _ends(frame, at)
        several = rows.index.duplicated(keep=False)
        for (_label, row), is_set in zip(rows.iterrows(), several, strict=True):
            self._give(row, None if is_set else _found(row, ends))

    @property
    def completes(self) -> list[pd.DataFrame]:
        """The known parts that got a number, as rows that complete them."""
        return [shape_frame(FITTINGS, pd.DataFrame(self.more))] if self.more else []

    def _give(self, row: pd.Series, found: tuple[int, int] | None) -> None:
        number = str(row[SERIAL_OUT.name])
        if found is None:
            unkept = N_(
                "{printer}, {part}, {day}: the serial number {serial} is told of the part that "
                "came out, and no single part is known that came out then; it is not kept."
            )
            self.notices.append(_(unkept, **_told(row)))
            return
        at, place = found
        frame = self.known if at < 0 else self.frames[at]
        column = frame.columns.get_loc("serial")
        has = str(frame.iat[place, column])
        if has and has.casefold() != number.casefold():
            differs = N_(
                "{printer}, {part}, {day}: the serial number {serial} is told of the part that "
                "came out, and the one that came out then bears {has}, which is kept. Correct the "
                "one that is wrong."
            )
            self.notices.append(_(differs, **_told(row), has=has))
        elif not has and at < 0:
            part = frame.iloc[place].rename(row.name)
            part["serial"] = number
            self.more.append(part)
        elif not has:
            frame.iat[place, column] = number


def _told(row: pd.Series) -> dict[str, str]:
    """Where a number is told, and which."""
    days = row[["fitted_on", "removed_on"]].dropna()
    return {
        "printer": str(row["printer"]),
        "part": part_name(str(row["part_kind"]), str(row["position"])),
        "day": written(days.iloc[0]) if len(days) else _("without a day"),
        "serial": str(row[SERIAL_OUT.name]),
    }


def _ends(frame: pd.DataFrame, number: int) -> Iterator[tuple[_End, tuple[int, int]]]:
    """Place and last day of each part that came out → where it stands."""
    keys = frame[[*PLACE, "removed_on"]].itertuples(index=False, name=None)
    return ((key, (number, at)) for at, key in enumerate(keys) if not pd.isna(key[-1]))


def _found(row: pd.Series, ends: dict[_End, tuple[int, int]]) -> tuple[int, int] | None:
    """The part that came out: the one before, where the row has a number of its own; else its own,
    where it tells when that came out."""
    days: Sequence[str] = ("fitted_on", "removed_on")
    days = days if row["serial"] else days[::-1]
    keys = (tuple(row[[*PLACE, day]]) for day in days)
    return next((ends[key] for key in keys if key in ends), None)


def only_parts(frames: Sequence[pd.DataFrame]) -> list[pd.DataFrame]:
    """The frames without what their rows told of other records."""
    return [
        frame.drop(columns=others) if (others := [n for n in OF_OTHERS if n in frame]) else frame
        for frame in frames
    ]
