"""The stock table in words: why so many of a kind, and what one shelf for all sites saves."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any, Literal

import pandas as pd

from tracker.decisions.ordering.kind_stock import held_back
from tracker.language import N_, _, ngettext
from tracker.say import numbers, part_types
from tracker.say.phrases import first_up
from tracker.say.spares.preorder import WORTH_SAYING, late_comes
from tracker.workshop.shelf import OnHand
from tracker.workshop.variants import PartType


def reason(row: Any) -> str:
    """Why so many are to be ordered, or none; ``row`` of ``stock_table``, fields as attributes."""
    have = _("{on_hand} on the shelf", on_hand=row.on_hand)
    if row.counted_on is None:
        have += _(" (not counted yet)") if row.on_hand else _(", not counted yet")
    if too_old := row.on_hand + row.arriving - row.available:
        have += _(" ({too_old} of them likely too old before used)", too_old=too_old)
    if row.arriving:
        have += _(" and {arriving} on the way", arriving=row.arriving)
    if row.expired:
        have += _(" ({expired} more past their best-before day)", expired=row.expired)
    accepted, now, why_so = 1 - row.service, missing_now(row), why_so_many(row)
    short = numbers.chance_beside(row.chance_of_shortage_now, accepted)
    sentence = _(
        "About {expected_need} needed in the next {horizon_days} (delivery and "
        "review{waiting}); {have}:",
        expected_need=numbers.figure(row.expected_need),
        horizon_days=numbers.days(row.horizon_days),
        waiting=_waited_for(row),
        have=have,
    )
    sentence += " "
    sentence += needed_now(now) if now else _("{short} chance of running short", short=short)
    if row.risk_before_arrival >= WORTH_SAYING:
        text = (
            N_(" ({risk} before what is on the way is here: an order of today comes sooner)")
            if row.order_now and row.available >= row.stock_to_keep
            else N_(" ({risk} before what is on the way is here: only express delivery helps)")
        )
        sentence += (
            _(" (before what is on the way is here: only express delivery helps)")
            if now
            else _(text, risk=numbers.chance(row.risk_before_arrival))
        )
    target = int(row.stock_to_keep)
    keeping = _("keeping {target}", target=target) if target else _("keeping none")
    if why_so == "service":
        text = (
            N_(
                "{keeping} holds the chance of running short within the {accepted} you accept "
                "(money alone: {cheapest})"
            )
            if now
            else N_("{keeping} holds it within the {accepted} you accept (money alone: {cheapest})")
        )
        cheapest = numbers.decimal(row.stock_least_cost)
        why = _(text, keeping=keeping, accepted=numbers.chance(accepted), cheapest=cheapest)
    elif why_so == "empty":
        why = _("{keeping} fills what stands empty", keeping=keeping)
    elif why_so == "evidence":
        why = _(
            "{keeping} is enough: more would pay only if parts lasted much less long than "
            "expected, and the log would show that in time to order more",
            keeping=keeping,
        )
    else:
        why = _("{keeping} costs least, standing, holding and ageing together", keeping=keeping)
    sentence += f"; {why}."
    if row.more_than_used:
        sentence += _(" One pack holds more than will be used before it grows too old.")
    if row.late:
        pieces = numbers.count(row.late, "ordered piece", "ordered pieces")
        chance = "" if row.forgotten else late_comes(row)
        text = (
            N_("{pieces} late{chance}: ask the supplier, or order again.")
            if chance
            else N_("{pieces} late: ask the supplier.")
        )
        sentence += " " + _(text, pieces=pieces, chance=chance)
    if row.forgotten:
        pieces = numbers.count(row.forgotten, "piece", "pieces")
        sentence += " " + _(
            "{pieces} ordered too long ago to be counted on{chance}: log what came, or ask the "
            "supplier, order again and remove the order.",
            pieces=pieces,
            chance=late_comes(row),
        )
    if row.missing:
        pieces = numbers.count(row.missing, "piece", "pieces")
        sentence += " " + _("The shelf log lacks {pieces}: count it.", pieces=pieces)
    return f"{sentence} {remarks(row)}".rstrip()


def why_so_many(row: Any) -> Literal["empty", "service", "evidence", "money"]:
    """What decides how many to keep: what stands empty, the service level asked for, that few
    failures bear out no more, or money alone; ``row`` of ``stock_table``.
    """
    if row.stock_to_keep > row.stock_least_cost:
        return "empty" if row.stock_to_keep == row.at_once else "service"
    return "evidence" if held_back(row) else "money"


def why(row: Any) -> str:
    """What there is of a type and the chance of running short, in a dozen words; where it is
    changed by plan, at which age.

    ``row`` of ``stock_table``.
    """
    if now := missing_now(row):
        return f"{first_up(there(row))}; {needed_now(now)}."
    short = numbers.chance(row.chance_of_shortage_now)
    told = _(
        "{there}; {short} chance of running short within {days}.",
        there=first_up(there(row)),
        short=short,
        days=numbers.days(row.horizon_days),
    )
    return f"{told} {_changed_by_plan(row)}".rstrip()


def in_use(row: Any) -> str:
    """How many of a type work, and how many there are besides; ``row`` of ``stock_table``.

    >>> from types import SimpleNamespace as Row
    >>> in_use(Row(fitted=4, on_hand=0, on_order=1)), in_use(Row(fitted=24, on_hand=4, on_order=0))
    ('4 in use, 1 on the way', '24 in use, 4 on the shelf')
    """
    return _("{fitted} in use, {stock}", fitted=numbers.decimal(row.fitted), stock=there(row))


def there(row: Any) -> str:
    """How many lie on the shelf and are on the way; ``row`` of ``stock_table``."""
    if row.on_hand and row.on_order:
        return _(
            "{on_hand} on the shelf, {on_order} on the way",
            on_hand=numbers.decimal(row.on_hand),
            on_order=numbers.decimal(row.on_order),
        )
    if row.on_order:
        return _("{on_order} on the way", on_order=numbers.decimal(row.on_order))
    if row.on_hand:
        return _("{on_hand} on the shelf", on_hand=numbers.decimal(row.on_hand))
    return _("none on the shelf or on the way")


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
    return ngettext(
        "{pieces} is needed now and not there",
        "{pieces} are needed now and not there",
        pieces,
        pieces=pieces,
    )


def _waited_for(row: Any) -> str:
    """How many of them a place that stands empty waits for; "" for none."""
    if not row.waiting:
        return ""
    return ngettext(
        ", {waiting} of them at once, for the place that stands empty",
        ", {waiting} of them at once, for the places that stand empty",
        row.waiting,
        waiting=row.waiting,
    )


def remarks(row: Any) -> str:
    """What of the reason does not hang on the shelf; ``row`` of ``stock_table``, "" for none."""
    sentences = [
        _("{printer} leaves on {day}.", printer=printer, day=numbers.day(day))
        for printer, day in row.leaving
    ]
    return " ".join(filter(None, [_changed_by_plan(row), *sentences]))


def _changed_by_plan(row: Any) -> str:
    """``planned_practice`` of a row of ``stock_table``; "" for what is not changed by plan."""
    if pd.isna(row.planned_age_days):
        return ""
    return planned_practice(row.planned_age_days, row.planned_changes, row.planned_reached)


def planned_practice(age_days: float, changed: float, reached: float) -> str:
    """At which age working parts are changed, and what that was learned from.

    >>> planned_practice(60.5, 4, 5)
    'Changed by plan at about 60 days (4 of the last 5 that got there).'
    """
    return _(
        "Changed by plan at about {age_days} ({changed} of the last {reached} that got there).",
        age_days=numbers.days(age_days),
        changed=f"{changed:.0f}",
        reached=f"{reached:.0f}",
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
        return _(
            "Count your shelf first: it was never counted, so it is taken as empty, and "
            "whatever already lies there need not be ordered."
        )
    names = [part_types.within(row) for row in uncounted.itertuples()]
    return _(
        "Not counted yet: {names}. What lies there unseen need not be ordered: count it first.",
        names="; ".join(names),
    )


def type_unknown(shelf: Mapping[PartType, OnHand], types: Collection[PartType]) -> list[str]:
    """Which pieces on the shelf count for no printer, for they do not say their type.

    ``shelf`` of ``on_hand``, ``types`` of ``part_types``.
    """
    said = []
    for part, lying in shelf.items():
        if part.variant or part in types or not lying.usable:
            continue
        said.append(
            ngettext(
                "{usable} on the shelf does not say its type: say which, for until then it counts "
                "for no printer.",
                "{usable} on the shelf do not say their type: say which, for until then they "
                "count for no printer.",
                lying.usable,
                usable=part_types.counted(lying.usable, part),
            )
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
    return (
        _("On the shelf, but no printer takes them: {said}.", said="; ".join(said)) if said else ""
    )


def between_sites(shelves: pd.DataFrame, currency: str = "EUR") -> str:
    """What one shelf for all sites saves (``site_shelves``); "" where all stand at one site."""
    if shelves.empty:
        return ""
    many = len(shelves["by_site"].iloc[0])
    sites = _("both sites") if many == 2 else _("all {many} sites", many=many)
    pieces, money = int(shelves["saved_pieces"].sum()), float(shelves["saved_money"].sum())
    if pieces <= 0:
        return _("One shelf for {sites} needs as many spares as one at each.", sites=sites)
    return _(
        "One shelf for {sites} needs {pieces} fewer than one at each ({money} less lying "
        "on the shelf).",
        sites=sites,
        pieces=numbers.count(pieces, "piece", "pieces"),
        money=numbers.about_money(money, currency),
    )
