"""Do events come faster or slower as time goes on, or at one steady pace?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist
from typing import Any, Literal, TypeAlias

import numpy as np

from tracker.arrays import Array
from tracker.errors import ModelError, NotEnoughData
from tracker.language import _
from tracker.models.outcomes import Numbers, numbers

Termination = Literal["time", "failure"]
EventTimes: TypeAlias = "Numbers | Sequence[Numbers]"


@dataclass(frozen=True)
class LaplaceTrend:
    """Laplace's test. ``statistic`` above 0: events come faster (worse); below 0: slower.

    Under a steady pace it is standard normal. ``p_value`` is two-sided; ``p_worse`` and
    ``p_better`` are the chances of so much trend either way under a steady pace.
    """

    statistic: float
    p_value: float
    p_worse: float
    p_better: float
    events: int


@dataclass(frozen=True, eq=False)
class EventHistory:
    """Event times of each unit, each watched from 0 to its end.

    ``inner`` drops the event that ended a failure-terminated watch: it carries no news about
    where in the watch events fall.
    """

    times: tuple[Array, ...]
    end: Array
    inner: tuple[Array, ...]

    @property
    def events(self) -> int:
        return sum(len(times) for times in self.times)

    @property
    def inner_events(self) -> int:
        return sum(len(times) for times in self.inner)

    @property
    def shares(self) -> Array:
        """Inner event times as shares of their unit's watch."""
        pieces = [t / end for t, end in zip(self.inner, self.end, strict=True)]
        return np.concatenate(pieces) if pieces else np.empty(0)


def laplace_trend(
    event_times: EventTimes, end_time: Any = None, terminated: Termination = "time"
) -> LaplaceTrend:
    """Do events come faster as time goes on?

    ``event_times``: one unit's event times, or a list of such lists (units pooled); ``end_time``:
    the end of watching, one for all or one per unit. ``terminated="failure"``: watching stopped
    with the last event, which then is the end (``end_time`` may be left out) and not counted.
    U = (Σt − Σ nᵢTᵢ/2) / √(Σ nᵢTᵢ²/12) (Cox & Lewis 1966; several units: Ascher & Feingold 1984).

    Raises NotEnoughData without an event to judge, ModelError for times outside the watch.

    >>> round(laplace_trend([5, 20, 40, 70, 90], 100).statistic, 3)
    -0.387
    """
    history = event_history(event_times, end_time, terminated)
    count = np.array([len(times) for times in history.inner], dtype=float)
    if not count.sum():
        raise NotEnoughData(
            _("No event to judge a trend by: at least one inside the watch is needed.")
        )
    total = sum(float(times.sum()) for times in history.inner)
    spread = np.sqrt(np.sum(count * history.end**2) / 12)
    statistic = float((total - np.sum(count * history.end) / 2) / spread)
    worse = NormalDist().cdf(-statistic)
    better = NormalDist().cdf(statistic)
    return LaplaceTrend(statistic, 2 * min(worse, better), worse, better, history.events)


def event_history(event_times: EventTimes, end_time: Any, terminated: str) -> EventHistory:
    """The times of every unit, sorted and checked (see ``laplace_trend`` for the forms)."""
    if terminated not in ("time", "failure"):
        raise ModelError(f"terminated is {terminated!r}: choose 'time' or 'failure'.")
    units = _units(event_times)
    if end_time is None:
        if terminated == "time":
            raise ModelError("end_time is missing: say when watching ended.")
        if not all(len(times) for times in units):
            raise NotEnoughData(
                _("A unit without an event cannot have been watched up to its last.")
            )
        ends = np.array([times[-1] for times in units])
    else:
        given = numbers(np.atleast_1d(np.asarray(end_time, dtype=object)), "end_time")
        if len(given) not in (1, len(units)):
            raise ModelError(f"end_time has {len(given)} values for {len(units)} units.")
        ends = np.broadcast_to(given, (len(units),)).astype(np.float64)
    for unit, (times, end) in enumerate(zip(units, ends, strict=True)):
        where = f" of unit {unit}" if len(units) > 1 else ""
        if not 0 < end < np.inf:
            raise ModelError(f"end_time{where} is {end:g}: it must be above 0.")
        if len(times) and not (times[0] > 0 and times[-1] <= end):
            bad = times[-1] if times[0] > 0 else times[0]
            raise ModelError(f"event time {bad:g}{where} lies outside the watch, 0 to {end:g}.")
        if terminated == "failure" and (not len(times) or times[-1] != end):
            raise ModelError(
                f"end_time{where} is {end:g} but its last event is not there: a watch that ended "
                "with a failure ends at the last event; otherwise say terminated='time'."
            )
    inner = tuple(times[:-1] for times in units) if terminated == "failure" else units
    return EventHistory(units, ends, inner)


def _units(event_times: EventTimes) -> tuple[Array, ...]:
    listed = list(event_times)
    nested = [np.ndim(item) == 1 for item in listed]
    if any(nested):
        if not all(nested):
            raise ModelError("event_times mixes times and lists: give one list per unit.")
        units = [numbers(item, f"event_times[{i}]") for i, item in enumerate(listed)]
    else:
        units = [numbers(np.asarray(listed), "event_times")]
    for i, times in enumerate(units):
        if np.isnan(times).any():
            where = f" of unit {i}" if len(units) > 1 else ""
            raise ModelError(f"event time {int(np.isnan(times).argmax())}{where} is missing.")
    return tuple(np.sort(times) for times in units)
