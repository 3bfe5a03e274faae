"""Which positions stand empty and wait for a part?

Its last part came out for a reason that asks for another one, and nothing was fitted since. One
that is to have no more parts is closed: its printer is retired, its last part came out as
``retired``, or a part of a kind that was never there took its place. One that stood empty for long
while its printer was in use is given up: what was fitted there was most likely not written down,
and a part nobody logged must not be wanted for ever. So is one that stood empty for a year.
"""

from __future__ import annotations

from datetime import date
from math import ceil

import numpy as np
import pandas as pd

from tracker.arrays import Array, Bools
from tracker.workshop.columns.day_numbers import NO_DAY, days_of
from tracker.workshop.columns.sums import LAST_DONE, ByDay
from tracker.workshop.fitted_types import fitted_variants
from tracker.workshop.records import Records

# Reasons after which another part goes in; one not written down is one of them.
ASKS_FOR_ANOTHER = ("failed", "accident", "planned", "with_other", "unknown")
# Days beyond a late delivery for which a position may wait (common practice, no source).
SLACK_DAYS = 30
LONGEST_DAYS = 365  # for which any position may wait (common practice, no source)
PLACE = ["part_kind", "printer", "position"]
ENOUGH_DELIVERIES = 9  # fewer cannot tell by when nine in ten are here


def empty_positions(known: Records, as_of: date) -> pd.DataFrame:
    """The positions that stand empty and are not closed, one row each; index: the fitting that came
    out last.

    Columns ``part_kind, variant, printer, position``, ``empty_since`` (its removal) and
    ``given_up``: empty for longer than a late delivery of its type and SLACK_DAYS, while its
    printer printed, was maintained or had other parts changed, or for longer than LONGEST_DAYS.
    Late is after nine in ten of the type's own deliveries, of ENOUGH_DELIVERIES or more; with fewer
    what the catalogue says, or the longest of them. ``known``: records as known on that day. A part
    that follows on the day of the removal leaves nothing empty.
    """
    return known.finding(_empty_positions, as_of)


def waiting_positions(records: Records, as_of: date) -> pd.DataFrame:
    """The rows of ``empty_positions`` that wait for a part, those empty for longest first."""
    empty = empty_positions(records.known_at(as_of), as_of)
    return empty[~empty["given_up"]].sort_values("empty_since", kind="stable")


def last_day_in_use(records: Records) -> date | None:
    """The latest day on which a part was changed or a printer used; None where none is known."""
    columns = (
        *(("fittings", "fitted_on"), ("fittings", "removed_on")),
        *(("maintenance", "done_on"), ("counters", "read_on")),
    )
    latest = max(records.sum_of(table, ByDay(column)).newest for table, column in columns)
    return None if latest == NO_DAY else pd.Timestamp(latest, unit="D").date()


def _empty_positions(known: Records, as_of: date) -> pd.DataFrame:
    fittings, today = known.fittings, pd.Timestamp(as_of)
    last = fittings.loc[_last_out(known, today), [*PLACE, "removed_on"]]
    last = last[~_taken_by_another_kind(fittings, last)] if len(last) else last
    found = last[[*PLACE]].assign(
        variant=fitted_variants(known)[last.index], empty_since=last["removed_on"]
    )
    found["given_up"] = _given_up(known, found, today)
    return found[["part_kind", "variant", "printer", "position", "empty_since", "given_up"]]


def _last_out(known: Records, today: pd.Timestamp) -> pd.Index:
    """The fitting that came out last of each place that holds none and asks for another one."""
    fittings = known.fittings
    place = np.zeros(len(fittings), np.int64)
    for column in PLACE:
        told = known.codes("fittings", column)
        place = place * len(told.words) + told.codes
    place = pd.factorize(place)[0]
    holds = np.zeros(len(fittings) + 1, dtype=bool)
    holds[place[fittings["removed_on"].isna().to_numpy()]] = True
    out = np.flatnonzero(~holds[place])
    # Of each place the last, of equal ones the last written down; what has no day comes first.
    days = [fittings[name].to_numpy()[out] for name in ("fitted_on", "removed_on")]
    order = np.lexsort((*(day.astype(np.int64) for day in days), place[out]))
    own = place[out][order]
    last = out[order[np.append(own[1:] != own[:-1], True)[: len(own)]]]
    printers = known.printers
    gone = set(printers["printer"].to_numpy()[(printers["retired_on"] <= today).to_numpy()])
    reason, printer = (fittings[name].to_numpy() for name in ("removal_reason", "printer"))
    asks = {*ASKS_FOR_ANOTHER, ""}
    kept = [row for row in last if reason[row] in asks and printer[row] not in gone]
    return fittings.index[np.sort(np.array(kept, dtype=np.int64))]


