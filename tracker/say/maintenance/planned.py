"""Changes by plan in words: at what age, along with which other part, and what that saves."""

from __future__ import annotations

import math
from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from tracker.decisions.changed_along import ChangedAlong
from tracker.say import numbers, part_types
from tracker.workshop import vocabulary as words
from tracker.workshop.variants import PartType

WHAT_IS_COUNTED = (
    "A planned change costs the part, what goes along, the work and the cleans and refill "
    "after it; a failure costs standing hours, spoiled goods and what it does to other parts "
    "as well (a spare is on the shelf). “Per place” is one position of one printer."
)
NO_AGE = "a planned change saves less than 1 % at any age, or as likely as not nothing"


def planned_answer(ages: pd.DataFrame, currency: str, as_of: date) -> str:
    """For how many kinds a planned change pays, and for which most.

    ``ages``: ``by_group`` of ``planned_ages``.
    """
    day = numbers.day(as_of)
    worth = ages[np.isfinite(ages["age"])]
    if worth.empty:
        return f"{day}: run every part to failure; {NO_AGE}."
    best: Any = next(worth.loc[[worth["per_year"].idxmax()]].itertuples())
    name = part_types.inside(group_name(best))
    if not best.pays:
        return (
            f"{day}: changing parts by plan makes no difference worth counting; run them to "
            f"failure. Most would come of the {name} {_at(best)}: {per_year(best, currency)}."
        )
    count = worth["part_kind"].nunique()
    rest = "others run to failure" if count < ages["part_kind"].nunique() else "no kind is left"
    return (
        f"{day}: a planned change pays for {numbers.count(count, 'kind')} of part "
        f"({rest}), most for the {name}: {_at(best)} it saves {per_year(best, currency)}."
    )


def group_name(row: Any) -> str:
    """The parts that share a life: a kind and, where these wear apart, its ink or type.

    >>> from types import SimpleNamespace as Row
    >>> group_name(Row(part_kind="head", group="six-channel head"))
    'Printhead (six-channel head)'
    """
    return part_types.of_all(row.part_kind, [row.group])


def at_what_age(row: Any, currency: str) -> str:
    """One line of ``by_group``: the age and what it saves, or that failure is awaited."""
    if not math.isfinite(row.age):
        said = f"run it to failure; {NO_AGE}."
    elif row.pays:
        said = (
            f"a planned change {_at(row)} saves {numbers.chance(row.saving)}, "
            f"{per_year(row, currency)}."
        )
    else:
        said = (
            f"run it to failure; a planned change {_at(row)} would save {per_year(row, currency)}, "
            "and all such changes together less than an hour's wages a year."
        )
    return f"**{group_name(row)}**: {numbers.unbroken(said)}"


def _at(row: Any) -> str:
    """At what age, and where: a printer that is harder on its parts has an earlier one.

    >>> from types import SimpleNamespace as Row
    >>> _at(Row(age_low=70.0, age_high=85.0, earliest="Door", worthwhile_in=2, printers=4))
    'at 70 to 85 days (earliest in Door; in 2 of 4 printers)'
    """
    low, high = numbers.days(row.age_low), numbers.days(row.age_high)
    notes = [f"earliest in {row.earliest}"] if low != high else []
    if row.worthwhile_in < row.printers:
        notes.append(f"in {row.worthwhile_in} of {row.printers} printers")
    at = low if low == high else numbers.day_range(row.age_low, row.age_high)
    return f"at {at} ({'; '.join(notes)})" if notes else f"at {at}"


def run_to_failure(rows: pd.DataFrame) -> str:
    """Which parts no planned change pays for; ``rows`` of ``by_group``."""
    names = ", ".join(part_types.inside(group_name(row)) for row in rows.itertuples())
    return f"**Run to failure** ({numbers.unbroken(NO_AGE)}): {names}."


def costs_counted(row: Any, currency: str) -> str:
    """The two costs that are weighed; a row of ``by_group``."""
    planned, failing = (numbers.money(cost, currency) for cost in (row.planned, row.failing))
    return (
        f"Counted: {planned} for a planned change (part, work, cleans and refill), {failing} for "
        "a failure (standing hours, spoiled goods as well, with a spare on the shelf)."
    )


def per_year(row: Any, currency: str) -> str:
    """What a planned change saves in a year, with its range and chance (a row of ``by_group``)."""
    return (
        f"about {numbers.about_money(row.per_year, currency)} per place and year (80 % range "
        f"{_spread(row.per_year_p10, row.per_year_p90, currency)}; "
        f"{numbers.chance(row.chance_it_pays)} chance that it pays)"
    )


def _spread(low: float, high: float, currency: str) -> str:
    """A range of savings; below 0 is lost."""
    if low < 0 < high:
        lost, saved = (numbers.about_money(end, currency) for end in (-low, high))
        return f"{lost} lost to {saved} saved"
    first, last = (numbers.about_money(end, currency) for end in sorted((abs(low), abs(high))))
    return f"{first} to {last} {'saved' if high > 0 else 'lost'}"


def answer_along(pair: ChangedAlong, currency: str) -> str:
    """Whether changing along pays, in one sentence with its range and chance."""
    part = words.part_label(pair.part_kind).lower()
    other = part_types.along_with(PartType(pair.with_kind, pair.with_variant), "had")
    alone = pair.pieces == 1
    new = f"a new {part}" if alone else f"{numbers.figure(pair.pieces)} new {part}s"
    old = "the old one" if alone else "the old ones"
    return (
        f"If a {other} to be changed today, putting in {new} with it "
        f"({numbers.money(pair.pieces * pair.piece_cost, currency)}) "
        f"{'saves' if pair.pays else 'loses'} about "
        f"{numbers.about_money(abs(pair.saving), currency)} against leaving {old} in (80 % range "
        f"{_spread(pair.saving_p10, pair.saving_p90, currency)}; "
        f"{numbers.chance(pair.chance_it_pays)} chance that it pays)."
    )


def ages_along(pair: ChangedAlong) -> str:
    """From which age of the parts that go along it pays, and how old they are now."""
    said = []
    for group, age in pair.median_age.items():
        name = part_types.of_all(pair.part_kind, [group], plural=True)
        pays = pair.from_age[group]
        when = f"pay from {numbers.days(pays)} on" if math.isfinite(pays) else "never pay"
        said.append(f"{name} {when}; those in use now are {numbers.days(age)} old (median)")
    return ". ".join(said) + "."


def harm_along(pair: ChangedAlong) -> str:
    """What old parts would have to do to the new one so that changing pays; "" where it does."""
    if not pair.enough_harm > 0:
        return ""
    part = words.part_label(pair.part_kind).lower()
    other = part_types.within(PartType(pair.with_kind, pair.with_variant))
    return (
        f"Not counted: what old {part}s may do to the new {other}. If they raise the chance of "
        f"losing it by {numbers.figure(100 * pair.enough_harm)} % or more, changing them along "
        "pays after all. Common practice is always to change them (no source); ask the "
        "supplier first while the part is under warranty."
    )
