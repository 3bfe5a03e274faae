"""Summer and winter time: when was it really, where clocks were put forward or back?

A workshop writes down what its clock shows. Where that clock is put back, an hour comes twice, and
*which pass* of it is meant is written beside the time; where it is put forward an hour is missing,
and a time in it is one of a clock that nobody had put forward yet. Read as Python reads local times
(PEP 495), in the time zone that the workshop names; where it names none, no clock changes.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from tracker.workshop.records import Records
from tracker.workshop.vocabulary import FIRST_PASS, SECOND_PASS

_NONE = timedelta(0)


@cache
def zone_named(name: str) -> ZoneInfo | None:
    """The time zone of that name, as Europe/Madrid; None where there is none.

    >>> zone_named("Europe/Madrid"), zone_named("Nowhere")
    (zoneinfo.ZoneInfo(key='Europe/Madrid'), None)
    """
    try:
        return ZoneInfo(name) if name.strip() else None
    except (KeyError, OSError, ValueError):  # unknown, a folder, or no name at all
        return None


def zone_of(records: Records) -> ZoneInfo | None:
    """The workshop's time zone; None where it names none."""
    return zone_named(records.setting("time_zone"))


def comes_twice(moment: datetime, zone: ZoneInfo | None) -> bool:
    """Does the clock show this time twice, because it was put back?"""
    early, late = _both_offsets(moment, zone)
    return early > late


def is_missing(moment: datetime, zone: ZoneInfo | None) -> bool:
    """Does the clock never show this time, because it was put forward?"""
    early, late = _both_offsets(moment, zone)
    return early < late


def which_pass(moment: datetime, zone: ZoneInfo | None) -> str:
    """What is written beside a time that comes twice, by its ``fold``; "" for any other."""
    if not comes_twice(moment, zone):
        return ""
    return SECOND_PASS if moment.fold else FIRST_PASS


def with_pass(moment: pd.Timestamp, written: str) -> datetime:
    """A time as it is written down, its ``fold`` from what stands beside it."""
    return moment.to_pydatetime().replace(fold=int(written == SECOND_PASS))


def true_time(moment: datetime, zone: ZoneInfo | None) -> datetime:
    """The time by a clock that never changes (UTC), for comparing and subtracting."""
    return moment.replace(fold=0) - _offset(moment, zone)


def is_between_changes(began: datetime, ended: datetime, zone: ZoneInfo | None) -> bool:
    """Is there no change of the clock from the one to the other, nor at either?"""
    return not any(
        comes_twice(moment, zone) or is_missing(moment, zone) for moment in (began, ended)
    ) and _offset(began, zone) == _offset(ended, zone)


def true_times(stoppages: pd.DataFrame, zone: ZoneInfo | None) -> tuple[np.ndarray, np.ndarray]:
    """When each of the stoppages began and ended by a clock that never changes.

    Two arrays of datetime64[ns] in the order of the rows, NaT where nothing is written. Where it is
    not written which pass is meant, it is the first, for an end the first that lies not before the
    beginning: a printer that stopped at 02:30 and ran at 02:10 of the double hour stood 40 minutes.
    """
    began_at, ended_at = (
        stoppages[name].to_numpy(dtype="datetime64[ns]") for name in ("began_at", "ended_at")
    )
    if zone is None:
        return began_at, ended_at
    began_pass, ended_pass = (
        stoppages[name].to_numpy(dtype=object) for name in ("began_pass", "ended_pass")
    )
    began = true_times_of(began_at, zone, second=began_pass == SECOND_PASS)
    early = true_times_of(ended_at, zone)
    late = true_times_of(ended_at, zone, second=np.full(len(ended_at), True))
    is_late = (ended_pass == SECOND_PASS) | ((ended_pass == "") & (early < began))
    # In the missing hour the two readings lie the other way round, and there is no second pass.
    return began, np.where(is_late & (late > early), late, early)


def true_times_of(
    moments: np.ndarray, zone: ZoneInfo | None, *, second: np.ndarray | None = None
) -> np.ndarray:
    """The same for times of any kind; ``second``: True where the second pass is meant."""
    if zone is None or not len(moments):
        return moments
    days, at = np.unique(moments.astype("datetime64[D]"), return_inverse=True)
    starts, ends = (_offsets_at(days + np.timedelta64(later, "D"), zone) for later in (0, 1))
    offsets = starts[at]
    for spot in np.flatnonzero((starts != ends)[at]):  # few: two days of a year
        moment = pd.Timestamp(moments[spot]).to_pydatetime()
        fold = int(second is not None and bool(second[spot]))
        offsets[spot] = np.timedelta64(_offset(moment.replace(fold=fold), zone), "ns")
    return moments - offsets


def twice_and_missing(moments: np.ndarray, zone: ZoneInfo | None) -> tuple[np.ndarray, np.ndarray]:
    """Which of these times does the clock show twice, and which never?"""
    early = true_times_of(moments, zone)
    late = true_times_of(moments, zone, second=np.full(len(moments), True))
    return late > early, late < early


def _offsets_at(days: np.ndarray, zone: ZoneInfo) -> np.ndarray:
    found = [
        _NONE if np.isnat(day) else _offset(pd.Timestamp(day).to_pydatetime(), zone) for day in days
    ]
    return np.array(found, dtype="timedelta64[ns]")


def _both_offsets(moment: datetime, zone: ZoneInfo | None) -> tuple[timedelta, timedelta]:
    return (
        _offset(moment.replace(fold=0), zone),
        _offset(moment.replace(fold=1), zone),
    )


def _offset(moment: datetime, zone: ZoneInfo | None) -> timedelta:
    return (moment.replace(tzinfo=zone).utcoffset() if zone else None) or _NONE
