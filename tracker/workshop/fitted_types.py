"""Which type is each fitted part? A fitting may name its ``variant``."""

from __future__ import annotations

import pandas as pd

from tracker.workshop.records import Records

HEAD = "head"


def fitted_variants(records: Records) -> pd.Series:
    """The variant of every row of ``records.fittings``, same index; "" where there is but one.

    A head that names none is of its printer's head type.
    """
    return records.once(_fitted_variants)


def _fitted_variants(records: Records) -> pd.Series:
    fittings = records.fittings
    head_types = records.printers.drop_duplicates("printer", keep="last").set_index("printer")
    of_printer = fittings["printer"].map(head_types["head_type"]).fillna("")
    own = fittings["variant"]
    return own.where((own != "") | (fittings["part_kind"] != HEAD), of_printer).astype(object)
