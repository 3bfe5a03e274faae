"""The stock table in words: why so many of a kind, and what one shelf for all sites saves."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

import pandas as pd

from tracker.decisions.ordering.shelf import OnHand
from tracker.say import numbers, part_types
from tracker.say.phrases import first_up
from tracker.say.spares.preorder import WORTH_SAYING
from tracker.workshop.variants import PartType


def reason(row: Any) -> str:
    """Why so many are to be ordered, or none; ``row`` of ``stock_table``, fields as attributes."""
    have = f"{row.on_hand} on the shelf"
    if row.counted_on is None:
        have += " (not counted yet)" if row.on_hand else ", not counted yet"
    if row.arriving:
        have += f" and {row.arriving} on the way"
    if row.expired:
        have += f" ({row.expired} more past their best-before day)"
    accepted, now = 1 - row.service, missing_now(row)
    short = numbers.chance_beside(row.chance_of_shortage_now, accepted)
    sentence = (
        f"About {numbers.figure(row.expected_need)} needed in the next "
        f"{numbers.days(row.horizon_days)} (delivery and review{_waited_for(row)}); {have}: "
    )
    sentence += needed_now(now) if now else f"{short} chance of running short"
    if row.risk_before_arrival >= WORTH_SAYING:
        risk = "" if now else f"{numbers.chance(row.risk_before_arrival)} "
        sentence += f" ({risk}before what is on the way is here: only express delivery helps)"
    target = int(row.stock_to_keep)
    keeping = f"keeping {target}" if target else "keeping none"
    if target > row.stock_least_cost:
        what = "the chance of running short" if now else "it"
        why = f"{keeping} holds {what} within the {numbers.chance(accepted)} you accept"
    else:
        why = f"{keeping} costs least, standing, holding and ageing together"
    sentence += f"; {why}."
    if row.more_than_used:
        sentence += " One pack holds more than will be used before it grows too old."
    if row.late:
        sentence += f" {numbers.count(row.late, 'ordered piece')} late: ask the supplier."
    if row.missing:
        sentence += f" The shelf log lacks {numbers.count(row.missing, 'piece')}: count it."
    return f"{sentence} {remarks(row)}".rstrip()


def why(row: Any) -> str:
    """What there is of a type and the chance of running short, in a dozen words.

    ``row`` of ``stock_table``.
    """
    if now := missing_now(row):
        return f"{first_up(there(row))}; {needed_now(now)}."
    short = numbers.chance(row.chance_of_shortage_now)
    return f"{first_up(there(row))}; {short} chance of running short before the next delivery."


def in_use(row: Any) -> str:
    """How many of a type work, and how many there are besides; ``row`` of ``stock_table``.

    >>> from types import SimpleNamespace as Row
    >>> in_use(Row(fitted=4, on_hand=0, on_order=1)), in_use(Row(fitted=24, on_hand=4, on_order=0))
    ('4 in use, 1 on the way', '24 in use, 4 on the shelf')
    """
    return f"{numbers.decimal(row.fitted)} in use, {there(row)}"


def there(row: Any) -> str:
    """How many lie on the shelf and are on the way; ``row`` of ``stock_table``."""
    if row.on_hand and row.on_order:
        return f"{numbers.decimal(row.on_hand)} there, {numbers.decimal(row.on_order)} on the way"
    if row.on_order:
        return f"{numbers.decimal(row.on_order)} on the way"
    if row.on_hand:
        return f"{numbers.decimal(row.on_hand)} on the shelf"
    return "none there or on the way"


def missing_now(row: Any) -> int:
    """How many pieces places that stand empty need today beyond what lies on the shelf: no chance
    but certain; ``row`` of ``stock_table``, fields as attributes.
    """
    return max(0, int(row.at_once) - int(row.on_hand))


def needed_now(pieces: int) -> str:
    """So many pieces that are missing today.

    >>> needed_now(1), needed_now(3)
    ('1 is needed now and not there', '3 are needed now and not there')
    """
    return f"{pieces} {'is' if pieces == 1 else 'are'} needed now and not there"


def _waited_for(row: Any) -> str:
    """How many of them a place that stands empty waits for; "" for none."""
    if not row.waiting:
        return ""
    stand = "place that stands" if row.waiting == 1 else "places that stand"
    return f", {row.waiting} of them at once, for the {stand} empty"


def remarks(row: Any) -> str:
    """What of the reason does not hang on the shelf; ``row`` of ``stock_table``, "" for none."""
    sentences = []
    if not pd.isna(row.planned_age_days):
        sentences.append(
            planned_practice(row.planned_age_days, row.planned_changes, row.planned_reached)
        )
    sentences += [f"{printer} leaves on {numbers.day(day)}." for printer, day in row.leaving]
    return " ".join(sentences)


def planned_practice(age_days: float, changed: float, reached: float) -> str:
    """At which age working parts are changed, and what that was learned from.

    >>> planned_practice(60.5, 4, 5)
    'Changed by plan at about 60 days (4 of the last 5 that got there).'
    """
    return (
        f"Changed by plan at about {numbers.days(age_days)} "
        f"({changed:.0f} of the last {reached:.0f} that got there)."
    )


def count_first(table: pd.DataFrame) -> str:
    """What to do before ordering anything: count what nobody has counted; "" when all was.

    ``table`` of ``stock_table``.
    """
    used = table[table["fitted"] > 0]
    uncounted = used[used["counted_on"].isna()]
    if uncounted.empty:
        return ""
    if len(uncounted) == len(used):
        return (
            "Count your shelf first: it was never counted, so it is taken as empty, and whatever "
            "already lies there need not be ordered."
        )
    names = [part_types.within(row) for row in uncounted.itertuples()]
    return (
        f"Not counted yet: {'; '.join(names)}. What lies there unseen need not be ordered: count "
        "it first."
    )


def type_unknown(shelf: Mapping[PartType, OnHand], types: Collection[PartType]) -> list[str]:
    """Which pieces on the shelf count for no printer, for they do not say their type.

    ``shelf`` of ``on_hand``, ``types`` of ``part_types``.
    """
    said = []
    for part, lying in shelf.items():
        if part.variant or part in types or not lying.usable:
            continue
        one = lying.usable == 1
        said.append(
            f"{part_types.counted(lying.usable, part)} on the shelf {'does' if one else 'do'} not "
            f"say {'its' if one else 'their'} type: say which, for until then "
            f"{'it counts' if one else 'they count'} for no printer."
        )
    return said


def taken_by_no_printer(shelf: Mapping[PartType, OnHand], types: Collection[PartType]) -> str:
    """Which pieces on the shelf fit no printer there is; "" where all do.

    ``shelf`` of ``on_hand``, ``types`` of ``part_types``.
    """
    said = [
        part_types.counted(pieces, part)
        for part, lying in shelf.items()
        if part.variant and part not in types and (pieces := lying.usable + lying.expired)
    ]
    return f"On the shelf, but no printer takes them: {'; '.join(said)}." if said else ""


def between_sites(shelves: pd.DataFrame, currency: str = "EUR") -> str:
    """What one shelf for all sites saves (``site_shelves``); "" where all stand at one site."""
    if shelves.empty:
        return ""
    many = len(shelves["by_site"].iloc[0])
    sites = "both sites" if many == 2 else f"all {many} sites"
    pieces, money = int(shelves["saved_pieces"].sum()), float(shelves["saved_money"].sum())
    if pieces <= 0:
        return f"One shelf for {sites} needs as many spares as one at each."
    return (
        f"One shelf for {sites} needs {numbers.count(pieces, 'piece')} fewer than one at "
        f"each ({numbers.about_money(money, currency)} less lying on the shelf)."
    )
