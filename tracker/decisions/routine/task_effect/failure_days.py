"""On which of the days between two checks did a part fail?

A failure found at a check lies on one of some days with exposures of their own. Placed in the
middle it has an exposure that is mostly not its own, which pulls the effect toward none. Each
possible day therefore counts as the share of a failure that a first fit's effects make it (one
step of Dempster, Laird & Rubin, 1977, J. R. Statist. Soc. B 39:1).
"""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np

from tracker.arrays import Array, Ints
from tracker.models.life_model.whole import History, Lives
from tracker.models.life_model.whole.calendar_time import OpenDays, Tracks

_MOST_DAYS = 30  # of one failure; between checks further apart some days stand for all
_AN_INSTANT = 1e-3  # of a day: what a possible failure is watched for, next to nothing


def between_checks(lives: Lives) -> Ints:
    """Rows of the failures that were found later than they happened."""
    return np.nonzero(lives.failed & ~np.isnan(lives.last_ok))[0]


def on_possible_days(history: History, effect: Array) -> History:
    """The same history with such failures shared out over their possible days.

    ``effect``: of each exposure on the log hazard. The life itself is watched up to the mean of
    the possible days; each of them is an instant of its own that ends in a share of the failure.
    """
    lives = history.lives
    late = between_checks(lives)
    if not len(late):
        return history
    of, age = _possible_ages(lives.last_ok[late], lives.age[late])
    row, open_days = late[of], OpenDays(history.closed)
    gone = open_days.counted(lives.unit[row], lives.began_on[row]) - lives.entry[row]
    tracks = Tracks.of(history, seasonal=False)
    at = tracks.find(tracks.of_unit[lives.unit[row]], gone + age, "left")
    hazard = np.exp(np.nan_to_num(tracks.segment.exposure[at]) @ effect)
    share = hazard / np.bincount(of, hazard)[of]
    mean_age = np.bincount(of, share * age)
    watched, failed, last_ok = lives.age.copy(), lives.failed.copy(), lives.last_ok.copy()
    watched[late], failed[late], last_ok[late] = mean_age, False, np.nan
    began = np.empty(len(row))
    for unit in np.unique(lives.unit[row]):
        here = lives.unit[row] == unit
        began[here] = open_days.after((gone + age)[here] - _AN_INSTANT, int(unit))
    rest = replace(lives, age=watched, failed=failed, last_ok=last_ok)
    events = replace(
        rows_of(lives, row),
        began_on=began,
        entry=age - _AN_INSTANT,
        age=age,
        last_ok=np.full(len(row), np.nan),
        weight=lives.weight[row] * share,
    )
    return replace(history, lives=together(rest, events))


def _possible_ages(last_ok: Array, found: Array) -> tuple[Ints, Array]:
    """For each failure, and its number: the ages at which its possible days end."""
    first = np.floor(last_ok)
    days = np.maximum(np.ceil(found) - first, 1)
    count = np.minimum(days, _MOST_DAYS).astype(np.int64)
    of = np.repeat(np.arange(len(count)), count)
    place = np.arange(len(of)) - np.repeat(np.cumsum(count) - count, count) + 1
    age = first[of] + np.ceil(place * (days / count)[of])
    return of, np.minimum(age, found[of])


def rows_of(lives: Lives, row: Ints) -> Lives:
    return Lives(**{one.name: getattr(lives, one.name)[row] for one in fields(lives)})


def together(first: Lives, second: Lives) -> Lives:
    names = [one.name for one in fields(first)]
    return Lives(**{n: np.concatenate((getattr(first, n), getattr(second, n))) for n in names})
