"""Is one printer getting worse? Stoppages and drop-outs added up over the life of the log.

A printer is called worse only when its rate rose over the last twelve months by more than chance
explains: Laplace's test on those months, its spread widened where events come in bursts (a bad
batch is a burst, not a trend; quasi-Poisson, McCullagh & Nelder 1989, ch. 9), Holm's guard over the
printers, and a strict level. A season rises for half a year as well, so once eighteen months were
watched the last half year must also beat the same days a year before (exact ratio of two Poisson
rates, a chance of 5 % or less). A printer's first months do not count: there every part is new at
once, and the first failures only bring it to its usual rate. What was said in an earlier month is
not news again.

Measured on simulated workshops of four printers watched for three years, twelve reviews in a row
(200 to 400 each): years with a false alarm 1 to 2 % at a steady rate (10 to 60 events a year and
printer), 3 to 7 % under a season of ±60 %, 6 to 9 % where events come in bursts of three to six. A
rate that grows threefold over the year on one of the four is named in 19 % of years at 20 events a
year and 52 % at 40, fivefold in 72 and 98 %. A log of less than eighteen months cannot tell a
season from a trend (8 to 32 % of second years alarmed, steady rate 4 %), and the sentence says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd
from scipy.special import ndtr, stdtr

from tracker.arrays import Array, Ints
from tracker.errors import NotEnoughData
from tracker.models.events import mean_cumulative_function, rate_ratio
from tracker.review.expectation import holm
from tracker.review.period import Period, first_day
from tracker.workshop.columns.day_numbers import NO_DAY, days_of
from tracker.workshop.records import Records

LEAST_EVENTS = 8  # in the last twelve months, to judge a trend by
LEAST_DAYS = 180.0
YEAR_DAYS = 365.0
SETTLING_DAYS = 120.0  # a typical life of the quick parts; common practice, no source
LEVEL = 0.01  # a month, all printers together; found by simulation, see tests
LEAST_MISSING = 3  # one or two missing nozzles come and go; common practice, no source
_BLOCK_DAYS = 30.0
_DAY = pd.Timedelta(days=1)
_MONTHS_BACK = 12
SEASON_DAYS = 182.0  # compared with the same days a year before
SEASON_CHANCE = 0.1  # two-sided, so 5 % for more events
_COLUMNS = ("printer", "events", "days", "last_year", "chance_if_steady", "verdict")


@dataclass(frozen=True, eq=False)
class PrinterTrend:
    """Events of one sort (``what``, "stoppage" or "drop-out") per printer.

    ``curves``: ``printer, day`` (of watching), ``events`` so far; ``mean`` the mean cumulative
    function of all printers with its 95 % band; ``printers``: events, days watched, events in the
    ``last_year``, chance of so much worsening under a steady rate (NaN: too few to tell) and
    ``verdict``. ``worse`` names printers found getting worse for the first time this month,
    ``still`` those said so before, with the month it was first said; ``season_unknown`` those of
    both that were not watched long enough to tell a season from a trend.
    """

    what: str
    curves: pd.DataFrame
    mean: pd.DataFrame
    printers: pd.DataFrame
    worse: tuple[str, ...]
    still: tuple[tuple[str, date], ...]
    season_unknown: frozenset[str] = frozenset()

    @property
    def named(self) -> tuple[str, ...]:
        """The printers getting worse, whether that is news or not."""
        return (*self.worse, *(printer for printer, _ in self.still))

    @property
    def can_tell(self) -> bool:
        """False where every printer has too few events to judge a trend by."""
        return bool(self.printers["chance_if_steady"].notna().any())


def stoppage_trend(records: Records, period: Period) -> PrinterTrend:
    """Do the stoppages of a printer come faster than they did a year ago?"""
    stops = records.stoppages
    return _trend("stoppage", stops["printer"], stops["began_at"], records, period)


def drop_out_trend(records: Records, period: Period) -> PrinterTrend:
    """Do nozzles drop out more often? One drop-out per printer and day, see ``drop_outs``."""
    events = drop_outs(records)
    return _trend("drop-out", events["printer"], events["day"], records, period)


def drop_outs(records: Records) -> pd.DataFrame:
    """Days on which a nozzle check found a channel newly bad: ``printer, day``.

    Newly bad: LEAST_MISSING or more missing nozzles where the head's check before found fewer in
    that channel; one without a row missed none, as in ``nozzle_checks.head_checks``. Several
    channels on one day are one drop-out.
    """
    table = "nozzle_checks"
    checked = records.day_numbers(table, "checked_on")
    rows = np.flatnonzero(checked != NO_DAY)
    day = checked[rows].astype(np.int64)
    if not len(day):
        return pd.DataFrame({"printer": np.zeros(0, object), "day": days_of(checked[rows])})
    began, span = int(day.min()), int(np.ptp(day)) + 1
    printer, position, channel = (
        records.codes(table, name).take(rows) for name in ("printer", "position", "channel")
    )
    places, channels = len(position.words), len(channel.words)
    head = printer.codes.astype(np.int64) * places + position.codes
    looked = np.unique(head * span + day - began)  # the days on which each head was checked
    is_bad = records.cells(table, "missing_nozzles")[rows] >= LEAST_MISSING
    bad = np.unique((head[is_bad] * channels + channel.codes[is_bad]) * span + day[is_bad] - began)
    where, when = np.divmod(bad, span)
    at = np.searchsorted(looked, where // channels * span + when)
    earlier, before = np.divmod(looked[np.maximum(at - 1, 0)], span)
    is_new = (at > 0) & (earlier == where // channels)
    is_new &= ~np.isin(where * span + before, bad)
    whose, when = where[is_new] // channels // places, when[is_new]
    when, whose = np.divmod(np.unique(when * len(printer.words) + whose), len(printer.words))
    days = days_of((when + began).astype(np.int32))
    return pd.DataFrame({"printer": printer.words[whose], "day": days})


def _trend(
    what: str, printer: pd.Series, when: pd.Series, records: Records, period: Period
) -> PrinterTrend:
    events = _Events.of(printer, when, records.once(_watches, period))
    chances = events.chances()
    found = events.getting_worse(chances)
    still = _said_before(found, events, period)
    names, of = events.names, events.printer
    verdict = np.where(np.isnan(chances), "too few to tell", "no sign of getting worse")
    verdict[found] = "getting worse"
    curves = pd.DataFrame(
        {
            "printer": names[of],
            "day": events.day,
            "events": np.arange(len(of)) - events.first[of] + 1,
        }
    )
    table = pd.DataFrame(
        {
            "printer": names,
            "events": np.bincount(of, minlength=len(names)),
            "days": events.watched,
            "last_year": np.bincount(
                of[events.day > (events.watched - YEAR_DAYS)[of]], minlength=len(names)
            ),
            "chance_if_steady": chances,
            "verdict": verdict.astype(object),
        }
    )
    try:
        watched = dict(zip(names.tolist(), events.watched.tolist(), strict=True))
        mean = mean_cumulative_function(curves["printer"], events.day, watched)
    except NotEnoughData:
        mean = pd.DataFrame()
    return PrinterTrend(
        what=what,
        curves=curves,
        mean=mean,
        printers=table[list(_COLUMNS)],
        worse=tuple(names[own] for own in found if own not in still),
        still=tuple((names[own], day) for own, day in still.items()),
        season_unknown=frozenset(
            names[own]
            for own in found
            if not _knows_the_season(events.watched[own], events.settled[own])
        ),
    )


def _watches(records: Records, period: Period) -> pd.DataFrame:
    """Per printer the day on which watching began (``start``), that (of watching) on which it had
    ``settled``, and days ``watched``.
    """
    until, log = pd.Timestamp(period.last) + _DAY, first_day(records)
    printers = records.printers.drop_duplicates("printer", keep="last").set_index("printer")
    came, retired = printers["started_on"], printers["retired_on"]
    start = came if log is None else came.where(came > pd.Timestamp(log), pd.Timestamp(log))
    end = retired.where(retired < until, until)
    settled = ((came - start) / _DAY + SETTLING_DAYS).clip(lower=0.0).fillna(0.0)
    found = pd.DataFrame({"start": start, "settled": settled, "watched": (end - start) / _DAY})
    return found[found["watched"] > 0]


@dataclass(frozen=True, eq=False)
class _Events:
    """The events of ``names``, printer after printer by name and in each by the ``day`` of
    watching: which ``printer`` each is of, and the ``first`` of each printer. ``settled,
    watched (printers,)``: see ``_watches``.
    """

    names: np.ndarray
    printer: Ints
    day: Array
    first: Ints
    settled: Array
    watched: Array

    @classmethod
    def of(cls, printer: pd.Series, when: pd.Series, watches: pd.DataFrame) -> _Events:
        """Those that were watched."""
        of = watches.index.get_indexer(pd.Index(printer))
        there = np.flatnonzero(of >= 0)
        of, watched = of[there], watches["watched"].to_numpy()
        began = watches["start"].to_numpy()[of]
        day = (when.to_numpy()[there] - began) / _DAY.to_timedelta64()
        kept = np.flatnonzero((day > 0) & (day <= watched[of]))
        of, day = of[kept], day[kept]
        names = watches.index.to_numpy(dtype=object)
        rank = np.argsort(np.argsort(names))
        order = np.lexsort((day, rank[of]))
        first = np.searchsorted(rank[of[order]], rank)
        return cls(names, of[order], day[order], first, watches["settled"].to_numpy(), watched)

    def chances(self, back: float = 0.0) -> Array:
        """Of each printer the chance of so much worsening under a steady rate, so many days before
        the end of watching; NaN where there is too little to judge.
        """
        end = self.watched - back
        begin = np.maximum(end - YEAR_DAYS, self.settled)
        inside = (self.day > begin[self.printer]) & (self.day <= end[self.printer])
        count = np.bincount(self.printer[inside], minlength=len(self.names))
        judged = np.flatnonzero((end - begin >= LEAST_DAYS) & (count >= LEAST_EVENTS))
        place = np.full(len(self.names), -1)
        place[judged] = np.arange(len(judged))
        rows = np.flatnonzero(inside & (place[self.printer] >= 0))
        of = self.printer[rows]
        chances = np.full(len(self.names), np.nan)
        chances[judged] = chances_if_steady(
            place[of], self.day[rows] - begin[of], (end - begin)[judged]
        )
        return chances

    def getting_worse(self, chances: Array, back: float = 0.0) -> list[int]:
        """The printers that are, so many days before the end of watching, by their chances then."""
        judged = np.argsort(self.names)
        judged = judged[~np.isnan(chances[judged])]
        out = holm(chances[judged].tolist(), LEVEL)
        return [
            own
            for own in judged[np.array(out, dtype=bool)].tolist()
            if more_than_a_year_before(
                self.day[self.printer == own], self.watched[own] - back, self.settled[own]
            )
        ]


def chances_if_steady(of: Ints, days: Array, watched: Array) -> Array:
    """The chance of so much worsening, or more, were each rate steady: (printers,).

    ``of``: which printer, from 0 on, had an event on each of ``days``, of so many ``watched``; all
    had some. Laplace's statistic over the square root of how much more the counts of thirty days
    spread around their own trend than a Poisson count would (never less than 1).

    >>> days = np.array([30.0, 170, 200, 250, 270, 300, 320, 340])
    >>> chances_if_steady(np.zeros(8, int), days, np.array([365.0])).round(3)
    array([0.079])
    """
    blocks = (watched // _BLOCK_DAYS).astype(np.int64)
    block = np.arange(int(blocks.max(initial=0)))
    inside = block < blocks[:, None]
    at = np.minimum((days * blocks[of] / watched[of]).astype(np.int64), blocks[of] - 1)
    counts = np.bincount(of * len(block) + at, minlength=inside.size).reshape(inside.shape)
    middle = np.where(inside, (block + 0.5) / blocks[:, None] - 0.5, 0.0)
    many = counts.sum(axis=1)
    slope = 12 * (middle * counts).sum(axis=1) / many
    bent = 1 + np.clip(slope, -1.9, 1.9)[:, None] * middle
    usual = np.maximum((many / blocks)[:, None] * bent, 1e-9)
    spread = np.where(inside, (counts - usual) ** 2 / usual, 0.0).sum(axis=1) / (blocks - 2)
    late = np.bincount(of, days, len(watched)) - many * watched / 2
    statistic = late / (watched * np.sqrt(many / 12))
    widened = stdtr(blocks - 2, -statistic / np.sqrt(np.maximum(spread, 1.0)))
    return np.where(spread <= 1, ndtr(-statistic), widened)


def more_than_a_year_before(days: Array, end: float, since: float) -> bool:
    """Did the half year to ``end`` have more events than the same days a year before?

    True as well where those days were not watched from ``since`` on: then nobody can tell.

    >>> last = np.array([370.0, 400, 430, 460, 500, 540])
    >>> more_than_a_year_before(last, 547, 0), more_than_a_year_before(last, 547, 1)
    (True, True)
    >>> more_than_a_year_before(np.concatenate([last - 365, last]), 547, 0)
    False
    """
    if not _knows_the_season(end, since):
        return True
    now = int(((days > end - SEASON_DAYS) & (days <= end)).sum())
    a_year_ago = end - YEAR_DAYS
    then = int(((days > a_year_ago - SEASON_DAYS) & (days <= a_year_ago)).sum())
    if now <= then:
        return False
    return rate_ratio(now, SEASON_DAYS, then, SEASON_DAYS).p_doubled < SEASON_CHANCE


def _knows_the_season(end: float, since: float) -> bool:
    return end - YEAR_DAYS - SEASON_DAYS >= since


def _said_before(found: list[int], events: _Events, period: Period) -> dict[int, date]:
    """Of the printers found, those an earlier month of the last twelve named already, and when."""
    said: dict[int, date] = {}
    for months in range(1, _MONTHS_BACK + 1) if found else ():
        month = period.month - months
        back = (pd.Timestamp(period.last) + _DAY - (month + 1).start_time) / _DAY
        then = events.getting_worse(events.chances(back), back)
        said.update({own: month.start_time.date() for own in found if own in then})
    return said
