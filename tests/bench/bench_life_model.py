"""How long does the whole life model take to fit? ``python -m tests.bench.bench_life_model``.

A workshop of demo size (4 units, 10 kinds, 3 years), a middling fleet and one of 5 000 units
with ten running parts each and about half a million lives; time on one core and largest memory.
"""

from __future__ import annotations

import resource
import sys
import time

import numpy as np

from tracker.models.life_model.posterior import LifeBelief
from tracker.models.life_model.whole import Groups, History, Lives, Parts
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


def main() -> None:
    """Print a line per size."""
    sizes = {"demo": (4, 1100.0, 80), "100": (100, 1100.0, 200), "5000": (5000, 1300.0, 300)}
    for name, (units, days, lots) in sizes.items():
        if sys.argv[1:] and name not in sys.argv[1:]:
            continue
        rng = np.random.default_rng(3)
        history = fleet(units, days, lots, rng)
        began = time.process_time()
        draws = fit_life_model(history, 1000, rng=rng)
        seconds = time.process_time() - began
        running = np.nonzero(history.lives.began_on + history.lives.age >= days - 0.5)[0]
        parts = Parts.of_lives(history.lives, running)
        began = time.process_time()
        draws.chance_of_failure(parts, [7, 30, 90])
        ahead = time.process_time() - began
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
        print(
            f"{name}: {len(history.lives):,} lives, {history.lives.failed.sum():,} failures; fit "
            f"{seconds:.1f} s, {len(parts):,} chances {ahead:.2f} s, {memory:.1f} GB; {draws}"
        )


if __name__ == "__main__":
    main()
