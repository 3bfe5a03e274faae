"""Which type is a part? A six-channel head is no spare for an eight-channel printer.

A fitting, a piece on the shelf, an order and a line of the catalogue may name a ``variant``.
Where they do not, a fitted head is of its printer's head type, and a spare of a kind that the
workshop has in one type only is of that type. A spare of a kind with several types that does not
say which it is helps nobody until it does: it stays under the variant "".
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Container
from typing import NamedTuple

import numpy as np
import pandas as pd

from tracker.arrays import Bools
from tracker.workshop.columns.day_numbers import rising
from tracker.workshop.empty_positions import empty_positions, last_day_in_use
from tracker.workshop.fitted_types import HEAD, coded_variants
from tracker.workshop.records import Records

# What tells which parts are, or are wanted, in the printers.


class PartType(NamedTuple):
    """What a spare must be to fit: the kind, and its type where the workshop has several."""

    part_kind: str
    variant: str = ""


def types_in(rows: pd.DataFrame) -> list[PartType]:
    """The type of every row, by its columns ``part_kind`` and ``variant``."""
    pairs = list(zip(rows["part_kind"], rows["variant"], strict=True))
    types = {pair: PartType(*map(str, pair)) for pair in set(pairs)}
    return [types[pair] for pair in pairs]


def of_type(rows: pd.DataFrame, part: PartType) -> pd.Series:
    """Which of the rows are of that type, True or False by their index."""
    return (rows["part_kind"] == part.part_kind) & (rows["variant"] == part.variant)


def by_type(rows: pd.DataFrame) -> dict[PartType, Bools]:
    """The same for every type that occurs among the rows: True or False for each, in order."""
    places = rows.groupby(["part_kind", "variant"], sort=False).indices if len(rows) else {}
    found = {}
    for what, own in places.items():
        here = np.zeros(len(rows), dtype=bool)
        here[own] = True
        found[PartType(*map(str, what))] = here
    return found


def of_types(rows: pd.DataFrame, parts: Container[PartType]) -> Bools:
    """Which of the rows are of one of those types, in order; also where there are no rows."""
    return np.fromiter((part in parts for part in types_in(rows)), dtype=bool, count=len(rows))


def part_types(records: Records) -> tuple[PartType, ...]:
    """Every type that spares are kept for, kinds in the order of ``Records.part_kinds``.

    The types in use; of a kind that is in no printer those of the shelf, the orders and the
    catalogue. Fitted parts that do not say which of several types they are make one of their own,
    with the variant "".
    """
    return records.once(_part_types)


def _part_types(records: Records) -> tuple[PartType, ...]:
    in_use = _in_use(records)
    running = fittings_in_use(records)
    unlabelled = set(
        records.fittings.loc[running & (pooled_variants(records) == ""), "part_kind"]
    )  # fmt: skip
    named: dict[str, set[str]] = {}
    for frame in (records.stock, records.orders, records.parts):
        for kind, variant in types_in(frame.drop_duplicates(["part_kind", "variant"])):
            if variant:
                named.setdefault(kind, set()).add(variant)
    found: list[PartType] = []
    for kind in records.part_kinds():
        variants = in_use.get(kind, ())
        if kind in unlabelled:
            variants = ("", *variants)
        elif not variants:
            variants = tuple(sorted(named.get(kind, ())))
        found += [PartType(kind, variant) for variant in variants or ("",)]
    return tuple(found)


def pooled_variants(records: Records) -> pd.Series:
    """The type whose spares every row of ``records.fittings`` shares, same index.

    As ``fitted_variants``; a part that says none shares those of the one type in use, where there
    is exactly one.
    """
    return records.once(_pooled_variants)


def _pooled_variants(records: Records) -> pd.Series:
    own, kind = coded_variants(records), records.codes("fittings", "part_kind")
    only = {kind: used[0] for kind, used in _in_use(records).items() if len(used) == 1}
    of_kind = np.array([only.get(word, "") for word in kind.words], dtype=object)
    found, unnamed = own.decoded(), np.flatnonzero(own.is_word(""))
    found[unnamed] = of_kind[kind.codes[unnamed]]
    return pd.Series(found, index=records.fittings.index, dtype=object)


def variants_in_use(records: Records, part_kind: str) -> tuple[str, ...]:
    """The types of that kind that are in a printer now, or would be in one; in order of name.

    A printer whose head type is known counts for heads even while its head is not written down.
    """
    return _in_use(records).get(part_kind, ())


def spare_variants(records: Records, rows: pd.DataFrame) -> pd.Series:
    """The variant of every row of the shelf, the orders or the catalogue, same index.

    A row that names none is of the one type in use, where there is exactly one. Where no part in
    the printers says its type, the spares of that kind are not told apart either.
    """
    if rows.empty:
        return rows["variant"].astype(object)
    in_use = _in_use(records)
    only = {kind: used[0] for kind, used in in_use.items() if len(used) == 1}
    not_told = set(records.fittings.loc[fittings_in_use(records), "part_kind"]) - set(in_use)
    named = rows["variant"]
    found = named.where(named != "", rows["part_kind"].map(only).fillna(""))
    return found.mask(rows["part_kind"].isin(not_told), "").astype(object)


def fittings_in_use(records: Records) -> pd.Series:
    """Which fittings are in a printer that is still there, or left a position that waits for
    another of their type.
    """
    return records.finding(_found_running)


def _found_running(records: Records) -> pd.Series:
    fittings, printers = records.fittings, records.printers
    printer, stays = records.codes("fittings", "printer"), printers["retired_on"].isna()
    staying = printer.marked(pd.Index(printer.words).isin(printers.loc[stays, "printer"]))
    there, day = fittings["removed_on"].isna(), last_day_in_use(records)
    if day is not None:
        empty = empty_positions(records, day)
        there.iloc[fittings.index.get_indexer(empty.index[~empty["given_up"]])] = True
    return there & staying


def _in_use(records: Records) -> dict[str, tuple[str, ...]]:
    """The types in use by kind; kinds without any named are not in it."""
    return records.once(_found_in_use)


def _found_in_use(records: Records) -> dict[str, tuple[str, ...]]:
    rows = fittings_in_use(records).to_numpy()
    kinds, variants = records.codes("fittings", "part_kind").take(rows), coded_variants(records)
    variants, found = variants.take(rows), defaultdict[str, set[str]](set)
    pair = kinds.codes.astype(np.int64) * len(variants.words) + variants.codes
    for both in rising(pair, len(kinds.words) * len(variants.words)):
        kind, variant = divmod(int(both), len(variants.words))
        if variants.words[variant]:
            found[str(kinds.words[kind])].add(str(variants.words[variant]))
    staying = records.printers.loc[records.printers["retired_on"].isna(), "head_type"]
    if heads := set(staying) - {""}:
        found[HEAD].update(heads)
    return {kind: tuple(sorted(variants)) for kind, variants in found.items()}
