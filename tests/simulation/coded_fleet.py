"""An invented fleet of any size in whole-number codes, as a database of all workshops keeps it.

Its truth is known: ten groups of parts with Weibull lives, regions that differ, a task that makes
five of the groups last longer, accidents, and lives that were longer up to a year before the end.
A part feels how often the task was done in the thirty days before the running half quarter began.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from tracker.models.life_model.posterior import LifeBelief
from tracker.models.life_model.whole import Groups
from tracker.store.sums.coded import PERIOD_TICKS, TICKS

TASK, OTHER_TASK = 0, 1
WINDOW_DAYS = 30
_AT_ONCE = 2000  # printers, so that no more than their rows are in memory


def _levels(regions: int) -> np.ndarray:
    level = np.linspace(-0.4, 0.4, regions)
    return level - level.mean()


@dataclass(frozen=True)
class FleetTruth:
    """``scale`` (days) and ``shape`` of each group's lives today, in a region like the mean one, on
    a printer whose care is ``care_at`` on the log2 scale.
    """

    printers: int
    regions: int = 8
    days: int = 1096
    first_day: int = 19_000
    scale: tuple[float, ...] = tuple(np.geomspace(60, 700, 10).round(1).tolist())
    shape: tuple[float, ...] = (1.2, 2.5, 1.6, 0.9, 1.4, 2.0, 1.1, 1.8, 1.5, 3.0)
    effect: float = -0.4
    helped: int = 5  # the first so many groups
    care_at: float = 1.0
    earlier: float = -0.3  # log hazard up to a year ago, less today's
    accidents_per_year: float = 0.05
    within: float = 0.0  # spread of the printers of a region, log hazard
    level: np.ndarray = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "level", _levels(self.regions))

    @property
    def as_of(self) -> float:
        """The end of the last day."""
        return float(self.first_day + self.days)

    @property
    def periods(self) -> pd.DataFrame:
        """Rows of the table of periods."""
        count = int(np.ceil(self.days * TICKS / PERIOD_TICKS))
        ends = round(self.as_of * TICKS) - PERIOD_TICKS * np.arange(count)
        return pd.DataFrame(
            {"period": np.arange(count), "begins": ends - PERIOD_TICKS, "ends": ends}
        )

    @property
    def acts(self) -> np.ndarray:
        """Which groups the task can touch: (1, groups)."""
        return (np.arange(len(self.scale)) < self.helped)[None]

    @property
    def groups(self) -> Groups:
        """Every group a kind of its own; beliefs a third too long."""
        beliefs = tuple(LifeBelief(1.33 * scale) for scale in self.scale)
        return Groups(np.arange(len(self.scale)), beliefs)

    def median(self, region: int, care: float) -> np.ndarray:
        """The true median life of a new part of each group today: days."""
        shape = np.array(self.shape)
        pace = self.level[region] + self.effect * self.acts[0] * (care - self.care_at)
        return np.asarray(self.scale) * (np.log(2) / np.exp(pace)) ** (1 / shape)


def care_of(count: np.ndarray) -> np.ndarray:
    """The exposure of a class of care: log2 of actions per 30 days, half an action added."""
    return np.log2(count * 30 / WINDOW_DAYS + 0.5)


def fleet_rows(truth: FleetTruth, seed: int) -> Iterator[dict[str, pd.DataFrame]]:
    """The rows of all tables but periods and spans, some thousand printers at a time."""
    for first in range(0, truth.printers, _AT_ONCE):
        rng = np.random.default_rng((seed, first))
        printer = np.arange(first, min(first + _AT_ONCE, truth.printers))
        yield _rows(truth, printer, rng)


def _rows(
    truth: FleetTruth, printer: np.ndarray, rng: np.random.Generator
) -> dict[str, pd.DataFrame]:
    began = truth.first_day + rng.integers(0, truth.days // 3, len(printer))
    every = rng.choice([7, 14, 30], len(printer))
    later = np.where(rng.random(len(printer)) < 0.5, every, rng.choice([7, 14, 30], len(printer)))
    change = truth.first_day + rng.integers(truth.days // 3, truth.days, len(printer))
    done = _done(truth, began, every, later, change, rng)
    other = _done(truth, began, np.full(len(printer), 7), None, None, rng)
    lives = _lives(truth, printer, began, done, rng)
    region = printer % truth.regions
    actions = []
    for task, (which, day) in ((TASK, done), (OTHER_TASK, other)):
        months = day.astype("datetime64[D]").astype("datetime64[M]").astype(np.int64) + 1970 * 12
        seconds = rng.integers(120, 1800, len(day))
        actions.append(
            pd.DataFrame(
                {"printer": printer[which], "task": task, "done_on": day, "month": months,
                 "planned": 1, "seconds": seconds}
            )
        )  # fmt: skip
    broke = lives[(lives["failed"] + lives["accident"]) > 0]
    found = (broke["left_on"] // TICKS).to_numpy().astype("datetime64[D]")
    month = found.astype("datetime64[M]").astype(np.int64) + 1970 * 12
    of = broke["printer"].to_numpy()
    return {
        "fleet_printers": pd.DataFrame(
            {"printer": printer, "unit": region, "began": began * TICKS,
             "ended": round(truth.as_of * TICKS)}
        ),
        "fleet_lives": lives,
        "fleet_breakdowns": pd.DataFrame(
            {"printer": of, "part_kind": broke["life_group"].to_numpy(), "month": month}
        ),
        "fleet_actions": pd.concat(actions, ignore_index=True),
        "fleet_routines": pd.DataFrame(
            {"printer": np.tile(printer, 2), "task": np.repeat([TASK, OTHER_TASK], len(printer)),
             "every_days": np.concatenate((every, np.full(len(printer), 7))),
             "starts_on": np.tile(began, 2)}
        ),
        "fleet_costs": pd.DataFrame(
            {"printer": of, "month": month, "item": broke["life_group"].to_numpy(),
             "cents": rng.integers(300, 60_000, len(broke))}
        ),
    }  # fmt: skip


def _done(
    truth: FleetTruth,
    began: np.ndarray,
    every: np.ndarray,
    later: np.ndarray | None,
    change: np.ndarray | None,
    rng: np.random.Generator,
) -> tuple[np.ndarray, np.ndarray]:
    """Place of the printer and day of each action: at its interval, now and then days late."""
    day, place = began.copy(), np.arange(len(began))
    found: list[tuple[np.ndarray, np.ndarray]] = []
    while len(place):
        now = every[place] if later is None else np.where(
            day >= change[place], later[place], every[place]  # type: ignore[index]
        )  # fmt: skip
        day = day + now + rng.binomial(6, 0.12, len(day)) * (rng.random(len(day)) < 0.5)
        kept = day < truth.as_of
        day, place = day[kept], place[kept]
        found.append((place, day))
    which, days = (np.concatenate(column) for column in zip(*found, strict=True))
    return which, days


def _lives(
    truth: FleetTruth,
    printer: np.ndarray,
    began: np.ndarray,
    done: tuple[np.ndarray, np.ndarray],
    rng: np.random.Generator,
) -> pd.DataFrame:
    """Every part lived through period by period: hazard gathered until its own share is used up."""
    groups = len(truth.scale)
    scale, shape = np.array(truth.scale), np.array(truth.shape)
    place = np.repeat(np.arange(len(printer)), groups)
    group = np.tile(np.arange(groups), len(printer))
    acts = truth.acts[0][group]
    own = np.random.default_rng(printer[:1]).standard_normal(len(printer))
    level = (truth.level[printer % truth.regions] + truth.within * own)[place]
    new = began[place].astype(float)
    share = rng.exponential(size=len(place))
    struck = new + rng.exponential(365.25 / truth.accidents_per_year, len(place))
    rows: list[np.ndarray] = []
    for period in truth.periods.iloc[::-1].itertuples():
        start, end = period.begins / TICKS, period.ends / TICKS
        seen = (done[1] >= start - WINDOW_DAYS) & (done[1] < start)
        count = np.bincount(done[0][seen], minlength=len(printer))
        pace = level + truth.effect * acts * (care_of(count)[place] - truth.care_at)
        # The change falls on the end of a period, in which the model's drift stands still.
        pace = np.exp(pace + truth.earlier * (period.period >= 8))
        now = np.maximum(new, start)
        active = np.nonzero(now < end)[0]
        while len(active):
            of, rate = group[active], pace[active]
            at = ((now[active] - new[active]) / scale[of]) ** shape[of]
            until = ((end - new[active]) / scale[of]) ** shape[of]
            worn = (until - at) * rate >= share[active]
            age = scale[of] * (at + share[active] / rate) ** (1 / shape[of])
            dies = np.where(worn, new[active] + age, np.inf)
            ends = np.minimum(dies, struck[active])
            over = ends < end
            share[active[~over]] -= ((until - at) * rate)[~over]
            out, by_wear = active[over], (dies <= struck[active])[over]
            # The log knows days: a part is changed at noon of its last one, a day after at least.
            day = np.maximum(np.floor(ends[over]), np.floor(new[out])) + 0.5
            day = np.where(day <= new[out], day + 1, day)
            rows.append(np.stack((out, new[out], day, by_wear, ~by_wear)))
            new[out], now[out] = day, day
            share[out] = rng.exponential(size=len(out))
            struck[out] = day + rng.exponential(365.25 / truth.accidents_per_year, len(out))
            active = out[day < end]
    alive = np.nonzero(new < truth.as_of)[0]
    none = np.zeros(len(alive))
    rows.append(np.stack((alive, new[alive], np.full(len(alive), truth.as_of), none, none)))
    part, first, last, failed, accident = np.concatenate(rows, axis=1)
    part = part.astype(np.int64)
    first, last = (np.round(column * TICKS).astype(np.int64) for column in (first, last))
    return pd.DataFrame(
        {"printer": printer[place[part]], "unit": (printer % truth.regions)[place[part]],
         "life_group": group[part], "lot": -1, "new_on": first, "began": first, "ended": last,
         "failed": failed.astype(np.int64), "left_on": last, "accident": accident.astype(np.int64)}
    )  # fmt: skip
