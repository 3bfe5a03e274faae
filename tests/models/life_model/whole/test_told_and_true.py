"""Told chances against true ones in varied worlds: the short form of the bench's study."""

from functools import cache

import pytest

from tests.bench.life_model_study import WORLDS, Scores, study

pytestmark = pytest.mark.slow
BY_NAME = {world.name: world for world in WORLDS}


@cache
def scored(name: str) -> Scores:
    return study(BY_NAME[name], 6)


@pytest.mark.parametrize("name", ["alike, 4 printers", "differing, 5 printers"])
def test_most_of_the_true_chances_variance_is_explained(name: str) -> None:
    assert scored(name).explained > 0.85
    assert scored(name).skill > 0


@pytest.mark.parametrize(
    "name",
    ["alike, 4 printers", "differing, 5 printers", "all lives halve half-way", "season ±60 %"],
)
def test_ranges_hold_what_they_promise(name: str) -> None:
    """288 remaining lives and more, those of a workshop hanging together: ± 7 points."""
    half, most, nearly = scored(name).coverage
    assert 0.42 < half < 0.64
    assert 0.73 < most < 0.90
    assert nearly > 0.90


@pytest.mark.parametrize("name", ["alike, 4 printers", "all lives halve half-way"])
def test_as_many_fail_as_is_told(name: str) -> None:
    assert scored(name).told == pytest.approx(scored(name).happened, rel=0.12)
