"""Delayed entry: parts that were old when watching began teach without bias."""

import numpy as np
import pytest

from tests.models.life_model.whole.worlds import STILL, fitted, one_group
from tracker.models.life_model.whole import Lives


def old_parts(rng: np.random.Generator, size: int = 600) -> Lives:
    """Weibull lives of shape 2 and scale 200, met at an age of 0 to 250, watched for 150 days."""
    life = 200 * rng.weibull(2.0, size)
    entry = rng.uniform(0, 250, size)
    met = life > entry
    life, entry = life[met], entry[met]
    age = np.minimum(life, entry + 150)
    return Lives.of(0, 0, -150.0, age, life <= entry + 150, entry=entry)


def test_delayed_entry_finds_the_truth_and_ignoring_it_does_not() -> None:
    scales, ignored = [], []
    for seed in range(6):
        lives = old_parts(np.random.default_rng(seed))
        for found, entry in ((scales, lives.entry), (ignored, np.zeros(len(lives)))):
            seen = Lives.of(0, 0, -150.0, lives.age, lives.failed, entry=entry)
            draws = fitted(one_group(seen, 0.0, 200.0), 300, season=False, grid=STILL)
            scale = 200 * np.exp(-draws.log_rate[:, 0] / draws.shape[:, 0])
            found.append(draws.weight @ scale)
    assert np.mean(scales) == pytest.approx(200, abs=3 * np.std(scales) / np.sqrt(6) + 3)
    assert np.mean(ignored) > 230
