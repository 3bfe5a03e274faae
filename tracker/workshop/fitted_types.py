"""Which type is each fitted part? A fitting may name its ``variant``."""

from __future__ import annotations

import numpy as np
import pandas as pd

from tracker.workshop.columns.coded import Coded
from tracker.workshop.records import Records

HEAD = "head"


def fitted_variants(records: Records) -> pd.Series:
    """The variant of every row of ``records.fittings``, same index; "" where there is but one.

    A head that names none is of its printer's head type.
    """
    return records.once(_fitted_variants)


def _fitted_variants(records: Records) -> pd.Series:
    found = coded_variants(records).decoded()
    return pd.Series(found, index=records.fittings.index, dtype=object)


def coded_variants(records: Records) -> Coded:
    """The same in codes."""
    return records.once(_coded_variants)


def _coded_variants(records: Records) -> Coded:
    printer, kind, own = (
        records.codes("fittings", name) for name in ("printer", "part_kind", "variant")
    )
    head_types = records.printers.drop_duplicates("printer", keep="last").set_index("printer")
    of_printer = Coded.of(head_types["head_type"].reindex(printer.words).fillna(""))
    both = Coded.joined([own, of_printer])
    codes, of_printers = np.split(both.codes, [len(own.codes)])
    heads = np.flatnonzero(kind.is_word(HEAD) & own.is_word(""))
    codes[heads] = of_printers[printer.codes[heads]]
    return Coded(codes, both.words)
