"""Does it pay to change a part by plan, before it fails, or along with another part?"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import pandas as pd
import streamlit as st

from pages import frame
from tracker.decisions.planned_change import ChangedAlong, changes_along, planned_ages
from tracker.say import numbers
from tracker.workshop import vocabulary as words


def show(place: frame.Workshop, kind: str) -> None:
    """One sentence per group of the kind, then whether it pays to change it along."""
    rows = frame.ask(planned_ages, kind)
    along = _along(place, kind)
    if rows.empty and not along:
        return
    st.subheader("Change it by plan, or run it to failure?", anchor=False)
    by_age(place, rows)
    if len(rows):
        first = rows.iloc[0]
        st.caption(
            f"Counted: {place.money(first['planned'])} for a planned change (part, work, cleans "
            f"and refill), {place.money(first['failing'])} for a failure (standing hours, spoiled "
            "goods as well, with a spare on the shelf)."
        )
    for pair in along:
        changed_along(place, pair)


def _along(place: frame.Workshop, kind: str) -> list[ChangedAlong]:
    """What is said of changing this kind along with another, or another along with it."""
    triggers = {name: place.records.part_facts(name).replaced_with
               for name in place.records.part_kinds()}  # fmt: skip
    if not triggers.get(kind) and kind not in triggers.values():
        return []
    return list(frame.ask(changes_along, kind))


def by_age(place: frame.Workshop, rows: pd.DataFrame) -> None:
    """One line per kind and group."""
    for row in rows.itertuples():
        label = words.part_label(str(row.part_kind))
        name = f"{label} ({row.group})" if row.group else label
        if math.isinf(row.age):  # type: ignore[arg-type]
            said = "run it to failure; a planned change saves less than 1 % at any age."
        else:
            said = (
                f"a planned change at {numbers.days(row.age)} saves {numbers.chance(row.saving)}, "  # type: ignore[arg-type]
                f"{per_year(place, row._asdict())}."  # type: ignore[operator]
            )
        st.markdown(f"- **{name}**: {numbers.unbroken(said)}")


def per_year(place: frame.Workshop, row: Mapping[Any, Any]) -> str:
    """What a planned change saves in a year, with its range and chance (a row of planned ages)."""
    return (
        f"about {place.money(row['per_year'])} per place and year (80 % range "
        f"{_spread(place, row['per_year_p10'], row['per_year_p90'])}; "
        f"{numbers.chance(row['chance_it_pays'])} chance that it pays)"
    )


def _spread(place: frame.Workshop, low: float, high: float) -> str:
    """A range of savings; below 0 is lost."""
    if low < 0 < high:
        return f"{place.money(-low)} lost to {place.money(high)} saved"
    ends = sorted((abs(low), abs(high)))
    return f"{place.money(ends[0])} to {place.money(ends[1])} {'saved' if high > 0 else 'lost'}"


def changed_along(place: frame.Workshop, pair: ChangedAlong) -> None:
    """New dampers with a new head: the money, the ages it hangs on, and what is not counted."""
    st.markdown(f"**{numbers.unbroken(answer_along(place, pair))}**")
    st.caption(_ages_along(pair))
    part = words.part_label(pair.part_kind).lower()
    other = words.part_label(pair.with_kind).lower()
    if pair.enough_harm > 0:
        st.caption(
            f"Not counted: what old {part}s may do to the new {other}. If they raise the chance of "
            f"losing it by {numbers.figure(100 * pair.enough_harm)} % or more, changing them along "
            "pays after all. Common practice is always to change them (no source); ask the "
            "supplier first while the part is under warranty."
        )


def answer_along(place: frame.Workshop, pair: ChangedAlong) -> str:
    """Whether changing along pays, in one sentence with its range and chance."""
    part = words.part_label(pair.part_kind).lower()
    other = words.part_label(pair.with_kind).lower()
    spread = _spread(place, pair.saving_p10, pair.saving_p90)
    verb = "saves" if pair.pays else "loses"
    alone = pair.pieces == 1
    new = f"a new {part}" if alone else f"{numbers.figure(pair.pieces)} new {part}s"
    old = "the old one" if alone else "the old ones"
    return (
        f"If a {other} had to be changed today, putting in {new} with it "
        f"({place.money(pair.pieces * pair.piece_cost)}) {verb} about "
        f"{place.money(abs(pair.saving))} against leaving {old} in (80 % range {spread}; "
        f"{numbers.chance(pair.chance_it_pays)} chance that it pays)."
    )


def _ages_along(pair: ChangedAlong) -> str:
    part = words.part_label(pair.part_kind)
    said = []
    for group, age in pair.median_age.items():
        name = f"{part}s ({group})" if group else f"{part}s"
        pays = pair.from_age[group]
        when = f"pay from {numbers.days(pays)} on" if math.isfinite(pays) else "never pay"
        said.append(f"{name} {when}; those in use now are {numbers.days(age)} old (median)")
    return ". ".join(said) + "."
