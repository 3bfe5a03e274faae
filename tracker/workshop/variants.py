"""Which type is a part? A six-channel head is no spare for an eight-channel printer.

A fitting, a piece on the shelf, an order and a line of the catalogue may name a ``variant``.
Where they do not, a fitted head is of its printer's head type, and a spare of a kind that the
workshop has in one type only is of that type. A spare of a kind with several types that does not
say which it is helps nobody until it does: it stays under the variant "".
"""

from __future__ import annotations

import pandas as pd

from tracker.workshop.records import Records

HEAD = "head"


def fitted_variants(records: Records) -> pd.Series:
    """The variant of every row of ``records.fittings``, same index; "" where there is but one."""
    fittings = records.fittings
    head_types = records.printers.drop_duplicates("printer", keep="last").set_index("printer")
    of_printer = fittings["printer"].map(head_types["head_type"]).fillna("")
    own = fittings["variant"]
    return own.where((own != "") | (fittings["part_kind"] != HEAD), of_printer).astype(object)


def variants_in_use(records: Records, part_kind: str) -> tuple[str, ...]:
    """The types of that kind that are in a printer now, or would be in one; in order of name.

    A printer whose head type is known counts for heads even while its head is not written down.
    """
    rows = (records.fittings["part_kind"] == part_kind) & records.fittings["removed_on"].isna()
    staying = records.printers.loc[records.printers["retired_on"].isna(), "printer"]
    rows &= records.fittings["printer"].isin(staying)
    found = set(fitted_variants(records)[rows])
    if part_kind == HEAD:
        found |= set(records.printers.loc[records.printers["retired_on"].isna(), "head_type"])
    return tuple(sorted(found - {""}))


def spare_variants(records: Records, rows: pd.DataFrame) -> pd.Series:
    """The variant of every row of the shelf, the orders or the catalogue, same index.

    A row that names none is of the one type in use, where there is exactly one.
    """
    only = {
        kind: used[0]
        for kind in rows["part_kind"].unique()
        if len(used := variants_in_use(records, kind)) == 1
    }
    named = rows["variant"]
    return named.where(named != "", rows["part_kind"].map(only).fillna("")).astype(object)
