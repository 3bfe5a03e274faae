"""The positions that hold a part or wait for one: what takes it along, how long it stays."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

import numpy as np
import pandas as pd

from tracker.arrays import Ints
from tracker.errors import UsageError
from tracker.forecast.fitted_lives import FittedLives
from tracker.language import _
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType, types_in

COLUMNS = (
    "part_kind",
    "variant",
    "printer",
    "site",
    "position",
    "age",
    "fitting",
    "until",
    "is_new",
    "empty_since",
)
# Days that only happen: the last of them is how far the log reaches.
_HAPPENED = (
    ("fittings", "fitted_on"),
    ("fittings", "removed_on"),
    ("maintenance", "done_on"),
    ("counters", "read_on"),
    ("nozzle_checks", "checked_on"),
)


def fitted_positions(fitted: FittedLives) -> pd.DataFrame:
    """The positions that hold a part or wait for one, by kind, printer and position.

    Columns ``part_kind, variant, printer, site, position``; ``age`` in days (NaN: not known, or no
    part); ``fitting``, the index of the fitting that is in, or was last; ``until``: days the
    position stays (infinite here); ``is_new``: True in a printer that is only thought of;
    ``empty_since``: the day since which it waits for a part (NaT: one is in).
    """
    return fitted.known.once(_fitted_positions, fitted)


def _fitted_positions(_known: Records, fitted: FittedLives) -> pd.DataFrame:
    lives, empty = fitted.lives, fitted.empty_since
    used = lives[lives["outcome"].eq("running") | lives.index.isin(empty.index)]
    frame = used[["part_kind", "variant", "printer", "site", "position", "age"]].copy()
    frame["fitting"], frame["until"], frame["is_new"] = used.index, np.inf, False
    frame["empty_since"] = empty.reindex(used.index).astype("datetime64[ns]")
    frame["age"] = frame["age"].mask(frame["empty_since"].notna())
    frame = frame.sort_values(["part_kind", "printer", "position"], kind="stable")
    return frame.reset_index(drop=True)


def with_more_printers(positions: pd.DataFrame, printers: int) -> pd.DataFrame:
    """What if there were more printers? Copies of the best-equipped one, all parts new."""
    if printers <= 0 or positions.empty:
        return positions
    best = positions["printer"].value_counts().index[0]
    template = positions[positions["printer"] == best].assign(
        age=0.0, until=np.inf, is_new=True, empty_since=pd.NaT
    )
    copies: Sequence[pd.DataFrame] = [
        template.assign(printer=_("new printer {number}", number=number))
        for number in range(1, printers + 1)
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
            _(
                "site: no printer with parts in it stands at {site}; there are {there}.",
                site=repr(site),
                there=there,
            )
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
        raise UsageError(
            _(
                "retiring: no parts are fitted in {unknown}; printers are {there}.",
                unknown=repr(unknown[0]),
                there=there,
            )
        )
    days = {printer: max(0.0, (day - as_of).days) for printer, day in leaves_on.items()}
    until = positions["printer"].map(days).astype(float).fillna(np.inf)
    return positions.assign(until=np.minimum(positions["until"], until))


def staying(records: Records, as_of: date, positions: pd.DataFrame) -> pd.DataFrame:
    """These positions, each until its printer leaves by plan (``leaving``)."""
    return with_leaving_printers(positions, leaving(records, as_of, positions), as_of)


def still_filled(positions: pd.DataFrame, delivery: Mapping[PartType, float]) -> pd.DataFrame:
    """Without empty places whose printer is gone before a part ordered today would be here.

    ``delivery``: the usual days of it, by type.
    """
    days = np.array([delivery.get(part, 0.0) for part in types_in(positions)])
    given_up = positions["empty_since"].notna() & (positions["until"] <= days)
    return positions[~given_up].reset_index(drop=True)


def leaving(records: Records, as_of: date, positions: pd.DataFrame) -> dict[str, date]:
    """Which printers with parts in them are to leave, by a ``retired_on`` that lies ahead?

    A day counts as a plan only beyond the last day the log reaches: asked for an earlier
    ``as_of`` (a replay), a retirement that came later was not known yet. ``records`` are all that
    were written down, for those known on the day hold no retirement to come.
    """
    printers = records.printers.drop_duplicates("printer", keep="last")
    ahead = printers[printers["retired_on"] > pd.Timestamp(as_of)]
    if ahead.empty:
        return {}
    ahead = ahead[ahead["retired_on"] > _last_day(records)]
    ahead = ahead[ahead["printer"].isin(positions["printer"])]
    return dict(zip(ahead["printer"], ahead["retired_on"].dt.date, strict=True))


def _last_day(records: Records) -> pd.Timestamp:
    ends = [records.table(name)[column].max() for name, column in _HAPPENED]
    return max([pd.Timestamp.min, *(end for end in ends if not pd.isna(end))])


def leaders(positions: pd.DataFrame, known: Records) -> Ints:
    """For each position the row of the one whose change takes it along; −1: none does.

    Where a printer has several leading parts, its positions are shared out among them in order.
    """
    found = np.full(len(positions), -1, dtype=np.int64)
    kinds = positions["part_kind"].to_numpy(dtype=object)
    for kind in dict.fromkeys(kinds):
        leader = known.part_facts(str(kind)).replaced_with
        rows, heads = np.flatnonzero(kinds == kind), np.flatnonzero(kinds == leader)
        if leader and leader != kind and len(heads):
            own, lead = positions.iloc[rows], positions.iloc[heads]
            link = _links(own, lead)
            found[rows] = np.where(link >= 0, heads[np.maximum(link, 0)], -1)
    return found


def _links(own: pd.DataFrame, heads: pd.DataFrame) -> Ints:
    first = pd.Series(np.arange(len(heads)), index=heads["printer"].to_numpy())
    first_of = first[~first.index.duplicated()]
    heads_of = heads["printer"].value_counts()
    start = first_of.reindex(own["printer"]).fillna(-1).to_numpy()
    many = heads_of.reindex(own["printer"]).fillna(1).to_numpy()
    place = own.groupby("printer").cumcount().to_numpy()
    size = own["printer"].map(own["printer"].value_counts()).to_numpy()
    link = np.where(start < 0, -1, start + place * many // np.maximum(size, 1))
    return np.asarray(link, dtype=np.int64)
