"""Does the whole life model tell the truth in workshops outside its assumptions?

Run by hand: ``python -m tests.bench.life_model_study [PARTS] [WORLD …]`` prints a markdown table
(as many workshops of each world as give so many running parts; 960 if left out). Every world is a
seeded sort of workshop whose true hazards are known day by day: parts of eight kinds fail and are
replaced the same day, and on the last day each running part's future is forecast and then lived
through. Printed are the mean chance of failing within 30 days as told and as it truly is, the
share of remaining lives inside the 50, 80 and 95 % ranges, how much of the true 30-day chances'
variance the told ones explain, and the Brier skill against each kind's own rate.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array, Bools, Ints
from tracker.models.life_model.posterior import LifeBelief
from tracker.models.life_model.whole import Groups, Guesses, History, Lives, Parts, Steps
from tracker.models.life_model.whole.fit import fit_life_model

HORIZON = 30
LEVELS = (0.5, 0.8, 0.95)
SHAPES = np.array([1.8, 1.4, 2.2, 1.1, 1.8, 2.5, 1.5, 1.2])
SCALES = np.array([100.0, 150, 180, 220, 300, 400, 550, 700])
PLACES = np.array([4, 2, 1, 1, 1, 1, 1, 1])  # of each kind per unit
AHEAD = 1500  # days lived through after the last one


@dataclass(frozen=True)
class World:
    """The truth of a sort of workshop. Beliefs are wrong by a factor whose log is
    Normal(0, 0.5²), and kinds' lives differ from the usual with log Normal(0, 0.3²).
    """

    name: str
    units: int = 4
    days: int = 1000
    unit_spread: float = 0.0
    halve_at: float | None = None  # share of the log after which all lives are half as long
    season: float = 0.0
    area_effect: float = 0.0  # on the log hazard per doubling of the printed area
    infant_lots: float = 0.0
    to_months: bool = False
    forgotten: float = 0.0
    accidents_per_year: float = 0.03


WORLDS = (
    World("alike, 4 printers"),
    World("alike, 12 printers", units=12),
    World("differing, 5 printers", units=5, unit_spread=0.5),
    World("differing, 12 printers", units=12, unit_spread=0.5),
    World("differing, 40 printers", units=40, unit_spread=0.5),
    World("all lives halve half-way", halve_at=0.5),
    World("season ±60 %", season=0.6),
    World("unequal printed area", units=5, area_effect=0.7),
    World("15 % infant lots", infant_lots=0.15),
    World("dates rounded to months", to_months=True),
    World("20 % not logged", forgotten=0.2),
    World("1 printer", units=1, unit_spread=0.5),
    World("2 printers", units=2, unit_spread=0.5),
    World("12 months only", days=365),
)


@dataclass(frozen=True, eq=False)
class Lived:
    """One simulated workshop: its log as columns, and the truth about what runs at the end."""

    kind: Ints
    unit: Ints
    lot: Ints
    born: Array
    ended: Array  # inf while running
    accident: Bools
    area: Array  # log2 of printed area per unit and quarter
    chance: Array  # true, within the horizon, of the running ones in their order
    remaining: Array


def live(world: World, rng: np.random.Generator) -> Lived:
    """Play a workshop day by day from fresh parts, 700 days before the log to its end and on."""
    kind = np.tile(np.repeat(np.arange(len(SHAPES)), PLACES), world.units)
    unit = np.repeat(np.arange(world.units), PLACES.sum())
    before = 700
    days = before + world.days
    level = world.unit_spread * rng.standard_normal(world.units)
    quarters = (days + AHEAD) // 91 + 2
    area = 0.5 * rng.standard_normal(world.units)[:, None]
    area = area + 0.35 * rng.standard_normal((world.units, quarters))
    scale = SCALES * np.exp(0.3 * rng.standard_normal(len(SCALES)))
    shape = SHAPES

    def pace(day: int) -> Array:
        """How fast parts of each unit wear on a day, against the usual."""
        faster = np.exp(level + world.area_effect * area[:, day // 91] * bool(world.area_effect))
        faster *= 1 + world.season * np.sin(2 * np.pi * day / 365.25)
        return faster

    def shorter(day: int) -> float:
        changed = world.halve_at is not None and day >= before + world.halve_at * world.days
        return 2.0 if changed else 1.0

    strike = world.accidents_per_year / 365.25
    bad_lots: dict[tuple[int, int], bool] = {}
    lot_code: dict[tuple[int, int], int] = {}

    def lot_of(k: int, day: int) -> tuple[int, bool]:
        key = (k, day // 120)
        if key not in lot_code:
            lot_code[key] = len(lot_code)
            bad_lots[key] = bool(rng.random() < world.infant_lots)
        return lot_code[key], bad_lots[key]

    born = np.zeros(len(kind))
    lots = [lot_of(int(k), 0) for k in kind]
    lot, bad = (np.array(column) for column in zip(*lots, strict=True))
    rows: list[tuple[int, int, int, float, float, bool]] = []
    alive_ahead = np.ones(len(kind), bool)
    chance = np.zeros(len(kind))
    remaining = np.full(len(kind), np.inf)
    gathered = np.zeros(len(kind))
    for day in range(days + AHEAD):
        age = day - born
        factor = pace(day)[unit] * shorter(day) ** shape[kind]
        wear = ((age + 1) / scale[kind]) ** shape[kind] - (age / scale[kind]) ** shape[kind]
        infant = (age + 1) ** 0.6 - age**0.6
        hazard = factor * (wear + bad * infant * (2 / scale[kind]) ** 0.6) + strike
        fails = rng.random(len(kind)) < -np.expm1(-hazard)
        if day < days:
            for place in np.nonzero(fails)[0]:
                struck = bool(rng.random() < strike / hazard[place])
                k, u = int(kind[place]), int(unit[place])
                rows.append((k, u, int(lot[place]), born[place], day + 0.5, struck))
                born[place] = day + 0.5
                lot[place], bad[place] = lot_of(k, day)
            continue
        gathered += hazard
        if day == days + HORIZON - 1:
            chance = -np.expm1(-gathered)
        first = fails & alive_ahead
        remaining[first] = day - days + 0.5
        alive_ahead &= ~fails
    running = zip(kind, unit, lot, born, strict=True)
    rows += [(int(k), int(u), int(v), float(b), np.inf, False) for k, u, v, b in running]
    columns = [np.array(column) for column in zip(*rows, strict=True)]
    return Lived(
        *columns[:3], columns[3] - before, columns[4] - before, columns[5], area[:, before // 91 :],
        chance, remaining,
    )  # fmt: skip


def logged(world: World, lived: Lived, rng: np.random.Generator) -> tuple[History, Parts]:
    """What a keeper of that log would know on its last day: parts already fitted when the log
    began are of unknown age, guessed evenly between new and a typical life.
    """
    born, ended = lived.born.copy(), lived.ended.copy()
    end = float(world.days)
    running = ~np.isfinite(ended)
    keep = ended > 0
    if world.forgotten:
        # A replacement not logged: the earlier part seems to live on as the later one's.
        order = np.lexsort((born,))
        for at in order:
            if keep[at] and 0 < ended[at] < end and rng.random() < world.forgotten:
                after = np.nonzero(
                    (born == ended[at]) & (lived.unit == lived.unit[at])
                    & (lived.kind == lived.kind[at])
                )[0]  # fmt: skip
                if len(after):
                    born[after[0]] = born[at]
                    keep[at] = False
    if world.to_months:
        born, ended = (np.round(days / 30.4) * 30.4 for days in (born, ended))
        born = np.where(born >= end, end - 1, born)
        ended = np.where(running, np.inf, np.clip(ended, born + 7, end))
        keep &= ended > 0
    rows = np.nonzero(keep)[0]
    running_rows = np.searchsorted(rows, np.nonzero(running)[0])
    born, ended = born[rows], np.minimum(ended[rows], end)
    kind, accident, lot = lived.kind[rows], lived.accident[rows], lived.lot[rows]
    beliefs = tuple(
        LifeBelief(float(scale * np.exp(0.5 * rng.standard_normal()))) for scale in SCALES
    )
    typical = np.array([belief.typical_life for belief in beliefs])
    old = born < 0
    began = np.where(old, 0.0, born)
    watched = np.maximum(ended - began, 0.5)
    guess = np.where(old, np.cumsum(old) - 1, -1)
    points = (np.arange(8) + 0.5) / 8
    ages = points * typical[kind[old], None]
    alive = np.exp(-(points**1.5))
    guesses = Guesses(ages, np.tile(alive / alive.sum(), (len(ages), 1)))
    lives = Lives.of(
        kind,
        lived.unit[rows],
        began,
        watched,
        np.isfinite(lived.ended[rows]) & ~accident,
        lot=lot,
        accident=accident,
        guess=guess,
    )
    steps = None
    if world.area_effect:
        quarters = int(np.ceil(world.days / 91))
        unit = np.repeat(np.arange(world.units), quarters)
        at = np.tile(np.arange(quarters), world.units)
        first = -(700 % 91)
        acts = np.ones((1, len(SHAPES)), bool)
        value = lived.area[unit, at][:, None]
        steps = Steps(unit, (first + 91.0 * at), value, acts)
    groups = Groups(np.arange(len(SHAPES)), beliefs)
    history = History(
        lives, groups, end, world.units, int(lot.max()) + 1, guesses if old.any() else None, steps
    )
    return history, Parts.of_lives(lives, running_rows)


@dataclass(frozen=True)
class Scores:
    """One world's figures; shares, not percents."""

    world: str
    parts: int
    told: float
    happened: float
    coverage: tuple[float, float, float]
    explained: float
    skill: float
    seconds: float

    def row(self) -> str:
        """One line of the table."""
        cover = " ".join(f"{100 * share:.0f}" for share in self.coverage)
        return (
            f"| {self.world} | {self.parts} | {self.told:.3f} | {self.happened:.3f} | {cover} | "
            f"{self.explained:.2f} | {self.skill:+.2f} | {self.seconds:.2f} |"
        )


