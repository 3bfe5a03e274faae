"""On which days is a printer open, and on which is it closed by a holiday or a shutdown?"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.lives.open_numbers import ALWAYS_OPEN, OpenCalendar, OpenNumbers
from tracker.workshop.columns.day_numbers import day_number, day_of
from tracker.workshop.records import Records
from tracker.workshop.settings.spans_worked import WORKED_THROUGH, spans_worked
from tracker.workshop.working_days import of_workshop

_A_YEAR = 365
_UNUSUAL = 3  # times the usual distance between days with an entry


@dataclass(frozen=True, eq=False)
class Closures:
    """The closed days of every printer; days are whole days since 1970-01-01.

    ``spans`` holds for each printer the first and last closed days, shape (n, 2), in order and
    without overlap. A printer that is not named is never closed.
    """

    spans: dict[str, NDArray[np.int64]]

    @classmethod
    def of(cls, records: Records) -> Closures:
        """As written down: for the whole workshop, for a site, or for a printer."""
        return records.once(cls._written_down)

    @classmethod
    def _written_down(cls, records: Records) -> Closures:
        closed = of_workshop(records.closures).dropna(subset=["began_on", "ended_on"])
        if closed.empty:
            return cls({})
        site, printer = closed["site"].to_numpy(), closed["printer"].to_numpy()
        named = set(printer)
        spans = {}
        # Printers closed by the same rows share one array, by which others know them for alike.
        by_site: dict[str, NDArray[np.bool_]] = {}
        shared: dict[bytes, NDArray[np.int64]] = {}
        for name, stands in zip(records.printers["printer"], records.printers["site"], strict=True):
            if stands not in by_site:
                by_site[stands] = (printer == "") & ((site == "") | (site == stands))
            mine = by_site[stands] | (printer == name) if name in named else by_site[stands]
            rows = mine.tobytes()
            if rows not in shared and mine.any():
                shared[rows] = _spans_of(closed[mine])
            if rows in shared:
                spans[str(name)] = shared[rows]
        return cls(spans)

    @classmethod
    def merged(cls, printer: str, spans: NDArray[np.int64]) -> Closures:
        """One printer's closed days from spans in any order, which may overlap."""
        return cls({printer: _merged(spans[:, 0], spans[:, 1])})

    def is_closed(self, printer: str, days: NDArray[np.int64]) -> NDArray[np.bool_]:
        """True for each day (whole days since 1970-01-01, any shape) on which it is closed."""
        spans = self.spans.get(printer)
        if spans is None:
            return np.zeros(np.shape(days), dtype=bool)
        at = np.searchsorted(spans[:, 0], days, side="right") - 1
        return np.asarray((at >= 0) & (days <= spans[np.maximum(at, 0), 1]))

    def closed_on(self, printer: str, day: date) -> bool:
        """Is the printer closed on that day?"""
        return bool(self.is_closed(printer, np.array(day_number(day))))

    def closed_days(
        self, printer: str, first: NDArray[np.int64], after: NDArray[np.int64]
    ) -> NDArray[np.int64]:
        """How many closed days lie in [first, after)? Arrays of day numbers of one shape."""
        calendar = self._calendar(printer)
        return calendar.closed_before(after) - calendar.closed_before(first)

    def beside(self, others: Closures) -> Closures:
        """With the days on which the others close as well."""
        both = {
            name: np.concatenate((self.spans[name], spans)) if name in self.spans else spans
            for name, spans in others.spans.items()
        }
        return Closures(
            self.spans | {name: _merged(spans[:, 0], spans[:, 1]) for name, spans in both.items()}
        )

    def open_numbers(self, printers: Iterable[str]) -> OpenNumbers:
        """The calendars without closed days of these printers."""
        return OpenNumbers([self._calendar(printer) for printer in printers])

    def _calendar(self, printer: str) -> OpenCalendar:
        """Printers that close together share one."""
        if printer not in self.spans:
            return ALWAYS_OPEN
        if printer not in self._calendars:
            spans = self.spans[printer]
            key = spans.tobytes()
            if key not in self._laid_out:
                self._laid_out[key] = OpenCalendar.without(spans)
            self._calendars[printer] = self._laid_out[key]
        return self._calendars[printer]

    @cached_property
    def _calendars(self) -> dict[str, OpenCalendar]:
        return {}

    @cached_property
    def _laid_out(self) -> dict[bytes, OpenCalendar]:
        return {}

    def first_open(self, printer: str, day: date) -> date:
        """That day, or the first one after it on which the printer is not closed."""
        for began, ended in self.spans_between(printer, day, day):
            if began <= day <= ended:
                return ended + timedelta(days=1)
        return day

    def spans_between(self, printer: str, first: date, last: date) -> list[tuple[date, date]]:
        """First and last day of every closure that touches these days (both included)."""
        spans = self.spans.get(printer)
        if spans is None:
            return []
        touching = (spans[:, 0] <= day_number(last)) & (spans[:, 1] >= day_number(first))
        return [(day_of(began), day_of(ended)) for began, ended in spans[touching]]

    def closed_between(self, printer: str, after: date, until: date) -> int:
        """How many closed days lie after ``after`` up to ``until``; 0 where none does."""
        if printer not in self.spans or until <= after:
            return 0
        first, end = (np.array([day_number(day) + 1]) for day in (after, until))
        return int(self.closed_days(printer, first, end)[0])


