"""Which figures of a part the forecasts use now, and where each comes from."""

from __future__ import annotations

from datetime import date

from pages.shell import session
from tracker.decisions.ordering import lead_time, purchases
from tracker.language import _
from tracker.say import numbers
from tracker.workshop.parts.facts import PartFacts
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType


def sentence(workshop: session.Workshop, kind: str) -> str:
    """Life, price, delivery and shelf life as used; own purchases and orders before the catalogue.

    The same figures as under Spares: ``purchases.prices`` and ``lead_time.lead_times``.
    """
    facts = workshop.records.part_facts(kind)
    return _(
        "**In use now:** typical life {life}, counting as {failures} of evidence "
        "· {price} · {delivery} · keeps {shelf_life} on the shelf.",
        life=typical_life(facts),
        failures=numbers.count(facts.belief_failures, "failure", "failures"),
        price=_price(workshop, kind),
        delivery=_delivery(workshop, kind),
        shelf_life=numbers.days(facts.shelf_life_days),
    )


def typical_life(facts: PartFacts) -> str:
    """The believed life in words, that in white ink beside it where it differs."""
    said = numbers.days(facts.typical_life_days)
    if facts.typical_life_white_days == facts.typical_life_days:
        return said
    return _(
        "{life} ({in_white} in white ink)",
        life=said,
        in_white=numbers.days(facts.typical_life_white_days),
    )


def _price(workshop: session.Workshop, kind: str) -> str:
    facts = workshop.records.part_facts(kind)
    price = session.ask(_prices).get(kind)
    packs = (
        _("in packs of {pack_size}", pack_size=facts.pack_size)
        if facts.pack_size > 1
        else _("a piece")
    )
    if price is None or not price.purchases:
        return _(
            "price {cost} {packs}, as written below",
            cost=workshop.money(facts.unit_cost),
            packs=packs,
        )
    bought = min(price.purchases, purchases.RECENT_PURCHASES)
    which = (
        _("your last purchase")
        if bought == 1
        else _("the middle of your last {bought} purchases", bought=bought)
    )
    return _(
        "price {amount} {packs}: {which} (written below: {cost})",
        amount=workshop.money(price.amount),
        packs=packs,
        which=which,
        cost=workshop.money(facts.unit_cost),
    )


def _delivery(workshop: session.Workshop, kind: str) -> str:
    facts = workshop.records.part_facts(kind)
    lead = session.ask(_lead_times).get(PartType(kind, ""))
    below = _(
        "{usual} days, nine in ten within {late}",
        usual=f"{facts.lead_days:g}",
        late=f"{facts.lead_days_late:g}",
    )
    if lead is None or not lead.orders:
        return _("delivery {below}, as written below", below=below)
    return _(
        "delivery {usual} days, nine in ten within {late}: learnt from "
        "{orders} of yours (written below: {below})",
        usual=round(lead.typical_days),
        late=round(lead.late_days),
        orders=numbers.count(lead.orders, "order", "orders"),
        below=below,
    )


def _prices(records: Records, as_of: date) -> dict[str, purchases.Price]:
    return purchases.prices(records.known_at(as_of))


def _lead_times(records: Records, as_of: date) -> dict[PartType, lead_time.LeadTime]:
    return lead_time.lead_times(records.known_at(as_of), as_of)
