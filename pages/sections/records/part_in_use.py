"""Which figures of a part the forecasts use now, and where each comes from."""

from __future__ import annotations

from datetime import date

from pages import frame
from tracker.decisions.ordering import lead_time, purchases
from tracker.say import numbers
from tracker.workshop.records import PartFacts, Records
from tracker.workshop.variants import PartType


def sentence(workshop: frame.Workshop, kind: str) -> str:
    """Life, price, delivery and shelf life as used; own purchases and orders before the catalogue.

    The same figures as under Spares: ``purchases.prices`` and ``lead_time.lead_times``.
    """
    facts = workshop.records.part_facts(kind)
    return (
        f"**In use now:** typical life {typical_life(facts)}, counting as "
        f"{numbers.count(facts.belief_failures, 'failure')} of evidence · "
        f"{_price(workshop, kind)} · {_delivery(workshop, kind)} · keeps "
        f"{numbers.days(facts.shelf_life_days)} on the shelf."
    )


def typical_life(facts: PartFacts) -> str:
    """The believed life in words, that in white ink beside it where it differs."""
    said = numbers.days(facts.typical_life_days)
    if facts.typical_life_white_days == facts.typical_life_days:
        return said
    return f"{said} ({numbers.days(facts.typical_life_white_days)} in white ink)"


def _price(workshop: frame.Workshop, kind: str) -> str:
    facts = workshop.records.part_facts(kind)
    price = frame.ask(_prices).get(kind)
    packs = f"in packs of {facts.pack_size}" if facts.pack_size > 1 else "a piece"
    if price is None or not price.purchases:
        return f"price {workshop.money(facts.unit_cost)} {packs}, as written below"
    bought = min(price.purchases, purchases.RECENT_PURCHASES)
    which = "your last purchase" if bought == 1 else f"the middle of your last {bought} purchases"
    return (
        f"price {workshop.money(price.amount)} {packs}: {which} "
        f"(written below: {workshop.money(facts.unit_cost)})"
    )


def _delivery(workshop: frame.Workshop, kind: str) -> str:
    facts = workshop.records.part_facts(kind)
    lead = frame.ask(_lead_times).get(PartType(kind, ""))
    below = f"{facts.lead_days:g} days, nine in ten within {facts.lead_days_late:g}"
    if lead is None or not lead.orders:
        return f"delivery {below}, as written below"
    return (
        f"delivery {round(lead.typical_days)} days, nine in ten within {round(lead.late_days)}: "
        f"learnt from {numbers.count(lead.orders, 'order')} of yours (written below: {below})"
    )


def _prices(records: Records, as_of: date) -> dict[str, purchases.Price]:
    return purchases.prices(records.known_at(as_of))


def _lead_times(records: Records, as_of: date) -> dict[PartType, lead_time.LeadTime]:
    return lead_time.lead_times(records.known_at(as_of), as_of)
