"""Days on which parts were put in, brought to parts that sat somewhere from day to day.

A sheet that only tells when a part was changed says of each part when it went in; the next change
in the same place ends its time. What such a row says of a failure is said of the part that came
out.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import pandas as pd

from tracker.workshop.columns.frames import shape_frame
from tracker.workshop.contract import FITTINGS

OF_THE_OLD_PART = ("removal_reason", "failure_mode", "last_ok_on", "removed_counter_m2")
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

    The index of either is that of the row that says so. ``doubled`` counts days told twice.
    """

    rows: pd.DataFrame
    completes: pd.DataFrame
    doubled: int = 0


def chained(changes: pd.DataFrame, others: pd.DataFrame) -> Chained:
    """When did each part come out? ``others`` are fittings known with their own days.

    >>> rows = shape_frame(FITTINGS, pd.DataFrame({"printer": "Left", "part_kind": "wiper",
    ...     "position": "wiper", "fitted_on": ["2026-03-02", "2026-01-05"]}, index=[3, 2]))
    >>> [str(day)[:10] for day in chained(rows, rows.iloc[:0]).rows["removed_on"]]
    ['2026-03-02', 'NaT']
    """
    ordered = changes.sort_values([*PLACE, "fitted_on"], kind="stable")
    once = _told_once(ordered)
    doubled = len(ordered) - len(once)
    known = dict(list(others.groupby(PLACE, sort=False)))
    rows: list[pd.Series] = []
    completes: list[pd.Series] = []
    for place, group in once.groupby(PLACE, sort=False):
        told = known.get(place)
        _chain(group, told, rows, completes)
    return Chained(_frame(rows, changes), _frame(completes, changes), doubled)


def _told_once(ordered: pd.DataFrame) -> pd.DataFrame:
    """One row for each change; what a second telling adds is added to the first."""
    keys = [*PLACE, "fitted_on"]
    again = ordered.duplicated(keys).to_numpy()
    first = ordered[~again].copy()
    at_key = {key: at for at, key in enumerate(_keyed(first, keys))}
    for key, row in zip(_keyed(ordered[again], keys), ordered[again].itertuples(), strict=True):
        for number, name in enumerate(ordered.columns):
            here, value = first.iat[at_key[key], number], getattr(row, name)
            if (pd.isna(here) or here == "") and not pd.isna(value):
                first.iat[at_key[key], number] = value
    return first


def _keyed(frame: pd.DataFrame, keys: Sequence[str]) -> list[tuple[object, ...]]:
    return list(frame[list(keys)].itertuples(index=False, name=None))


def _chain(
    group: pd.DataFrame,
    told: pd.DataFrame | None,
    rows: list[pd.Series],
    completes: list[pd.Series],
) -> None:
    """The parts of one place, one after the other; what is known already is not contradicted."""
    own = [row for _, row in group.iterrows()]
    days = [row["fitted_on"] for row in own]
    others = [] if told is None else [row for _, row in told.iterrows()]
    other_days = sorted(row["fitted_on"] for row in others if not pd.isna(row["fitted_on"]))
    made: list[pd.Series] = []
    for at, row in enumerate(own):
        old = {name: row[name] for name in OF_THE_OLD_PART}
        new = row.copy()
        new["removal_reason"], new["failure_mode"] = "", ""
        new["last_ok_on"], new["removed_counter_m2"] = pd.NaT, float("nan")
        if at and not any(days[at - 1] < day < days[at] for day in other_days):
            _end(made[-1], row["fitted_on"], old)
        else:
            before = [
                other for other in others
                if not pd.isna(other["fitted_on"]) and other["fitted_on"] < row["fitted_on"]
            ]  # fmt: skip
            last = max(before, key=lambda other: other["fitted_on"], default=None)
            if last is not None and pd.isna(last["removed_on"]):
                ended = last.copy()
                _end(ended, row["fitted_on"], old)
                ended.name = row.name
                completes.append(ended)
            elif last is None and old["removal_reason"] and not at:
                ended = row.copy()
                for name in FITTINGS.names:
                    if name not in PLACE and name not in OF_THE_OLD_PART:
                        ended[name] = _empty(row[name])
                ended["fitted_on"] = pd.NaT
                _end(ended, row["fitted_on"], old)
                made.append(ended)
        made.append(new)
        later = [day for day in other_days if day > row["fitted_on"]]
        if later and (at + 1 == len(own) or later[0] < days[at + 1]):
            _end(new, later[0], {})
    by_day = {other["fitted_on"]: other for other in others if not pd.isna(other["fitted_on"])}
    for row in made:
        there = by_day.get(row["fitted_on"])
        # What was written down of that part stays as it is. Where the sheet has a change before its
        # end, they disagree: whether that day was corrected since, only the records' history knows.
        if there is not None and not (
            row["removed_on"] in days and row["removed_on"] < there["removed_on"]
        ):
            for name in ("removed_on", *OF_THE_OLD_PART):
                if not (pd.isna(there[name]) or there[name] == ""):
                    row[name] = there[name]
    rows += made


def _end(row: pd.Series, day: pd.Timestamp, said: dict[str, object]) -> None:
    row["removed_on"] = day
    row["removal_reason"] = said.get("removal_reason") or "unknown"
    for name in OF_THE_OLD_PART[1:]:
        if name in said:
            row[name] = said[name]


def _empty(value: object) -> object:
    if isinstance(value, str):
        return ""
    return pd.NaT if isinstance(value, pd.Timestamp) or value is pd.NaT else float("nan")


def _frame(rows: list[pd.Series], like: pd.DataFrame) -> pd.DataFrame:
    if not rows:
        return like.iloc[:0]
    return shape_frame(FITTINGS, pd.DataFrame(rows))