HEADER = (
    "| world | parts | told | true | 50/80/95 % hold | explained | Brier skill | s per fit |\n"
    "|---|---|---|---|---|---|---|---|"
)


def study(world: World, workshops: int, seed: int = 12) -> Scores:
    """Simulate, fit and score that many workshops of one world."""
    told, true, inside, skill, seconds = [], [], [], [], 0.0
    ends = np.array([(1 - level) / 2 for level in LEVELS] + [(1 + level) / 2 for level in LEVELS])
    for number in range(workshops):
        rng = np.random.default_rng([seed, number, *world.name.encode()])
        lived = live(world, rng)
        history, parts = logged(world, lived, rng)
        began = time.perf_counter()
        draws = fit_life_model(history, 800, rng=rng)
        seconds += time.perf_counter() - began
        chance = draws.chance_of_failure(parts, [HORIZON])[:, 0]
        quantiles = draws.remaining_quantiles(parts, ends)
        left = lived.remaining[:, None]
        inside.append((left >= quantiles[:, :3]) & (left <= quantiles[:, 3:]))
        failed = lived.remaining <= HORIZON
        lives = history.lives
        days = np.bincount(lives.group, lives.age, len(SCALES))
        rate = (np.bincount(lives.group, lives.failed, len(SCALES)) + 0.5) / days
        own = -np.expm1(-rate * HORIZON)[parts.group]
        skill.append([((chance - failed) ** 2).sum(), ((own - failed) ** 2).sum()])
        told.append(chance)
        true.append(lived.chance)
    said, truth = np.concatenate(told), np.concatenate(true)
    explained = 1 - ((said - truth) ** 2).sum() / ((truth - truth.mean()) ** 2).sum()
    mine, own_rate = np.sum(skill, axis=0)
    low, middle, high = (float(share) for share in np.concatenate(inside).mean(0))
    return Scores(
        world.name,
        len(said),
        float(said.mean()),
        float(truth.mean()),
        (low, middle, high),
        float(explained),
        float(1 - mine / own_rate),
        seconds / workshops,
    )


def main(arguments: Sequence[str], say: Callable[[str], None] = print) -> None:
    """Print the table."""
    parts = int(arguments[0]) if arguments else 960
    asked = arguments[1:]
    say(HEADER)
    for world in WORLDS:
        if not asked or any(word in world.name for word in asked):
            say(study(world, max(2, round(parts / (world.units * PLACES.sum())))).row())


if __name__ == "__main__":
    main(sys.argv[1:])
