"""How long does the whole life model take to fit? ``python -m tests.bench.bench_life_model``.

A workshop of demo size (4 units, 10 kinds, 3 years), a middling fleet and one of 5 000 units with
ten running parts each and half a million lives or, in five years, more; each plain and, "dressed",
with three exposures (six on demo size) that change monthly at each unit and parts of unknown age on
the log's first day, also asked about other exposures to come. Time on one core and largest memory.
"""

from __future__ import annotations

import resource
import sys
import time
from dataclasses import replace

import numpy as np

from tracker.models.life_model.posterior import LifeBelief
from tracker.models.life_model.whole import Groups, Guesses, History, Lives, Parts, Steps
from tracker.models.life_model.whole.fit import fit_life_model

KINDS = 10


def fleet(units: int, days: float, lots: int, rng: np.random.Generator) -> History:
    """Parts replaced as they fail from the first day to the last, units differing by 0.5."""
    scale = np.geomspace(60, 700, KINDS)
    group = np.tile(np.arange(KINDS), units)
    unit = np.repeat(np.arange(units), KINDS)
    level = 0.5 * rng.standard_normal(units)
    now = np.zeros(len(group))
    found: list[tuple[np.ndarray, ...]] = []
    while len(group):
        life = scale[group] * np.exp(-level[unit] / 1.6) * rng.weibull(1.6, len(group))
        end = np.minimum(now + np.maximum(np.ceil(life), 0.5), days)
        found.append((group, unit, now, end - now, end < days))
        more = end < days
        group, unit, now = group[more], unit[more], end[more]
    columns = [np.concatenate(column) for column in zip(*found, strict=True)]
    kind, where, began, age, failed = columns
    fitted_in = np.minimum((began / days * lots / KINDS).astype(int), lots // KINDS - 1)
    lives = Lives.of(kind, where, began, age, failed, lot=kind * (lots // KINDS) + fitted_in)
    beliefs = tuple(LifeBelief(float(typical)) for typical in scale)
    return History(lives, Groups(np.arange(KINDS), beliefs), days, units, lots)


def dressed(history: History, exposures: int, rng: np.random.Generator) -> History:
    """The same with exposures that change monthly, each acting on half of the groups, and with the
    first day's parts of unknown age, eight ages possible.
    """
    lives, groups = history.lives, history.groups
    months = np.arange(0, history.as_of, 30.4)
    unit = np.repeat(np.arange(history.n_units), len(months))
    value = 0.5 * rng.standard_normal((history.n_units, 1, exposures))
    value = value + 0.5 * rng.standard_normal((history.n_units, len(months), exposures))
    acts = rng.random((exposures, len(groups))) < 0.5
    old = lives.began_on == 0
    points = (np.arange(8) + 0.5) / 8
    ages = points * groups.told("typical_life")[lives.group[old], None]
    alive = np.exp(-(points**1.5))
    return replace(
        history,
        lives=replace(lives, guess=np.where(old, np.cumsum(old) - 1, -1)),
        guesses=Guesses(ages, np.tile(alive / alive.sum(), (len(ages), 1))),
        steps=Steps(unit, np.tile(months, history.n_units), value.reshape(-1, exposures), acts),
    )


def main() -> None:
    """Print a line per size."""
    sizes = {"demo": (4, 1100.0, 80), "100": (100, 1100.0, 200), "5000": (5000, 1300.0, 300)}
    sizes["5000, five years"] = (5000, 1826.0, 400)
    for name, (units, days, lots) in sizes.items():
        if sys.argv[1:] and name not in sys.argv[1:]:
            continue
        rng = np.random.default_rng(3)
        plain = fleet(units, days, lots, rng)
        for word, history in (
            ("", plain),
            (", dressed", dressed(plain, 6 if name == "demo" else 3, rng)),
        ):
            timed(name + word, history, 256 if units >= 1000 else 1000)


def timed(name: str, history: History, size: int) -> None:
    """Print one line."""
    began = time.process_time()
    draws = fit_life_model(history, size, rng=np.random.default_rng(1))
    seconds = time.process_time() - began
    running = np.nonzero(history.lives.began_on + history.lives.age >= history.as_of - 0.5)[0]
    parts = Parts.of_lives(history.lives, running)
    began = time.process_time()
    draws.chance_of_failure(parts, [7, 30, 90])
    ahead = time.process_time() - began
    began = time.process_time()
    draws.remaining_quantiles(parts, [0.1, 0.5, 0.9])
    quantiles = time.process_time() - began
    steps, if_done = history.exposures, ""
    if len(steps.unit):
        units = np.arange(history.n_units)
        now = steps.value[np.searchsorted(steps.unit, units, side="right") - 1]
        path = Steps(
            np.tile(units, 2),
            np.repeat((history.as_of, history.as_of + 30), len(units)),
            np.concatenate(((now + 1.0) / 2, np.ones_like(now))),
            steps.acts,
        )
        began = time.process_time()
        draws.remaining_quantiles(parts, [0.1, 0.5, 0.9], path)
        if_done = f" (other exposures to come {time.process_time() - began:.2f} s)"
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
    print(
        f"{name}: {len(history.lives):,} lives, {history.lives.failed.sum():,} failures; fit "
        f"{seconds:.1f} s, {len(parts):,} chances {ahead:.2f} s, "
        f"remaining lives {quantiles:.2f} s{if_done}, {memory:.1f} GB; {draws}"
    )


if __name__ == "__main__":
    main()
