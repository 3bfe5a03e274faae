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

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.errors import NotEnoughData
from tracker.models.events import (
    laplace_trend,
    mean_cumulative_function,
    rate_ratio,
)
from tracker.review.expectation import holm
from tracker.review.period import Period, first_day
from tracker.workshop.records import Records

LEAST_EVENTS = 8  # in the last twelve months, to judge a trend by
LEAST_DAYS = 180.0
YEAR_DAYS = 365.0
SETTLING_DAYS = 120.0  # a typical life of the quick parts; common practice, no source
LEVEL = 0.01  # a month, all printers together; found by simulation, see tests
LEAST_MISSING = 3  # one or two missing nozzles come and go; common practice, no source
_BLOCK_DAYS = 30.0
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

    Newly bad: LEAST_MISSING or more missing nozzles where the channel's check before found fewer.
    Several channels on one day are one drop-out.
    """
    checks = records.nozzle_checks.sort_values("checked_on", kind="stable")
    bad = checks["missing_nozzles"] >= LEAST_MISSING
    channel = [checks["printer"], checks["position"], checks["channel"]]
    before = bad.groupby(channel).shift()
    new = checks[bad & before.eq(False)]
    days = pd.DataFrame({"printer": new["printer"], "day": new["checked_on"]})
    return days.drop_duplicates().reset_index(drop=True)


def _trend(
    what: str, printer: pd.Series, when: pd.Series, records: Records, period: Period
) -> PrinterTrend:
    start, settled, watched = records.once(_watches, period)
    names = list(watched)
    of = pd.Index(names, dtype=object).get_indexer(printer)
    began = np.array([start[name] for name in names], dtype="datetime64[ns]")
    until = np.array(list(watched.values()), dtype=np.float64)
    rows = np.flatnonzero(of >= 0)
    of, when = of[rows], when.to_numpy()[rows]
    age = (when - began[of]) / np.timedelta64(1, "D")
    kept = (age > 0) & (age <= until[of])
    of, age = of[kept], age[kept]
    # By name: the rank of each among them all.
    rank = np.argsort(np.argsort(np.array(names, dtype=object)))
    order = np.lexsort((age, rank[of]))
    of, age = of[order], age[order]
    begins = np.flatnonzero(np.diff(of, prepend=-1))
    lengths = np.diff(np.append(begins, len(of)))
    curves = pd.DataFrame(
        {
            "printer": np.array(names, dtype=object)[of],
            "day": age,
            "events": np.arange(len(of)) - np.repeat(begins, lengths) + 1,
        }
    )
    days_of = {
        names[of[begin]]: age[begin : begin + many]
        for begin, many in zip(begins.tolist(), lengths.tolist(), strict=True)
    }
    chances = _chances(days_of, watched, settled, 0.0)
    found = _named(chances, days_of, watched, settled, 0.0)
    still = _said_before(found, days_of, watched, settled, period)
    table = pd.DataFrame(
        {
            "printer": names,
            "events": [len(days_of.get(name, ())) for name in names],
            "days": [watched[name] for name in names],
            "last_year": [
                int((days_of.get(name, np.empty(0)) > watched[name] - YEAR_DAYS).sum())
                for name in names
            ],
            "chance_if_steady": [chances.get(name, np.nan) for name in names],
        }
    ).astype({"chance_if_steady": float})
    table["verdict"] = [
        "getting worse" if row.printer in found
        else "too few to tell" if pd.isna(row.chance_if_steady)
        else "no sign of getting worse"
        for row in table.itertuples()
    ]  # fmt: skip
    try:
        mean = mean_cumulative_function(curves["printer"], age, watched)
    except NotEnoughData:
        mean = pd.DataFrame()
    return PrinterTrend(
        what=what,
        curves=curves,
        mean=mean,
        printers=table[list(_COLUMNS)],
        worse=tuple(name for name in found if name not in still),
        still=tuple(still.items()),
        season_unknown=frozenset(
            name for name in found if not _knows_the_season(watched[name], settled[name])
        ),
    )


def _watches(
    records: Records, period: Period
) -> tuple[dict[str, pd.Timestamp], dict[str, float], dict[str, float]]:
    """Per printer the day watching began, the day (of watching) it had settled, days watched."""
    until = pd.Timestamp(period.last) + pd.Timedelta(days=1)
    log = first_day(records)
    day = pd.Timedelta(days=1)
    start: dict[str, pd.Timestamp] = {}
    settled: dict[str, float] = {}
    watched: dict[str, float] = {}
    for row in records.printers.drop_duplicates("printer", keep="last").itertuples():
        came = row.started_on
        known = [at for at in (came, None if log is None else pd.Timestamp(log)) if at is not None]
        known = [at for at in known if not pd.isna(at)]
        end = until if pd.isna(row.retired_on) else min(until, row.retired_on)
        if not known or end <= max(known):
            continue
        start[row.printer] = max(known)
        watched[row.printer] = (end - max(known)) / day
        since = 0.0 if pd.isna(came) else (came - max(known)) / day + SETTLING_DAYS
        settled[row.printer] = max(since, 0.0)
    return start, settled, watched


def _chances(
    days_of: Mapping[str, Array],
    watched: Mapping[str, float],
    settled: Mapping[str, float],
    back: float,
) -> dict[str, float]:
    """Chance of so much worsening under a steady rate, so many days before the end of watching."""
    chances = {}
    for name, days in days_of.items():
        end = watched[name] - back
        begin = max(end - YEAR_DAYS, settled[name])
        inside = days[(days > begin) & (days <= end)] - begin
        if end - begin >= LEAST_DAYS and len(inside) >= LEAST_EVENTS:
            chances[name] = chance_if_steady(inside, end - begin)
    return chances


def chance_if_steady(days: Array, watched: float) -> float:
    """The chance of so much worsening, or more, were the rate steady.

    Laplace's statistic over the square root of how much more the counts of thirty days spread
    around their own trend than a Poisson count would (never less than 1).

    >>> round(chance_if_steady(np.array([30.0, 170, 200, 250, 270, 300, 320, 340]), 365), 3)
    0.079
    """
    trend = laplace_trend(days, watched)
    blocks = int(watched // _BLOCK_DAYS)
    counts = np.histogram(days, np.linspace(0, watched, blocks + 1))[0]
    middle = (np.arange(blocks) + 0.5) / blocks - 0.5
    slope = 12 * float(middle @ counts) / max(counts.sum(), 1)
    usual = np.maximum(counts.mean() * (1 + np.clip(slope, -1.9, 1.9) * middle), 1e-9)
    spread = float(np.sum((counts - usual) ** 2 / usual) / (blocks - 2))
    if spread <= 1:
        return trend.p_worse
    from scipy.special import stdtr

    return float(stdtr(blocks - 2, -trend.statistic / np.sqrt(spread)))


def _named(
    chances: Mapping[str, float],
    days_of: Mapping[str, Array],
    watched: Mapping[str, float],
    settled: Mapping[str, float],
    back: float,
) -> tuple[str, ...]:
    """Printers getting worse so many days before the end of watching, by their chances then."""
    out = holm(list(chances.values()), LEVEL)
    return tuple(
        name
        for name, is_worse in zip(chances, out, strict=True)
        if is_worse and more_than_a_year_before(days_of[name], watched[name] - back, settled[name])
    )


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


def _said_before(
    found: tuple[str, ...],
    days_of: Mapping[str, Array],
    watched: Mapping[str, float],
    settled: Mapping[str, float],
    period: Period,
) -> dict[str, date]:
    """Of the printers found, those an earlier month of the last twelve named already, and when."""
    said: dict[str, date] = {}
    if not found:
        return said
    for months in range(1, _MONTHS_BACK + 1):
        month = period.month - months
        end = (month + 1).start_time
        back = (pd.Timestamp(period.last) + pd.Timedelta(days=1) - end) / pd.Timedelta(days=1)
        chances = _chances(days_of, watched, settled, back)
        then = _named(chances, days_of, watched, settled, back)
        said.update({name: month.start_time.date() for name in found if name in then})
    return said
