"""What do the latest nozzle checks say about the heads' next days?

Past checks are landmarks (`models/life_model/landmark`): days on which a head was looked at and
worked, with its missing nozzles, how fast they rise, and whether it failed within the next days.
What they teach is used only where chances told beforehand would have been better for it.

The chance by age that they are laid upon comes from a plain life posterior of the heads, fitted
anew to what was known at the beginning of each quarter and today, not on each day: what is learned
is how checks move a chance, and that hangs little on a few days of lives. The forecast of today's
heads has its own, richer chance; the factor is what it takes from here. It is learned for the days
after a check and handed on for the days after today, of which a check at most a week old tells.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import cached_property

import numpy as np
import pandas as pd

from tracker.arrays import Array, Bools, Ints
from tracker.forecast.life_history import date_of, day_number
from tracker.forecast.wear_belief import wear_belief
from tracker.lives.life_table import ages, life_table
from tracker.models.life_model.landmark import (
    LEAST_FAILURES,
    Landmark,
    judged_landmark,
)
from tracker.models.life_model.landmarks import Landmarks, UnitWeeks, numbered
from tracker.models.life_model.posterior import LifeBelief, LifePosterior
from tracker.workshop.columns.coded import smallest
from tracker.workshop.columns.day_numbers import NO_DAY, in_day_order
from tracker.workshop.records import Records

WITHIN_DAYS = 14  # about as far as a climb of missing nozzles reaches; common practice, no source
RECENT_DAYS = 7  # a check older than this says nothing of today
_HEAD = "head"

# The chance of failing within WITHIN_DAYS of heads of these ages (days), by what was known at the
# end of that day.
ChanceBefore = Callable[[date, Array], Array]


@dataclass(frozen=True)
class HeadCheck:
    """A running head's latest nozzle check, at most RECENT_DAYS old.

    ``missing`` over all its channels, and ``rising_for_days``: from the check before the count
    began to rise to the latest one, 0 where that found no more than the one before. ``factor``
    multiplies the head's hazard of the next WITHIN_DAYS (``lower``, ``upper``: its 80 % limits);
    None where the checks are not used.
    """

    printer: str
    position: str
    checked_on: date
    missing: int
    rising_for_days: int
    factor: float | None = None
    lower: float | None = None
    upper: float | None = None


@dataclass(frozen=True, eq=False)
class NozzleFactors:
    """What the checks say of the running heads; a head without a recent check is not in ``heads``.

    ``used`` is False where the checks would not have made the chances told so far better, or
    where ``failures`` of heads with checks before them are fewer than ``failures_needed``.
    ``landmark`` is what was learned, with both replayed scores; None without any past check.
    """

    heads: tuple[HeadCheck, ...]
    landmark: Landmark | None
    within_days: int = WITHIN_DAYS
    failures_needed: int = LEAST_FAILURES

    @property
    def used(self) -> bool:
        """True where every head in ``heads`` has its factor."""
        return self.landmark is not None and self.landmark.worth_using

    @property
    def failures(self) -> int:
        """Heads that failed within WITHIN_DAYS of a check."""
        return 0 if self.landmark is None else self.landmark.failures

    def of(self, printer: str, position: str) -> HeadCheck | None:
        """The latest check of the head there; None where none is recent."""
        return self._at.get((printer, position))

    @cached_property
    def _at(self) -> dict[tuple[str, str], HeadCheck]:
        return {(one.printer, one.position): one for one in self.heads}


def nozzle_factors(
    known: Records,
    as_of: date,
    taught: Landmark | None = None,
) -> NozzleFactors:
    """By how much do the latest nozzle checks raise or lower each head's hazard of failing soon?

    ``known``: records as known on that day. ``taught``: what past checks taught, where that was
    learned on a day not long before.

    >>> nozzle_factors(Records(), date(2026, 6, 30))
    NozzleFactors(heads=(), landmark=None, within_days=14, failures_needed=4)
    """
    if not known.count("nozzle_checks"):
        return NozzleFactors((), None)
    lives = life_table(known, as_of)
    heads = lives[lives["part_kind"] == _HEAD]
    heads = heads.assign(last_ok_on=known.fittings["last_ok_on"].reindex(heads.index))
    if taught is not None:
        heads = heads[heads["outcome"] == "running"]
    checks, landmark = head_checks(known, heads), taught
    if landmark is None:
        by_age = heads_by_age(heads, wear_belief(known.part_facts(_HEAD)))
        landmark = _learned(checks, heads, as_of, by_age)
    today = checks[checks["running"] & ~checks["fitting"].duplicated(keep="last")]
    recent = today[day_number(as_of) - today["day"] <= RECENT_DAYS]
    used = landmark is not None and landmark.worth_using
    told = []
    for row in recent.sort_values(["printer", "position"]).itertuples():
        factor = lower = upper = None
        if used and landmark is not None:
            found = landmark.hazard_factor(row.missing, row.rise)
            factor, (lower, upper) = found.mean, found.limits()
        told.append(
            HeadCheck(
                str(row.printer), str(row.position), date_of(row.day), int(row.missing),
                round(row.rising), factor, lower, upper,
            )
        )  # fmt: skip
    return NozzleFactors(tuple(told), landmark)


def heads_by_age(heads: pd.DataFrame, belief: LifeBelief) -> ChanceBefore:
    """The chance of failing within WITHIN_DAYS by age alone: one life posterior of all heads.

    ``heads``: their rows of a life table. On an earlier day those fitted by then are seen as they
    were then: still running where they came out later.
    """
    heads = heads[heads["counted"]]
    known = ages(heads)
    fitted, out = _numbers(heads["new_on"]), _numbers(heads["removed_on"])

    def chance(then: date, age: Array) -> Array:
        today = day_number(then)
        ended = out <= today
        lived = np.where(ended, known.age, np.minimum(known.age, today - fitted))
        failed = known.failed & ended
        seen = lived > known.entry
        posterior = LifePosterior.from_lives(
            lived[seen],
            failed[seen],
            known.entry[seen],
            np.where(failed, known.last_ok, np.nan)[seen],
            belief=belief,
        )
        return posterior.forecast(age, WITHIN_DAYS)

    return chance


def head_checks(known: Records, heads: pd.DataFrame, after: date | None = None) -> pd.DataFrame:
    """Every check of a head that was in and at work, in order: one row per head and check day.

    ``heads``: their rows of a life table, with ``last_ok_on``; ``after``: only checks of later
    days. Columns:
    ``fitting`` (index of the head's fitting), ``printer, position, day`` (numbered as by
    ``day_number``), ``age`` (NaN where the fitting day is not known), ``missing``, ``rise`` per
    week, ``rising`` (days), ``running``, ``ends`` (the day it came out, infinite while it runs),
    ``failed`` (whether it failed then).

    A channel without a row on a check day missed none: the pattern shows all channels, and only
    bad ones may be written down. Checks of the day a head went in or came out are left out, for
    nobody can tell which head they saw and whether they found the failure; so are checks after
    the last day it was seen good.
    """
    place, day, missing, place_of_head = _counted(known, heads, after)
    # Each check beside every head that was ever in its place.
    order = np.argsort(place_of_head, kind="stable")
    first, last = (
        np.searchsorted(place_of_head[order], place, side=side) for side in ("left", "right")
    )
    many = last - first
    check = np.repeat(np.arange(len(place)), many)
    head = order[np.arange(len(check)) - np.repeat(np.cumsum(many) - many - first, many)]
    fitted, new, out, last_ok = (
        _numbers(heads[name]) for name in ("fitted_on", "new_on", "removed_on", "last_ok_on")
    )
    outcome = heads["outcome"].to_numpy(dtype=object)
    fitting, broke = heads.index.to_numpy(np.int64), outcome == "failed"
    on = day[check]
    kept = (np.isnan(fitted[head]) | (on > fitted[head])) & (np.isnan(out[head]) | (on < out[head]))
    kept &= ~(broke[head] & (on > last_ok[head]))
    check, head = check[kept], head[kept]
    order = np.argsort(fitting[head], kind="stable")  # those of one place lie by their days
    check, head = check[order], head[order]
    day, missing = day[check], missing[check]
    rise, rising = _rises(fitting[head], day, missing)
    return pd.DataFrame(
        {
            "fitting": fitting[head],
            "printer": heads["printer"].to_numpy(dtype=object)[head],
            "position": heads["position"].to_numpy(dtype=object)[head],
            "day": day,
            "age": day - new[head],
            "missing": missing,
            "rise": rise,
            "rising": rising,
            "running": (outcome == "running")[head],
            "ends": np.nan_to_num(out, nan=np.inf)[head],
            "failed": broke[head],
        }
    )


def _counted(
    known: Records, heads: pd.DataFrame, after: date | None
) -> tuple[Ints, Array, Array, Ints]:
    """Per head position and day of a check the place, the day and the missing nozzles, by place
    and day; and the place of each head.
    """
    table = "nozzle_checks"
    checked = known.day_numbers(table, "checked_on")
    found = checked > (NO_DAY if after is None else int(day_number(after)))
    place, of_head, places = np.zeros(len(found), np.int64), np.zeros(len(heads), np.int64), 1
    for column in ("printer", "position"):
        of_row, names = pd.factorize(heads[column])
        code = known.codes(table, column).among(pd.Index(names))
        found &= code >= 0
        place = place * len(names) + code
        of_head = of_head * len(names) + of_row
        places *= len(names)
    rows = np.flatnonzero(found)
    # Rows of one place and day lie together once they are sorted as the narrow numbers they are.
    rows = rows[in_day_order(place[rows].astype(smallest(places)), checked[rows])]
    place, day = place[rows], checked[rows]
    first = np.flatnonzero((np.diff(place, prepend=-1) != 0) | (np.diff(day, prepend=NO_DAY) != 0))
    lost = np.nan_to_num(known.cells(table, "missing_nozzles")[rows].astype(np.float64))
    missing = np.add.reduceat(lost, first) if len(first) else lost
    return place[first], day[first].astype(np.float64), missing, of_head


def _learned(
    checks: pd.DataFrame, heads: pd.DataFrame, as_of: date, chance_before: ChanceBefore
) -> Landmark | None:
    """The landmark model of the checks of heads of known age that were watched long enough."""
    checks = checks[checks["age"].notna()]
    day, ends = checks["day"].to_numpy(float), checks["ends"].to_numpy(float)
    fitting, failed = checks["fitting"].to_numpy(np.int64), checks["failed"].to_numpy(bool)
    soon = ends <= day + WITHIN_DAYS
    today = day_number(as_of)
    # Out for another reason within those days: nobody knows whether it would have failed.
    kept = failed | ~soon
    if not kept.any():
        return None
    seen = Landmarks.of(
        day[kept], fitting[kept], checks["missing"][kept], checks["rise"][kept],
        (soon & failed)[kept], within_days=WITHIN_DAYS,
    )  # fmt: skip
    # Sorted once: chances are asked about the same ages quarter by quarter.
    on, ages_then, ended = _weeks(heads[heads["printer"].isin(checks["printer"].unique())], today)
    every_age = np.concatenate((checks["age"].to_numpy(float)[kept], ages_then))
    age, like = numbered(every_age)
    of_check, of_week = np.split(like, [int(kept.sum())])
    first, last = (np.datetime64(date_of(at), "M") for at in (day[kept].min(), today))
    months = np.arange(first, last + 1)
    quarters = months[months.astype(np.int64) % 3 == 0].astype("datetime64[D]").astype(float)
    return judged_landmark(
        seen, lambda then: np.asarray(chance_before(date_of(then), age)), quarters, today, of_check,
        UnitWeeks(on, of_week, ended),
    )  # fmt: skip


def _weeks(heads: pd.DataFrame, today: float) -> tuple[Array, Array, Bools]:
    """Day, age and whether it failed within WITHIN_DAYS, of each week of heads of known age while
    they were watched; without those within which one came out for another reason.
    """
    heads = heads[heads["counted"].astype(bool)]
    new, out = (_numbers(heads[name]) for name in ("new_on", "removed_on"))
    first = np.floor(new + heads["entry"].to_numpy(float)) + 1
    last = np.fmin(out, today + 1.0)
    many = np.maximum(np.ceil((last - first) / 7), 0).astype(np.int64)
    head = np.repeat(np.arange(len(heads)), many)
    week = np.arange(len(head)) - np.repeat(np.cumsum(many) - many, many)
    day = first[head] + 7.0 * week
    soon = out[head] <= day + WITHIN_DAYS
    failed = (heads["outcome"] == "failed").to_numpy()[head]
    kept = failed | ~soon
    return day[kept], (day - new[head])[kept], (soon & failed)[kept]


def _rises(fitting: Ints, day: Array, missing: Array) -> tuple[Array, Array]:
    """How fast the count rises per week, and for how many days it has risen, check by check.

    The rise is counted from the head's last check at least a week ago, so that one from Friday
    to Monday is not taken for a week's; where there is none yet, from its first check, as it is.
    """
    place = np.arange(len(day))
    new = np.append(True, fitting[1:] != fitting[:-1])[: len(day)]
    first = np.maximum.accumulate(np.where(new, place, 0))
    # One rising scale for all heads: each head's days stand far from the next one's.
    scale = day + np.cumsum(new) * 1e6
    earlier = np.maximum(np.searchsorted(scale, scale - 7, side="right") - 1, first)
    apart = np.maximum(day - day[earlier], 7.0)
    rise = 7 * (missing - missing[earlier]) / apart
    more: Bools = np.append(False, missing[1:] > missing[:-1])[: len(day)] & ~new
    began = np.maximum.accumulate(np.where(more, 0, place))
    return rise, day - day[began]


def _numbers(days: pd.Series) -> Array:
    numbers: Array = (days.to_numpy() - np.datetime64(0, "ns")) / np.timedelta64(1, "D")
    return numbers
