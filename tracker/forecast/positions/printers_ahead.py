"""Which printers will be there: some added, some leaving, or those of one site only."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

import numpy as np
import pandas as pd

from tracker.errors import UsageError
from tracker.workshop.records import Records

# Days that only happen: the last of them is how far the log reaches.
_HAPPENED = (
    ("fittings", "fitted_on"),
    ("fittings", "removed_on"),
    ("maintenance", "done_on"),
    ("counters", "read_on"),
    ("nozzle_checks", "checked_on"),
)


def with_more_printers(positions: pd.DataFrame, printers: int) -> pd.DataFrame:
    """What if there were more printers? Copies of the best-equipped one, all parts new.

    ``positions`` as of ``fitted_positions``.
    """
    if printers <= 0 or positions.empty:
        return positions
    best = positions["printer"].value_counts().index[0]
    template = positions[positions["printer"] == best].assign(
        age=0.0, possible_ages=None, age_known=True, until=np.inf, printer_is_new=True
    )
    if "area_m2" in template:
        template["area_m2"] = 0.0
    copies: Sequence[pd.DataFrame] = [
        template.assign(printer=f"new printer {number}") for number in range(1, printers + 1)
    ]
    return pd.concat([positions, *copies], ignore_index=True)


def at_site(positions: pd.DataFrame, site: str | None) -> pd.DataFrame:
    """The positions of the printers at one site; all of them where ``site`` is None.

    Raises:
        UsageError: a site where no printer stands.
    """
    if site is None:
        return positions
    sites = sorted(set(positions["site"]))
    if site not in sites:
        there = ", ".join(repr(name) for name in sites) or "none"
        raise UsageError(
            f"site: no printer with parts in it stands at {site!r}; there are {there}."
        )
    return positions[positions["site"] == site].reset_index(drop=True)


def with_leaving_printers(
    positions: pd.DataFrame, leaves_on: Mapping[str, date], as_of: date
) -> pd.DataFrame:
    """What if these printers left on these days? Their positions need nothing from then on.

    Raises:
        UsageError: a printer that has no parts in it.
    """
    unknown = sorted(set(leaves_on) - set(positions["printer"]))
    if unknown:
        there = ", ".join(dict.fromkeys(positions["printer"])) or "none"
        raise UsageError(f"retiring: no parts are fitted in {unknown[0]!r}; printers are {there}.")
    days = {printer: max(0.0, (day - as_of).days) for printer, day in leaves_on.items()}
    until = positions["printer"].map(days).astype(float).fillna(np.inf)
    return positions.assign(until=np.minimum(positions["until"], until))


def leaving(records: Records, as_of: date, positions: pd.DataFrame) -> dict[str, date]:
    """Which printers with parts in them are to leave, by a ``retired_on`` that lies ahead?

    A day counts as a plan only beyond the last day the log reaches: asked for an earlier
    ``as_of`` (a replay), a retirement that came later was not known yet. ``records`` are all that
    were written down, for those known on the day hold no retirement to come.
    """
    printers = records.printers.drop_duplicates("printer", keep="last")
    ahead = printers[printers["retired_on"] > max(pd.Timestamp(as_of), _last_day(records))]
    ahead = ahead[ahead["printer"].isin(positions["printer"])]
    return dict(zip(ahead["printer"], ahead["retired_on"].dt.date, strict=True))


def _last_day(records: Records) -> pd.Timestamp:
    ends = [records.table(name)[column].max() for name, column in _HAPPENED]
    return max([pd.Timestamp.min, *(end for end in ends if not pd.isna(end))])
