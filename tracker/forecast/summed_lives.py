"""The life model of a fleet too large for one machine's memory: lives as whole numbers, to be kept
in a database of all workshops, and the model's history from what that database adds up.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from tracker.arrays import Array, Ints
from tracker.models.life_model.whole.calendar_time import OpenDays, Tracks
from tracker.models.life_model.whole.cells import counted_until
from tracker.models.life_model.whole.history import NO_LOT, Groups, History, Steps, Totals
from tracker.models.life_model.whole.summed import PERIOD, AgeSums, IntervalSums, LifeSums
from tracker.store.sums.coded import TICKS

_ALWAYS = 2**40  # ticks; before the first and after the last day of any log
_UNTOLD = -1e9  # stands for an exposure that is not known, which equals itself


@dataclass(frozen=True, eq=False)
class CodedLives:
    """Rows of the tables ``LIVES`` and ``SPANS`` (`store/sums/coded`), ``care (classes,
    exposures)`` the exposures of each class, and the ``history`` they stand for: without the
    ``left_out`` lives of unknown age, which are no sum.
    """

    lives: pd.DataFrame
    spans: pd.DataFrame
    care: Array
    history: History
    left_out: int

    def renumbered(
        self, *, printer: Ints, unit: Ints, life_group: Ints, lot: Ints, care: Ints
    ) -> CodedLives:
        """The same in the numbers of a database of many workshops: each array holds the new number
        of every own one (of the printers also the number of what shares a level, ``unit``).
        """
        own = self.lives["printer"].to_numpy()
        lives = self.lives.assign(
            printer=printer[own],
            unit=unit[own],
            life_group=life_group[self.lives["life_group"]],
            lot=np.append(lot, NO_LOT)[self.lives["lot"]],
        )
        spans = self.spans.assign(
            printer=printer[self.spans["printer"]], care=care[self.spans["care"]]
        )
        return replace(self, lives=lives, spans=spans)


def coded_lives(told: History) -> CodedLives:
    """What does a workshop's program write down about its lives, for a fleet's sums?

    Printers (units), groups and lots are numbered as in ``told``. Ages and spans are on each
    printer's clock of open days.
    """
    unknown = told.lives.guess >= 0
    history = replace(told.without(unknown), guesses=None)
    spans, care = _spans(history)
    return CodedLives(_lives(history), spans, care, history, int(unknown.sum()))


def _lives(history: History) -> pd.DataFrame:
    lives = history.lives
    _, wide, end = counted_until(lives.age, lives.last_ok)
    began = OpenDays(history.closed).counted(lives.unit, lives.began_on)
    new_on = began - lives.entry
    moments = {
        "new_on": new_on,
        "began": began,
        "ended": new_on + end,
        "left_on": new_on + lives.age,
        "good_on": np.where(wide, new_on + lives.last_ok, np.nan),
        "found_on": np.where(wide, new_on + lives.age, np.nan),
    }
    return pd.DataFrame(
        {
            "printer": lives.unit,
            "unit": lives.unit,
            "life_group": lives.group,
            "lot": lives.lot,
            "failed": (lives.failed & ~wide).astype(np.int64),
            "accident": lives.accident.astype(np.int64),
            **{name: _ticks(days) for name, days in moments.items()},
        }
    )


def _spans(history: History) -> tuple[pd.DataFrame, Array]:
    """Each printer's calendar as the life model walks it, in periods, and the classes of care."""
    tracks = Tracks.of(history, True)
    segment, track = tracks.segment, tracks.track
    back = (history.as_of - (segment.start + segment.end) / 2) / PERIOD
    told = np.nan_to_num(segment.exposure, nan=_UNTOLD)
    classes, care = np.unique(told, axis=0, return_inverse=True)
    begins, ends = _ticks(tracks.counted_start), _ticks(tracks.counted_end)
    begins = begins.mask(np.diff(track, prepend=-1) != 0, -_ALWAYS)
    ends = ends.mask(np.diff(track, append=-1) != 0, _ALWAYS)
    spans = pd.DataFrame(
        {
            "begins": begins,
            "ends": ends,
            "period": np.ceil(back).astype(np.int64) - 1,
            "care": care.ravel(),
            "track": track,
        }
    )
    printers = pd.DataFrame({"printer": np.arange(history.n_units), "track": tracks.of_unit}).merge(
        spans, on="track"
    )
    return printers.drop(columns="track"), np.where(classes == _UNTOLD, np.nan, classes)


def _ticks(days: Array) -> pd.Series:
    return pd.Series(np.round(days * TICKS)).astype("Int64")


@dataclass(frozen=True, eq=False)
class Answers:
    """What the database answered to the statements of `store/sums/lives`: ``age_sums`` in bands of
    ``width`` ticks (1: each age by itself), ``interval_sums`` and ``life_totals``.
    """

    ages: pd.DataFrame
    intervals: pd.DataFrame
    totals: pd.DataFrame
    width: int = 1


def life_sums(
    answers: Answers, groups: Groups, as_of: float, care: Array, steps: Steps, **more: Any
) -> LifeSums:
    """What the life model is fitted to (`fit_life_model`), from the database's sums.

    ``as_of``, ``n_units``, ``n_lots``, ``first_day``, ``closed`` as in the model's history;
    ``care (classes, exposures)``.
    """
    keys = ("unit", "lot", "period", "care")

    def columns(frame: pd.DataFrame, moments: tuple[str, ...], counts: tuple[str, ...]) -> Any:
        told = {name: frame[name].to_numpy(np.int64) for name in keys}
        told["group"] = frame["life_group"].to_numpy(np.int64)
        days = {name: frame[name].to_numpy(np.float64) / TICKS for name in moments}
        return told | days | {name: frame[name].to_numpy(np.float64) for name in counts}

    at = ("age", "entered_at", "left_at", "failed_at")
    table = answers.totals.set_index("life_group").reindex(range(len(groups)), fill_value=0)
    watched, failures, accidents = (
        table[name].to_numpy(np.float64) for name in ("watched", "failures", "accidents")
    )
    return LifeSums(
        AgeSums(**columns(answers.ages, at, ("entered", "left", "failed"))),
        IntervalSums(**columns(answers.intervals, ("good", "found"), ("count",))),
        Totals(watched / TICKS, failures, accidents),
        groups,
        as_of,
        care=care,
        width=0.0 if answers.width == 1 else answers.width / TICKS,
        steps=steps,
        **more,
    )
