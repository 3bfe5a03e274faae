"""Which fitting goes on with a part that was in before, told by its serial number?"""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.workshop.records import Records

_FOREVER = pd.Timestamp.max
# What broke and went in again under its number was mended, or the number is that of the article.
_BROKE = ("failed", "accident")


def went_on_from(records: Records) -> NDArray[np.int64]:
    """The row of the fitting in which the same part was in last; −1: it was in none: (fittings,).

    The same part: the same kind and serial number, out before it went in, working when it came
    out, not bought anew, and not in the same place that very day, which is a change by a part of
    the same article. A number that stands in two places at once is no number of one part.
    """
    return records.once(_went_on_from)


def _went_on_from(records: Records) -> NDArray[np.int64]:
    fittings = records.fittings
    found = np.full(len(fittings), -1, dtype=np.int64)
    numbered = fittings["serial"].ne("")
    numbered &= fittings.duplicated(["part_kind", "serial"], keep=False)
    if not numbered.any():
        return found
    rows = fittings.assign(row=np.arange(len(fittings)))[numbered]
    rows = rows.assign(out=rows["removed_on"].fillna(_FOREVER))
    rows = rows.sort_values(["fitted_on", "out"], na_position="first", kind="stable")
    for _part, own in rows.groupby(["part_kind", "serial"], sort=False):
        went_in, out = own["fitted_on"].to_numpy()[1:], own["out"].to_numpy()[:-1]
        if not (out <= went_in).all():
            continue
        worked = ~own["removal_reason"].isin(_BROKE).to_numpy()[:-1]
        bought = own["unit_cost"].gt(0).to_numpy()[1:]
        place = own["printer"].str.cat(own["position"], sep="\x1f").to_numpy()
        changed = (place[1:] == place[:-1]) & (went_in == out)
        row: NDArray[Any] = own["row"].to_numpy()
        goes_on = worked & ~bought & ~changed
        found[row[1:][goes_on]] = row[:-1][goes_on]
    return found


def last_with(records: Records, part_kind: str, serial: str) -> pd.Series | None:
    """The newest fitting of the part of that kind and serial number; None: none is known."""
    fittings = records.fittings
    own = fittings[(fittings["part_kind"] == part_kind) & (fittings["serial"] == serial)]
    if not serial or own.empty:
        return None
    return own.sort_values("fitted_on", na_position="first", kind="stable").iloc[-1]


def carried_on(before: NDArray[np.int64], own: NDArray[np.float64]) -> NDArray[np.float64]:
    """What each part had gained when it went in, given what each fitting adds: (fittings,).

    ``before``: ``went_on_from``. Of a fitting that adds nobody knows how much nothing is carried.

    >>> carried_on(np.array([-1, 0, 1]), np.array([200.0, 30.0, 5.0])).tolist()
    [0.0, 200.0, 230.0]
    """
    carried = np.zeros(len(own))
    adds = np.nan_to_num(np.maximum(own, 0.0))
    at = before.copy()
    while (goes_on := at >= 0).any():
        carried[goes_on] += adds[at[goes_on]]
        at[goes_on] = before[at[goes_on]]
    return carried
