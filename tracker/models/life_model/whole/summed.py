"""Lives that were summed elsewhere, such as in a database: what the whole model needs of them.

The log likelihood of exact lives is Σ failures·log h − Σ hazard gathered. What a life gathers
between two ages is a difference of one curve at these ages, so of all lives in one stratum the
numbers that enter and leave watching at each age tell it exactly, whoever they were; between two
such ages a fixed number is at risk (Andersen & Gill 1982: the counting processes are sufficient).
In bands of ages the days watched and the failures of a band stand for its lives (Holford 1980), as
if it were watched evenly.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from tracker.arrays import Array, Ints
from tracker.errors import ModelError
from tracker.models.life_model.whole.calendar_time import QUARTER, Track, Tracks, season_wave
from tracker.models.life_model.whole.cells import Cells, Events, Pieces, Rows, Strata, log_age
from tracker.models.life_model.whole.history import (
    NO_LOT,
    Closed,
    Groups,
    Steps,
    Totals,
    check_codes,
    never_closed,
    no_steps,
)

PERIOD = QUARTER / 2  # days; counted back from today, in each drift and season stand still
UNKNOWN_CARE = -1
_KEYS = ("unit", "group", "lot", "period", "care")


@dataclass(frozen=True, eq=False)
class AgeSums(Rows):
    """Per unit, group, lot (−1: none), period (0: the one up to today), class of care (−1: not
    known) and band of ages beginning at ``age``: how many lives ``entered`` watching there, at ages
    that add up to ``entered_at``, and likewise ``left`` and ``failed`` (who failed has left).
    """

    unit: Ints
    group: Ints
    lot: Ints
    period: Ints
    care: Ints
    age: Array
    entered: Array
    entered_at: Array
    left: Array
    left_at: Array
    failed: Array
    failed_at: Array

    def __len__(self) -> int:
        return len(self.age)


@dataclass(frozen=True, eq=False)
class IntervalSums(Rows):
    """So many lives (``count``) of one stratum were good at age ``good`` and failed by ``found``,
    too long after for the middle to serve.
    """

    unit: Ints
    group: Ints
    lot: Ints
    period: Ints
    care: Ints
    good: Array
    found: Array
    count: Array

    def __len__(self) -> int:
        return len(self.count)


@dataclass(frozen=True, eq=False)
class LifeSums:
    """What `History` is where lives come summed. Ages in open days, ``as_of`` and ``first_day`` on
    the model's calendar.

    ``width``: of the bands of ages, in days; 0 where each age has its own, which gives the fit of
    the lives themselves. ``care (classes, exposures)``: the exposures of each class. ``totals``:
    of all lives, intervals with them. ``exposures`` tells which groups each exposure can touch,
    and what goes on from today.
    """

    ages: AgeSums
    intervals: IntervalSums
    totals: Totals
    groups: Groups
    as_of: float
    first_day: float
    care: Array
    n_units: int
    n_lots: int = 0
    width: float = 0.0
    steps: Steps | None = None
    closed: Closed = field(default_factory=never_closed)

    def __post_init__(self) -> None:
        effects = self.exposures.value.shape[1]
        if self.care.shape[1:] != (effects,):
            raise ModelError(
                f"care has the shape {self.care.shape}: give one row per class and one column for "
                f"each of the {effects} exposures."
            )
        limits = {"unit": (0, self.n_units), "group": (0, len(self.groups))}
        limits |= {"lot": (NO_LOT, self.n_lots), "care": (UNKNOWN_CARE, len(self.care))}
        limits |= {"period": (0, self.periods)}
        for part in (self.ages, self.intervals):
            check_codes(part, limits)

    @property
    def exposures(self) -> Steps:
        """The steps, or none."""
        return no_steps(len(self.groups)) if self.steps is None else self.steps

    @property
    def periods(self) -> int:
        """How many periods there are from the first day to today."""
        return max(int(np.ceil((self.as_of - self.first_day) / PERIOD)), 1)

    def cells(self) -> Cells:
        """The cells of these lives, as `life_cells` cuts them from rows.

        Raises ModelError where more lives leave than were there.
        """
        strata, (stratum, of_interval) = self._strata()
        exposure, events = self._by_age(stratum, strata)
        unit = np.log(self.groups.told("typical_life"))[self.intervals.group]
        nobody, none = np.zeros(0, np.int64), np.zeros(0)
        intervals = Pieces(
            of_interval,
            np.zeros(len(self.intervals), np.int64),
            log_age(self.intervals.good) - unit,
            np.log(self.intervals.found) - unit,
            self.intervals.count,
        )
        return Cells(
            exposure, events, intervals, self._tracks(), strata,
            first_guess=1, owner=nobody, guess_row=nobody, guess_group=nobody, guess_age=none,
            log_chance=none, share=none, row_weight=np.ones(1),
        )  # fmt: skip

    def _strata(self) -> tuple[Strata, list[Ints]]:
        """The strata that occur, and the stratum of each row of the ages and of the intervals."""
        parts = (self.ages, self.intervals)
        key = {name: np.concatenate([getattr(part, name) for part in parts]) for name in _KEYS}
        segment = key["period"] * (len(self.care) + 1) + key["care"] + 1
        segments = self.periods * (len(self.care) + 1)
        sizes = (len(self.groups), self.n_units, self.n_lots + 1, segments)
        codes = np.ravel_multi_index((key["group"], key["unit"], key["lot"] + 1, segment), sizes)
        found, place = np.unique(codes, return_inverse=True)
        group, unit, lot, segment = np.unravel_index(found, sizes)
        strata = Strata(unit, group, lot - 1, segment, np.zeros(len(found), np.int64))
        return strata, np.split(place, [len(self.ages)])

    def _tracks(self) -> Tracks:
        """Every period with every class of care, that of nothing known first."""
        classes = len(self.care) + 1
        period = np.repeat(np.arange(self.periods), classes)
        end: Array = self.as_of - period * np.float64(PERIOD)
        start: Array = end - np.float64(PERIOD)
        effects = self.exposures.value.shape[1]
        values = np.vstack((np.full((1, effects), np.nan), self.care))
        segments = Track(
            start, end, period // 2, season_wave(start, end),
            np.tile(values, (self.periods, 1)),
        )  # fmt: skip
        none = np.zeros(len(segments), np.int64)
        # Nobody walks along these calendars: the cells name their segments themselves.
        return Tracks(np.zeros(self.n_units, np.int64), segments, none, segments.start, end)

    def _by_age(self, stratum: Ints, strata: Strata) -> tuple[Pieces, Events]:
        ages = self.ages
        order = np.lexsort((ages.age, stratum))
        stratum, ages = stratum[order], ages.take(order)
        change, end = ages.entered - ages.left, ages.age + self.width
        first = np.diff(stratum, prepend=-1) != 0
        total = np.cumsum(change)
        before = (total - change)[first]
        after = total - np.repeat(before, np.diff(np.append(np.nonzero(first)[0], len(first))))
        bad = after < 0
        if bad.any():
            i = int(order[bad.argmax()])
            raise ModelError(
                f"left[{i}]: more lives leave by age {self.ages.age[i]:g} than were watched there; "
                f"check that every life's entry is counted."
            )
        # Within a band: those there before, all along, and the rest of it for who entered or left.
        within = (after - change) * self.width + change * end - ages.entered_at + ages.left_at
        inner = np.maximum(within, 0.0) / self.width if self.width else np.zeros(len(end))
        following = np.append(ages.age[1:], np.inf)
        last = np.append(first[1:], True)[: len(first)]
        outer = np.where(last | (following <= end), 0.0, after)
        weight: Array = np.concatenate((inner, outer))
        order = np.nonzero(weight > 0)[0]
        both = np.concatenate((stratum, stratum))
        order = order[np.argsort(both[order], kind="stable")]  # what is read together lies together
        at = both[order]
        low: Array = np.concatenate((ages.age, end))[order]
        high: Array = np.concatenate((end, following))[order]
        unit = np.log(self.groups.told("typical_life"))[strata.group]
        exposure = Pieces(
            at,
            np.zeros(len(at), np.int64),
            log_age(low) - unit[at],
            np.log(high) - unit[at],
            weight[order],
        )
        worn = np.nonzero(ages.failed > 0)[0]
        count, at = ages.failed[worn], stratum[worn]
        mean = np.log(ages.failed_at[worn] / count)
        return exposure, Events(at, np.zeros(len(at), np.int64), mean - unit[at], count)
