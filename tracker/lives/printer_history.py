"""What happened to one printer: parts in and out, tasks, stoppages, closed days, nozzles."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from tracker.lives.open_days import Closures
from tracker.workshop import vocabulary as words
from tracker.workshop.clocks.changes import true_times, zone_of
from tracker.workshop.columns.day_numbers import day_number
from tracker.workshop.records import Records
from tracker.workshop.variants import pooled_variants

RUNNING = "running"
_LOOKED_AT = {
    "fittings": (
        "part_kind", "position", "fitted_on", "removed_on", "removal_reason", "failure_mode",
    ),
    "maintenance": ("task", "done_on", "why"),
    "stoppages": (
        "began_at", "began_pass", "ended_at", "ended_pass", "cause", "part_kind",
    ),
    "nozzle_checks": ("position", "channel", "checked_on", "missing_nozzles"),
}  # fmt: skip
Place = tuple[str, str]  # part kind, position


@dataclass(frozen=True, eq=False)
class PrinterHistory:
    """One printer from the day ``first`` to the day ``last``, both in it.

    ``fittings``: ``part_kind, variant, position, fitted_on`` (NaT where not known), ``removed_on``
    (NaT while it is in), ``from_day`` and ``until_day`` (what of it lies in these days), ``end``
    (RUNNING or the reason it came out) and ``failure_mode``; index as in the records. ``work``:
    ``task, done_on, why``. ``stoppages``: ``began_at, ended_at`` (``last`` where it is not over),
    ``is_open, cause, part_kind``, and both times by a clock that never changes, ``began_truly`` and
    ``ended_truly``. ``closures``: first and last closed days. ``nozzle_checks``:
    ``position, channel, checked_on, missing_nozzles``. ``places`` of the fittings and ``channels``
    of the checks stand in the order of the printer's own.
    """

    printer: str
    first: date
    last: date
    fittings: pd.DataFrame
    work: pd.DataFrame
    stoppages: pd.DataFrame
    closures: tuple[tuple[date, date], ...]
    nozzle_checks: pd.DataFrame
    places: tuple[Place, ...]
    channels: tuple[tuple[str, str], ...]  # head position, channel

    @property
    def changes(self) -> pd.DataFrame:
        """The fittings that came out in these days."""
        came_out = self.fittings["removed_on"] >= pd.Timestamp(self.first)
        return self.fittings[came_out]

    def where_it_changed(self) -> PrinterHistory:
        """The same with the heads and only those other places into or out of which a part came in
        these days; the whole where nothing was changed.
        """
        began = self.fittings["fitted_on"] > pd.Timestamp(self.first)
        changed = self.fittings[began | (self.fittings["removed_on"] >= pd.Timestamp(self.first))]
        kept = {*zip(changed["part_kind"], changed["position"], strict=True)}
        places = tuple(place for place in self.places if place in kept or place[0] == "head")
        here = [
            place in places
            for place in zip(self.fittings["part_kind"], self.fittings["position"], strict=True)
        ]
        if not kept:
            return self
        return replace(self, fittings=self.fittings[here], places=places)

    def without_work(self) -> PrinterHistory:
        """The same without the tasks done."""
        return replace(self, work=self.work.iloc[:0])

    @property
    def head_changes(self) -> pd.DataFrame:
        """The heads that went in after the first of these days: ``position, fitted_on``."""
        heads = self.fittings[self.fittings["part_kind"] == "head"]
        later = heads[heads["fitted_on"] > pd.Timestamp(self.first)]
        return later[["position", "fitted_on"]].sort_values("fitted_on", ignore_index=True)

    @property
    def stood_days(self) -> float:
        """Days that these stoppages lasted, those at one time counted once."""
        began, ended = (self.stoppages[name] for name in ("began_truly", "ended_truly"))
        order = began.argsort()
        total, reached = 0.0, began.min()
        for start, end in zip(began.iloc[order], ended.iloc[order], strict=True):
            total += max(0.0, (end - max(start, reached)) / pd.Timedelta(days=1))
            reached = max(reached, end)
        return total


def printer_history(
    records: Records, as_of: date, printer: str, days: int | None = None
) -> PrinterHistory:
    """What happened to that printer in the last so many days, or ever (None)?

    A part that went in before these days and is in still belongs to them, as does one that came
    out in them. ``printer`` is one of the records'.
    """
    known = records.known_at(as_of)
    own = {name: _own_rows(known, name, printer, columns) for name, columns in _LOOKED_AT.items()}
    variant = pooled_variants(known).loc[own["fittings"].index]
    first = _first_day(own, as_of, days)
    start, end = pd.Timestamp(first), pd.Timestamp(as_of) + pd.Timedelta(days=1)
    channels = str(known.printers.loc[known.printers["printer"] == printer, "channels"].iloc[-1])
    fittings = _fittings(own["fittings"].assign(variant=variant), start, pd.Timestamp(as_of))
    work, checks = own["maintenance"], own["nozzle_checks"]
    work = work[work["done_on"] >= start]
    checks = checks[checks["checked_on"] >= start].sort_values("checked_on")
    return PrinterHistory(
        printer,
        first,
        as_of,
        fittings,
        work[["task", "done_on", "why"]],
        _stoppages(own["stoppages"], start, end, zone_of(known)),
        tuple(Closures.of(known).spans_between(printer, first, as_of)),
        checks[["position", "channel", "checked_on", "missing_nozzles"]],
        _places(fittings, channels.split()),
        _channels(checks, channels.split()),
    )


def done_on(records: Records, printer: str, day: date) -> dict[str, str]:
    """The tasks written down as done on that printer and day, each with who did it ("": unsaid)."""
    of_day = records.coded_table("maintenance").of_day("done_on", day_number(day))
    done: dict[str, str] = {}
    for rows in of_day:
        here = rows.cut(np.flatnonzero(rows.codes("printer").is_word(printer)))
        done |= dict(zip(here.cells("task"), here.cells("done_by"), strict=True))
    return done


def _own_rows(known: Records, table: str, printer: str, columns: tuple[str, ...]) -> pd.DataFrame:
    rows = np.flatnonzero(known.codes(table, "printer").is_word(printer))
    return known.rows_at(table, rows, *columns)


def _first_day(own: dict[str, pd.DataFrame], as_of: date, days: int | None) -> date:
    """The first of the days looked at; of all of them that of the first entry."""
    entries = [
        own[name][column].min()
        for name, column in (
            ("fittings", "fitted_on"),
            ("fittings", "removed_on"),
            ("maintenance", "done_on"),
            ("stoppages", "began_at"),
            ("nozzle_checks", "checked_on"),
        )
    ]
    written = [day.date() for day in entries if not pd.isna(day)]
    earliest = min(written, default=as_of)
    if days is None:
        return earliest
    return (pd.Timestamp(as_of) - pd.Timedelta(days=days - 1)).date()


def _fittings(own: pd.DataFrame, start: pd.Timestamp, end: pd.Timestamp) -> pd.DataFrame:
    kept = own[own["removed_on"].isna() | (own["removed_on"] >= start)]
    reason = kept["removal_reason"].replace("", "unknown")
    return kept[["part_kind", "variant", "position", "fitted_on", "removed_on"]].assign(
        from_day=kept["fitted_on"].fillna(start).clip(lower=start),
        until_day=kept["removed_on"].fillna(end),
        end=reason.where(kept["removed_on"].notna(), RUNNING),
        failure_mode=kept["failure_mode"],
    )


def _stoppages(
    own: pd.DataFrame, start: pd.Timestamp, end: pd.Timestamp, zone: ZoneInfo | None
) -> pd.DataFrame:
    is_open = own["ended_at"].isna()
    ended = own["ended_at"].fillna(end).clip(upper=end)
    kept = ended > start
    found = own.assign(began_at=own["began_at"].clip(lower=start), ended_at=ended, is_open=is_open)
    began_truly, ended_truly = true_times(found, zone)
    found = found.assign(began_truly=began_truly, ended_truly=ended_truly)
    names = ["began_at", "ended_at", "is_open", "cause", "part_kind", "began_truly", "ended_truly"]
    return found.loc[kept, names]


def _places(fittings: pd.DataFrame, channels: list[str]) -> tuple[Place, ...]:
    """The places, kinds in the trade's order, then the printer's own order of channels."""
    kinds = {kind: at for at, kind in enumerate(words.BUILT_IN_PART_KINDS)}
    found = {
        (str(kind), str(position))
        for kind, position in zip(fittings["part_kind"], fittings["position"], strict=True)
    }
    return tuple(
        sorted(found, key=lambda one: (kinds.get(one[0], len(kinds)), one[0],
                                       _rank(one[1], channels), one[1]))
    )  # fmt: skip


def _channels(checks: pd.DataFrame, channels: list[str]) -> tuple[tuple[str, str], ...]:
    found = {
        (str(position), str(channel))
        for position, channel in zip(checks["position"], checks["channel"], strict=True)
    }
    return tuple(sorted(found, key=lambda one: (one[0], _rank(one[1], channels), one[1])))


def _rank(name: str, channels: list[str]) -> int:
    return channels.index(name) if name in channels else len(channels)


def latest_counts(history: PrinterHistory) -> pd.DataFrame:
    """The last count of every channel of the heads that are in it now, none from before they went
    in: ``position, channel, checked_on, missing_nozzles``.

    >>> from datetime import date
    >>> from tracker.workshop.records import Records
    >>> row = pd.DataFrame({"printer": ["Left"], "started_on": ["2026-01-01"], "channels": ["K"]})
    >>> history = printer_history(Records.of({"printers": row}), date(2026, 3, 1), "Left")
    >>> len(latest_counts(history))
    0
    """
    last = history.nozzle_checks.drop_duplicates(["position", "channel"], keep="last")
    went_in = history.head_changes.groupby("position")["fitted_on"].max()
    newest = last["position"].map(went_in)
    last = last[newest.isna() | (last["checked_on"] >= newest)]
    at = {place: number for number, place in enumerate(history.channels)}
    order = [at[place] for place in zip(last["position"], last["channel"], strict=True)]
    return last.iloc[np.argsort(order, kind="stable")].reset_index(drop=True)
