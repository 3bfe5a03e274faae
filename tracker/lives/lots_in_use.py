"""Which lot of ink, film or powder was a printer working with on a day?"""

from __future__ import annotations

import pandas as pd

from tracker.errors import UsageError
from tracker.language import _
from tracker.workshop.records import Records

LOTS = ("ink_lot", "film_lot", "powder_lot")


def lot_in_use(records: Records, printer: pd.Series, day: pd.Series, lot: str) -> pd.Series:
    """The lot last noted on that printer by that day, same index; "" where none was, or no day.

    A note holds until the next one that names a lot: nobody writes it down every day. ``lot`` is
    one of LOTS; UsageError for another.

    >>> day = pd.Timestamp
    >>> noted = pd.DataFrame({"printer": ["Ada", "Ada"], "ink_lot": ["white 7", "white 8"],
    ...                       "noted_on": [day("2026-01-05"), day("2026-03-02")]})
    >>> fitted = pd.Series([day("2026-01-04"), day("2026-02-01"), day("2026-03-02")])
    >>> printers = pd.Series(["Ada"] * 3)
    >>> lot_in_use(Records.of({"conditions": noted}), printers, fitted, "ink_lot").tolist()
    ['', 'white 7', 'white 8']
    """
    if lot not in LOTS:
        raise UsageError(_("lot: {lot} is none of {lots}.", lot=repr(lot), lots=", ".join(LOTS)))
    noted = records.conditions[records.conditions[lot] != ""]
    noted = noted[["printer", "noted_on", lot]].sort_values("noted_on", kind="stable")
    wanted = pd.DataFrame({"printer": printer, "day": day, "row": range(len(printer))})
    found = pd.merge_asof(
        wanted.dropna(subset=["day"]).sort_values("day", kind="stable"),
        noted,
        left_on="day",
        right_on="noted_on",
        by="printer",
    )
    lots = found.set_index("row")[lot].reindex(range(len(printer))).fillna("")
    return pd.Series(lots.to_numpy(dtype=object), index=printer.index, name=lot)