def _taken_by_another_kind(fittings: pd.DataFrame, last: pd.DataFrame) -> pd.Series:
    """Has a kind that was never in the place before gone in since? Dampers and lines share the
    names of their channels, so a kind that had been there all along takes no place.
    """
    taken = pd.Series(False, index=last.index)
    near = fittings[
        fittings["printer"].isin(last["printer"]) & fittings["position"].isin(last["position"])
    ]
    if near["part_kind"].nunique() < 2:
        return taken
    began = near.assign(began=near["fitted_on"].fillna(pd.Timestamp.min))
    first = began.groupby(PLACE)["began"].min().reset_index()
    pairs = last.reset_index(names="fitting").merge(first, on=["printer", "position"])
    another = pairs["part_kind_x"] != pairs["part_kind_y"]
    taken[pairs.loc[another & (pairs["began"] >= pairs["removed_on"]), "fitting"]] = True
    return taken


def _given_up(known: Records, empty: pd.DataFrame, today: pd.Timestamp) -> Bools:
    if empty.empty:
        return np.zeros(0, dtype=bool)
    days = (today - empty["empty_since"]).dt.days.to_numpy()
    given_up: Bools = days > LONGEST_DAYS
    long = np.flatnonzero((days > _late_days(known, empty) + SLACK_DAYS) & ~given_up)
    if len(long):
        worked_on = _last_work(known, empty["printer"].iloc[long])
        given_up[long] = [
            worked_on[row.printer] > row.empty_since
            or _printed(known, row.printer, row.empty_since)
            for row in empty.iloc[long].itertuples()
        ]
    return given_up


def _late_days(known: Records, empty: pd.DataFrame) -> Array:
    """The days after which a delivery of each one's type is late."""
    orders = known.orders[known.orders["part_kind"].isin(empty["part_kind"])]
    took = (orders["received_on"] - orders["ordered_on"]).dt.days
    orders, took = orders[took >= 0], took[took >= 0]
    found: dict[tuple[str, str], float] = {}
    types = list(zip(empty["part_kind"], empty["variant"], strict=True))
    for kind, variant in dict.fromkeys(types):
        # An order that names no type, or is for a part that names none, may be of the same.
        fits = orders["variant"].isin([variant, ""]) if variant else True
        days = np.sort(took[(orders["part_kind"] == kind) & fits].to_numpy(dtype=float))
        if len(days) >= ENOUGH_DELIVERIES:
            found[kind, variant] = float(days[ceil(0.9 * len(days)) - 1])
        else:
            told = float(known.part_facts(kind, variant).lead_days_late)
            found[kind, variant] = max([told, *days])
    return np.array([found[own] for own in types])


def _last_work(known: Records, printers: pd.Series) -> pd.Series:
    """The last day on which each of these was maintained or one of its parts changed."""
    names, changed = printers.unique(), known.fittings
    changed = changed[changed["printer"].isin(names)].groupby("printer")
    tasks = known.sum_of("maintenance", LAST_DONE)
    done = tasks.of(names, tasks.tasks).max(axis=1, initial=NO_DAY).astype(np.int32)
    days = [
        changed["fitted_on"].max(),
        changed["removed_on"].max(),
        pd.Series(days_of(done), names),
    ]
    return pd.concat(days).groupby(level=0).max()


def _printed(known: Records, printer: str, since: pd.Timestamp) -> bool:
    """Did the counter go up between two readings after that day?"""
    counters = known.counters
    read = counters[(counters["printer"] == printer) & (counters["read_on"] > since)]
    return len(read) > 1 and bool(read["area_m2"].max() > read["area_m2"].min())
