"""Changes by plan in words: at what age, along with which other part, and what that saves."""

from __future__ import annotations

import math
from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from tracker.decisions.changed_along import ChangedAlong
from tracker.language import N_, _, unmarked
from tracker.say import numbers, part_types
from tracker.workshop import vocabulary as words
from tracker.workshop.variants import PartType

WHAT_IS_COUNTED = N_(
    "A planned change costs the part, what goes along, the work and the cleans and "
    "refill after it; a failure costs standing hours, spoiled goods and what it does to "
    "other parts as well (a spare is on the shelf). “Per place” is one position of one "
    "printer."
)
NO_AGE = N_("a planned change saves less than 1 % at any age, or as likely as not nothing")


def planned_answer(ages: pd.DataFrame, currency: str, as_of: date) -> str:
    """For how many kinds a planned change pays, and for which most.

    ``ages``: ``by_group`` of ``planned_ages``.
    """
    day = numbers.day(as_of)
    worth = ages[np.isfinite(ages["age"])]
    if worth.empty:
        return _("{day}: run every part to failure; {no_age}.", day=day, no_age=_(NO_AGE))
    best: Any = next(worth.loc[[worth["per_year"].idxmax()]].itertuples())
    name = part_types.inside(group_name(best))
    if not best.pays:
        return _(
            "{day}: changing parts by plan makes no difference worth counting; run them "
            "to failure. Most would come of the {name} {at}: {per_year}.",
            day=day,
            name=name,
            at=_at(best),
            per_year=per_year(best, currency),
        )
    paying = worth["part_kind"].nunique()
    rest = (
        _("others run to failure") if paying < ages["part_kind"].nunique() else _("no kind is left")
    )
    kinds = numbers.count(paying, "kind", "kinds")
    return _(
        "{day}: a planned change pays for {count} of part ({rest}), most for the {name}: "
        "{at} it saves {per_year}.",
        day=day,
        count=kinds,
        rest=rest,
        name=name,
        at=_at(best),
        per_year=per_year(best, currency),
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
        said = _("run it to failure; {no_age}.", no_age=_(NO_AGE))
    elif row.pays:
        said = _(
            "a planned change {at} saves {saving}, {per_year}.",
            at=_at(row),
            saving=numbers.chance(row.saving),
            per_year=per_year(row, currency),
        )
    else:
        said = _(
            "run it to failure; a planned change {at} would save {per_year}, and all such "
            "changes together less than an hour's wages a year.",
            at=_at(row),
            per_year=per_year(row, currency),
        )
    return f"**{unmarked(group_name(row))}**: {numbers.unbroken(said)}"


def _at(row: Any) -> str:
    """At what age, and where: a printer that is harder on its parts has an earlier one.

    >>> from types import SimpleNamespace as Row
    >>> _at(Row(age_low=70.0, age_high=85.0, earliest="Door", worthwhile_in=2, printers=4))
    'at 70 to 85 days (earliest in Door; in 2 of 4 printers)'
    """
    low, high = numbers.days(row.age_low), numbers.days(row.age_high)
    notes = [_("earliest in {earliest}", earliest=row.earliest)] if low != high else []
    if row.worthwhile_in < row.printers:
        notes.append(
            _(
                "in {worthwhile_in} of {printers} printers",
                worthwhile_in=row.worthwhile_in,
                printers=row.printers,
            )
        )
    at = low if low == high else numbers.day_range(row.age_low, row.age_high)
    return _("at {at} ({notes})", at=at, notes="; ".join(notes)) if notes else _("at {at}", at=at)


def run_to_failure(rows: pd.DataFrame) -> str:
    """Which parts no planned change pays for; ``rows`` of ``by_group``."""
    names = ", ".join(part_types.inside(group_name(row)) for row in rows.itertuples())
    return _(
        "**Run to failure** ({no_age}): {names}.", no_age=numbers.unbroken(_(NO_AGE)), names=names
    )


def costs_counted(row: Any, currency: str) -> str:
    """The two costs that are weighed; a row of ``by_group``."""
    planned, failing = (numbers.money(cost, currency) for cost in (row.planned, row.failing))
    return _(
        "Counted: {planned} for a planned change (part, work, cleans and refill), "
        "{failing} for a failure (standing hours, spoiled goods as well, with a spare on "
        "the shelf).",
        planned=planned,
        failing=failing,
    )


def per_year(row: Any, currency: str) -> str:
    """What a planned change saves in a year, with its range and chance (a row of ``by_group``)."""
    return _(
        "about {per_year} per place and year ({spread} in 8 of 10 cases; "
        "{chance_it_pays} chance that it pays)",
        per_year=numbers.about_money(row.per_year, currency),
        spread=_spread(row.per_year_p10, row.per_year_p90, currency),
        chance_it_pays=numbers.chance(row.chance_it_pays),
    )


def _spread(low: float, high: float, currency: str) -> str:
    """A range of savings; below 0 is lost."""
    if low < 0 < high:
        lost, saved = (numbers.about_money(end, currency) for end in (-low, high))
        return _("{lost} lost to {saved} saved", lost=lost, saved=saved)
    first, last = (numbers.about_money(end, currency) for end in sorted((abs(low), abs(high))))
    text = N_("{first} to {last} saved") if high > 0 else N_("{first} to {last} lost")
    return _(text, first=first, last=last)


def answer_along(pair: ChangedAlong, currency: str) -> str:
    """Whether changing along pays, in one sentence with its range and chance."""
    part = words.part_label(pair.part_kind).lower()
    other = part_types.along_with(
        PartType(pair.with_kind, pair.with_variant), _("had to be changed today")
    )
    alone = pair.pieces == 1
    new = (
        _("a new {part}", part=part)
        if alone
        else _("{pieces} new {part}s", pieces=numbers.figure(pair.pieces), part=part)
    )
    old = _("the old one") if alone else _("the old ones")
    text = (
        N_(
            "If a {other}, putting in {new} with it ({price}) saves about {saving} against leaving "
            "{old} in ({spread} in 8 of 10 cases; {chance_it_pays} chance that it pays)."
        )
        if pair.pays
        else N_(
            "If a {other}, putting in {new} with it ({price}) loses about {saving} against leaving "
            "{old} in ({spread} in 8 of 10 cases; {chance_it_pays} chance that it pays)."
        )
    )
    return _(
        text,
        other=other,
        new=new,
        price=numbers.money(pair.pieces * pair.piece_cost, currency),
        saving=numbers.about_money(abs(pair.saving), currency),
        old=old,
        spread=_spread(pair.saving_p10, pair.saving_p90, currency),
        chance_it_pays=numbers.chance(pair.chance_it_pays),
    )


def ages_along(pair: ChangedAlong) -> str:
    """From which age of the parts that go along it pays, and how old they are now."""
    said = []
    for group, age in pair.median_age.items():
        name = part_types.of_all(pair.part_kind, [group], plural=True)
        pays = pair.from_age[group]
        when = (
            _("pay from {pays} on", pays=numbers.days(pays))
            if math.isfinite(pays)
            else _("never pay")
        )
        said.append(
            _(
                "{name} {when}; those in use now are {age} old (median)",
                name=name,
                when=when,
                age=numbers.days(age),
            )
        )
    return ". ".join(said) + "."


def harm_along(pair: ChangedAlong) -> str:
    """What old parts would have to do to the new one so that changing pays; "" where it does."""
    if not pair.enough_harm > 0:
        return ""
    part = words.part_label(pair.part_kind).lower()
    other = part_types.within(PartType(pair.with_kind, pair.with_variant))
    return _(
        "Not counted: what old {part}s may do to the new {other}. If they raise the "
        "chance of losing it by {share} or more, changing them along pays after all. "
        "Common practice is always to change them (no source); ask the supplier first "
        "while the part is under warranty.",
        part=part,
        other=other,
        share=f"{numbers.figure(100 * pair.enough_harm)} %",
    )