def closed_share(known: Records, as_of: date) -> float:
    """The share of the last year's days on which the printers were closed, averaged over them."""
    closures = Closures.of(known)
    printers = known.printers["printer"].unique()
    if not len(printers):
        return 0.0
    year = day_number(as_of) + 1 + np.array([-_A_YEAR, 0])
    closed = sum(
        len(rows) * int(np.diff(calendar.closed_before(year))[0])
        for rows, calendar in closures.open_numbers(printers).together()
    )
    return closed / len(printers) / _A_YEAR


def _merged(began: NDArray[np.int64], ended: NDArray[np.int64]) -> NDArray[np.int64]:
    """Spans in order, those that overlap or touch made one."""
    order = np.argsort(began, kind="stable")
    began, ended = began[order], np.maximum.accumulate(ended[order])
    starts = np.concatenate([[True], began[1:] > ended[:-1] + 1])
    last = np.concatenate([np.flatnonzero(starts)[1:] - 1, [len(began) - 1]])
    return np.stack([began[starts], ended[last]], axis=1)


def quiet_gaps(records: Records, as_of: date, *, at_least: int = 7) -> pd.DataFrame:
    """Stretches in which nothing at all was written down: closed, or the log not kept?

    Returns rows ``began_on, ended_on, days`` (first and last silent day) of at least so many days
    between two entries of the workshop, and of more than three times its usual distance between
    days with an entry, for a log written once a week is not silent in between. Closures that are
    written down, stretches on which people say they worked (setting ``worked_through``) and the
    time before the log began are left out; as known on that day, in order.
    """
    known = records.known_at(as_of)
    written = (
        *(("maintenance", "done_on"), ("nozzle_checks", "checked_on"), ("stoppages", "began_at")),
        *(("fittings", "fitted_on"), ("fittings", "removed_on"), ("counters", "read_on")),
    )
    days = np.unique(np.concatenate([known.days_written(*column) for column in written]))
    days = days[days >= _log_began(known)]
    if len(days) > 1:
        at_least = max(at_least, int(_UNUSUAL * np.median(np.diff(days))))
    closures = of_workshop(known.closures)
    whole = closures[(closures["site"] == "") & (closures["printer"] == "")]
    explained = pd.concat([whole[["began_on", "ended_on"]], _worked_through(known)])
    closed = Closures({"": _spans_of(explained)} if len(explained) else {})
    gap = np.flatnonzero(np.diff(days) > at_least)
    rows = []
    for before, after in zip(days[gap], days[gap + 1], strict=True):
        silent = np.arange(before + 1, after)
        silent = silent[~closed.is_closed("", silent)]
        if len(silent) >= at_least:
            rows.append((silent[0], silent[-1], len(silent)))
    columns = np.array(rows, dtype=np.int64).reshape(-1, 3)
    return pd.DataFrame(
        {
            "began_on": columns[:, 0].astype("datetime64[D]").astype("datetime64[ns]"),
            "ended_on": columns[:, 1].astype("datetime64[D]").astype("datetime64[ns]"),
            "days": columns[:, 2],
        }
    )


def _log_began(known: Records) -> int:
    """The first day of the log; parts fitted before it were written down afterwards."""
    if known.log_began_on is not None:
        return day_number(known.log_began_on)
    first = [
        known.oldest(table, column)
        for table, column in (
            ("maintenance", "done_on"),
            ("nozzle_checks", "checked_on"),
            ("stoppages", "began_at"),
            ("counters", "read_on"),
            ("fittings", "removed_on"),
        )
    ]
    return min((day_number(day.date()) for day in first if day is not None), default=0)


def _worked_through(known: Records) -> pd.DataFrame:
    spans = spans_worked(known.setting(WORKED_THROUGH))
    frame = pd.DataFrame(spans, columns=["began_on", "ended_on"])
    return frame.astype("datetime64[ns]")


def _spans_of(closed: pd.DataFrame) -> NDArray[np.int64]:
    began, ended = (
        closed[name].to_numpy().astype("datetime64[D]").astype(np.int64)
        for name in ("began_on", "ended_on")
    )
    return _merged(began, ended)
