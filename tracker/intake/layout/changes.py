"""Days on which parts were put in, brought to parts that sat somewhere from day to day.

A sheet that only tells when a part was changed says of each part when it went in; the next change
in the same place ends its time. What such a row says of a failure or a claim is said of the part
that came out, and so is its note, unless nothing came out there. A part listed as in there already,
without a day, is the one that the first change of its place takes out.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from tracker.intake.headers.sheet_tables import SERIAL_OUT
from tracker.language import ngettext
from tracker.workshop.columns.frames import shape_frame
from tracker.workshop.contract import FITTINGS
from tracker.workshop.vocabulary import part_name

OF_THE_OLD_PART = (
    *("removal_reason", "failure_mode", "last_ok_on", "removed_counter_m2"),
    *("claim", "claim_amount"),
)
_FEW = 3  # places named
PLACE = ["printer", "part_kind", "position"]
_CHANNEL = re.compile(r"[cmyk]|w\d?|lc|lm|h\d", re.IGNORECASE)


def split_places(text: str) -> list[str]:
    """The positions in a cell that names several; the text alone where it names one.

    >>> split_places("W1 + W2"), split_places("C,M,Y,K"), split_places("left side")
    (['W1', 'W2'], ['C', 'M', 'Y', 'K'], ['left side'])
    """
    parts = [part for part in re.split(r"[\s,;+/&]+", text.strip()) if part]
    several = len(parts) > 1 and all(_CHANNEL.fullmatch(part) for part in parts)
    return [part.upper() for part in parts] if several else [text.strip()]


def with_each_place(
    frame: pd.DataFrame, places_of: Callable[[str, str, str], Sequence[str]]
) -> pd.DataFrame:
    """One row per position; ``places_of(printer, part_kind, text)`` says which a row means."""
    if frame.empty:
        return frame
    of_row: list[Sequence[str]] = []
    seen: dict[tuple[str, str, str], Sequence[str]] = {}
    for key in zip(frame["printer"], frame["part_kind"], frame["position"], strict=True):
        if key not in seen:
            seen[key] = list(places_of(*key)) or [key[2]]
        of_row.append(seen[key])
    counts = [len(places) for places in of_row]
    spread = frame.loc[frame.index.repeat(counts)] if max(counts) > 1 else frame
    if max(counts) > 1:
        rows = [at for at, count in enumerate(counts) for _ in range(count)]
        spread = frame.iloc[rows]
    return spread.assign(position=[place for places in of_row for place in places])


@dataclass(frozen=True)
class Chained:
    """``rows`` are the parts from day to day, ``completes`` known ones that came out by then.

    The index of either is that of the row that says so. ``doubled`` counts days told twice,
    ``first`` are the rows before which nothing is known of their place.
    """

    rows: pd.DataFrame
    completes: pd.DataFrame
    doubled: int
    first: pd.DataFrame


def in_there_already(rows: pd.DataFrame) -> pd.Series:
    """True for rows of a sheet that list a part as in there when it begins: no day, nothing of an
    end, and nothing of its place above it (below a change, a day was forgotten).
    """
    said = [name for name in (*OF_THE_OLD_PART, "removed_on", SERIAL_OUT.name) if name in rows]
    ends = rows[said]
    untold = (ends.isna() | ends.eq("")).all(axis=1)
    return rows["fitted_on"].isna() & untold & ~rows.duplicated(PLACE)


def chained(changes: pd.DataFrame, others: pd.DataFrame, already: pd.DataFrame) -> Chained:
    """When did each part come out? ``others`` are fittings known with their own days, ``already``
    those that the files list as in there already; they are among the rows that come back.

    >>> rows = shape_frame(FITTINGS, pd.DataFrame({"printer": "Left", "part_kind": "wiper",
    ...     "position": "wiper", "fitted_on": ["2026-03-02", "2026-01-05"]}, index=[3, 2]))
    >>> [str(day)[:10] for day in chained(rows, rows[:0], rows[:0]).rows["removed_on"]]
    ['2026-03-02', 'NaT']
    """
    ordered = changes.sort_values([*PLACE, "fitted_on"], kind="stable")
    once = _told_once(ordered)
    doubled = len(ordered) - len(once)
    known = dict(list(others.groupby(PLACE, sort=False)))
    listed = dict(list(already.drop_duplicates().groupby(PLACE, sort=False)))
    rows: list[pd.Series] = []
    completes: list[pd.Series] = []
    first: list[pd.Series] = []
    for place, group in once.groupby(PLACE, sort=False):
        told = known.get(place)
        there = [row for _, row in listed.pop(place, already[:0]).iterrows()]
        _chain(group, told, there, rows, completes, first)
        rows += there
    rows += [row for group in listed.values() for _, row in group.iterrows()]
    frames = [_frame(found, changes) for found in (rows, completes, first)]
    return Chained(frames[0], frames[1], doubled, frames[2])


def first_in_words(first: pd.DataFrame, printers: pd.DataFrame) -> str:
    """That nothing was kept of what came out where ``first`` parts went in; "" where none did.

    What went in on its printer's first day, or is the first thing told of a new one, is a part that
    the printer came with.
    """
    began = printers.set_index("printer")["started_on"]
    own = first.groupby("printer")["fitted_on"].transform("min")
    later = first[first["fitted_on"] > first["printer"].map(began).fillna(own)]
    if later.empty:
        return ""
    named = [
        f"{printer}: {part_name(kind, position)}"
        for printer, kind, position in later[PLACE].itertuples(index=False, name=None)
    ]
    return ngettext(
        "{count} part is the first one told of its place ({places}), and no reason says that "
        "another came out: none is kept. Where one did, write a reason in that row, “unknown” at "
        "least, and it is kept as in there before the log began.",
        "{count} parts are the first ones told of their places ({places}), and no reason says that "
        "others came out: none are kept. Where one did, write a reason in that row, “unknown” at "
        "least, and it is kept as in there before the log began.",
        len(named),
        count=len(named),
        places=", ".join(named[:_FEW]) + (", …" if len(named) > _FEW else ""),
    )


def _told_once(ordered: pd.DataFrame) -> pd.DataFrame:
    """One row for each change; what a second telling adds is added to the first."""
    keys = [*PLACE, "fitted_on"]
    again = ordered.duplicated(keys).to_numpy()
    first = ordered[~again].copy()
    at_key = {key: at for at, key in enumerate(_keyed(first, keys))}
    for key, row in zip(_keyed(ordered[again], keys), ordered[again].itertuples(), strict=True):
        for number, name in enumerate(ordered.columns):
            here, value = first.iat[at_key[key], number], getattr(row, name)
            if _is_empty(here) and not pd.isna(value):
                first.iat[at_key[key], number] = value
    return first


def _keyed(frame: pd.DataFrame, keys: Sequence[str]) -> list[tuple[object, ...]]:
    return list(frame[list(keys)].itertuples(index=False, name=None))


def _chain(
    group: pd.DataFrame,
    told: pd.DataFrame | None,
    already: list[pd.Series],
    rows: list[pd.Series],
    completes: list[pd.Series],
    first: list[pd.Series],
) -> None:
    """The parts of one place, one after the other; what is known already is not contradicted.

    The one of ``already`` that the first change takes out leaves that list.
    """
    own = [row for _, row in group.iterrows()]
    days = [row["fitted_on"] for row in own]
    others = [] if told is None else [row for _, row in told.iterrows()]
    other_days = sorted(row["fitted_on"] for row in others if not pd.isna(row["fitted_on"]))
    made: list[pd.Series] = []
    for at, row in enumerate(own):
        old = {name: row[name] for name in OF_THE_OLD_PART}
        new = row.copy()
        for name in OF_THE_OLD_PART:
            new[name] = _empty(row[name])
        if at and not any(days[at - 1] < day < days[at] for day in other_days):
            _end(made[-1], row["fitted_on"], old, new)
        else:
            before = [
                other for other in others
                if not pd.isna(other["fitted_on"]) and other["fitted_on"] < row["fitted_on"]
            ]  # fmt: skip
            last = max(before, key=lambda other: other["fitted_on"], default=None)
            if last is not None and pd.isna(last["removed_on"]):
                ended = last.copy()
                _end(ended, row["fitted_on"], old, new if not ended["note"] else None)
                ended.name = row.name
                completes.append(ended)
            elif last is None and not at and already:
                ended = already.pop(0)
                _end(ended, row["fitted_on"], old, new)
                made.append(ended)
            elif last is None and not at and _tells_of_another(row, old):
                ended = row.copy()
                for name in FITTINGS.names:
                    if name not in PLACE:
                        ended[name] = _empty(row[name])
                _end(ended, row["fitted_on"], old, new)
                made.append(ended)
            elif last is None and not at and row["fitted_on"] not in other_days:
                first.append(row)
        made.append(new)
        later = [day for day in other_days if day > row["fitted_on"]]
        if later and (at + 1 == len(own) or later[0] < days[at + 1]):
            _end(new, later[0], {}, None)
    by_day = {other["fitted_on"]: other for other in others if not pd.isna(other["fitted_on"])}
    for row in made:
        there = by_day.get(row["fitted_on"])
        # What was written down of that part stays as it is. Where the sheet has a change before its
        # end, they disagree: whether that day was corrected since, only the records' history knows.
        if there is not None and not (
            row["removed_on"] in days and row["removed_on"] < there["removed_on"]
        ):
            for name in ("removed_on", *OF_THE_OLD_PART):
                if not _is_empty(there[name]):
                    row[name] = there[name]
    rows += made


def _tells_of_another(row: pd.Series, old: Mapping[str, object]) -> bool:
    """True where the row of a change says anything of a part that came out."""
    return not all(map(_is_empty, (*old.values(), row.get(SERIAL_OUT.name, ""))))


def _end(row: pd.Series, day: pd.Timestamp, said: dict[str, object], by: pd.Series | None) -> None:
    """The part came out on that day; the note of the row ``by`` which it gave way goes with it."""
    row["removed_on"] = day
    for name, value in said.items():
        row[name] = value
    row["removal_reason"] = row["removal_reason"] or "unknown"
    if by is not None:
        row["note"] = "; ".join(filter(None, (row["note"], by["note"])))
        by["note"] = ""


def _is_empty(value: object) -> bool:
    return value == "" or bool(pd.isna(value))


def _empty(value: object) -> object:
    if isinstance(value, str):
        return ""
    return pd.NaT if isinstance(value, pd.Timestamp) or value is pd.NaT else float("nan")


def _frame(rows: list[pd.Series], like: pd.DataFrame) -> pd.DataFrame:
    if not rows:
        return like.iloc[:0]
    return shape_frame(FITTINGS, pd.DataFrame(rows))
