"""Invented lives for cross-checks: seeded, with ties, delayed entry and weights on request."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt


@dataclass(frozen=True)
class RandomLives:
    """Arrays as the models take them; ``weight`` in whole lives."""

    age: npt.NDArray[np.float64]
    failed: npt.NDArray[np.bool_]
    entry: npt.NDArray[np.float64]
    weight: npt.NDArray[np.float64]

    @property
    def repeated(self) -> RandomLives:
        """The same lives with each row written out ``weight`` times."""
        times = self.weight.astype(int)
        return RandomLives(
            age=np.repeat(self.age, times),
            failed=np.repeat(self.failed, times),
            entry=np.repeat(self.entry, times),
            weight=np.ones(times.sum()),
        )


def random_lives(
    seed: int, lives: int = 300, *, whole_days: bool = True, early: int = 30
) -> RandomLives:
    """Weibull(1.8, 200) lives, watched until a random day, the first ``early`` of them from 0 on.

    So the risk set is never thin while a cross-check against other programs is made.
    """
    rng = np.random.default_rng(seed)
    life = 200 * rng.weibull(1.8, lives)
    watched_until = rng.uniform(50, 400, lives)
    age = np.minimum(life, watched_until)
    if whole_days:
        age = np.maximum(np.ceil(age), 1.0)
    entry = np.where(np.arange(lives) < early, 0.0, np.floor(rng.uniform(0, 120, lives)))
    kept = entry < age
    failed = life <= watched_until
    weight = rng.integers(1, 4, lives).astype(float)
    return RandomLives(age[kept], failed[kept], entry[kept], weight[kept])
