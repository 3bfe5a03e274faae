"""What the workshop paid for a piece lately, and from whom it bought."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracker.forecast.group_comparison import GroupComparison
from tracker.workshop.records import Records
from tracker.workshop.settings.euro_rates import guessed_in
from tracker.workshop.variants import (
    PartType,
    part_types,
    pooled_variants,
    spare_variants,
    types_in,
)

RECENT_PURCHASES = 3
_COSTLY_FROM = 150.0  # euros; common practice, no source


@dataclass(frozen=True)
class Price:
    """Price of one piece in currency units, and how many own purchases are behind it (0: the
    catalogue's)."""

    amount: float
    purchases: int


def prices(known: Records) -> dict[str, Price]:
    """What does a piece of every kind cost, whatever its type? As ``type_prices``."""
    return known.once(_prices)


def _prices(known: Records) -> dict[str, Price]:
    kinds = known.part_kinds()
    found = _last_paid(known, ["part_kind"], {(kind,) for kind in kinds})
    return {
        kind: found.get((kind,)) or Price(known.part_facts(kind).unit_cost, 0) for kind in kinds
    }


def paid_or_usual(known: Records, fittings: pd.DataFrame) -> pd.Series:
    """What each of these parts was bought for, else what one of its type costs now."""
    rows = fittings.assign(variant=pooled_variants(known)[fittings.index])
    types = types_in(rows)
    usual = {part: price_of(known, part).amount for part in set(types)}
    each = pd.Series([usual[part] for part in types], fittings.index, dtype=float)
    return fittings["unit_cost"].fillna(each)


def price_of(known: Records, part: PartType) -> Price:
    """What a piece of that type costs now; what one of its kind does where no such type is in use,
    or a part says none."""
    found = type_prices(known).get(part) or prices(known).get(part.part_kind)
    return found or Price(known.part_facts(*part).unit_cost, 0)


def type_prices(known: Records) -> dict[PartType, Price]:
    """What does a piece of every type cost, by the last own purchases, else by the catalogue?

    The median of the last RECENT_PURCHASES prices of orders; of received stock where no order of
    the type carries a price, and of the parts fitted where neither does. ``known``: records as
    known on the day.
    """
    return known.once(_type_prices)


def _type_prices(known: Records) -> dict[PartType, Price]:
    found = _last_paid(known, ["part_kind", "variant"], set(map(tuple, part_types(known))))
    return {
        part: found.get(part) or Price(known.part_facts(*part).unit_cost, 0)
        for part in part_types(known)
    }


def costly_types(known: Records) -> frozenset[PartType]:
    """Which types are worth a date of their own: those costly in every workshop, and what costs
    much to buy?
    """
    least = guessed_in(known.setting("currency"), _COSTLY_FROM)
    return frozenset(
        part
        for part, price in type_prices(known).items()
        if known.part_facts(*part).costly or price.amount >= least
    )


def _last_paid(
    known: Records, by: list[str], wanted: set[tuple[str, ...]]
) -> dict[tuple[str, ...], Price]:
    found: dict[tuple[str, ...], Price] = {}
    for source, day in _purchases(known):
        source = source[source["unit_cost"].notna() & source[day].notna()]
        if source.empty:
            continue
        source = source.sort_values(day, kind="stable")
        paid = source["unit_cost"].to_numpy(dtype=float)
        for name, rows in source.groupby(by, sort=False).indices.items():
            last = rows[-RECENT_PURCHASES:]
            named = name if isinstance(name, tuple) else (name,)
            price = Price(float(np.median(paid[last])), len(rows))
            found.setdefault(tuple(map(str, named)), price)
        if wanted <= found.keys():
            break
    return found


def _purchases(known: Records) -> Iterator[tuple[pd.DataFrame, str]]:
    """Rows with a price and the column of their day, the most telling table first."""
    of_type = ["part_kind", "variant", "unit_cost"]
    received = known.stock["reason"].eq("received")
    fitted = known.fittings[[*of_type, "fitted_on"]].assign(variant=pooled_variants(known))
    for source, day in (
        (_named(known, known.orders[[*of_type, "ordered_on"]]), "ordered_on"),
        (_named(known, known.stock.loc[received, [*of_type, "moved_on"]]), "moved_on"),
        (fitted, "fitted_on"),
    ):
        # What came for nothing, under warranty or with an old printer, is no price of the next one.
        yield source[source["unit_cost"] > 0], day


@dataclass(frozen=True)
class WorseSeller:
    """Where a type was bought last, from a supplier whose parts fail sooner over all kinds.

    ``failed`` of its parts where ``usual`` were to be expected; ``better``: another seller of the
    type of whose parts no more failed than usual, the best of them ("" where none is known).
    """

    supplier: str
    failed: int
    usual: float
    better: str


def worse_sellers(
    sellers: Mapping[PartType, tuple[str, ...]], found: GroupComparison | None
) -> dict[PartType, WorseSeller]:
    """Which types were bought last from the supplier that is worse beyond chance, who is better?

    ``sellers`` of ``suppliers``, ``found`` of ``compare_suppliers``: the one finding about
    suppliers that Part lives tells as well. Nobody is advised against for one bad lot.
    """
    if found is None or found.to_avoid is None:
        return {}
    worse, rows = found.to_avoid, (found.rest or found).groups
    good = list(rows.index[rows["failed"] <= rows["usual"]][::-1])  # the soonest to fail come first
    failed, usual = int(rows.loc[worse, "failed"]), float(rows.loc[worse, "usual"])
    return {
        part: WorseSeller(
            worse, failed, usual, next((str(name) for name in good if name in names), "")
        )
        for part, names in sellers.items()
        if names[:1] == (worse,)
    }


def suppliers(known: Records) -> dict[PartType, tuple[str, ...]]:
    """From whom was every type bought, the latest first? By orders, else by the parts fitted.

    ``known``: records as known on the day.
    """
    fitted = known.fittings.assign(variant=pooled_variants(known))
    found: dict[PartType, tuple[str, ...]] = {}
    for source, day in ((_named(known, known.orders), "ordered_on"), (fitted, "fitted_on")):
        bought = source[source["supplier"].str.strip() != ""]
        bought = bought.sort_values(day, ascending=False, kind="stable", na_position="last")
        names: dict[PartType, list[str]] = {}
        for part, name in zip(types_in(bought), bought["supplier"].str.strip(), strict=True):
            names.setdefault(part, []).append(name)
        for part, sold in names.items():
            found.setdefault(part, tuple(dict.fromkeys(sold)))
    return found


def _named(known: Records, rows: pd.DataFrame) -> pd.DataFrame:
    return rows.assign(variant=spare_variants(known, rows))
