"""Do the nozzle checks say what they tell, and why they do not?"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tracker.forecast.nozzle_checks import NozzleFactors
from tracker.models.life_model.landmark import Landmark, ReplayedScore
from tracker.say.nozzles import nozzle_sentence, unused_sentence


@pytest.mark.parametrize(
    ("figures", "told"),
    [
        (
            (52, 4, 0.4973, 0.0317, 14),
            "52 nozzles missing, rising for 4 days: 50 % within 14 days; without the checks 3.2 %.",
        ),
        (
            (1, 0, 0.0151, 0.0302, 14),
            "1 nozzle missing: 1.5 % within 14 days; without the checks 3 %.",
        ),
        (
            (60, 1, 0.995, 0.002, 14),
            "60 nozzles missing, rising for 1 day: over 99 % within 14 days; "
            "without the checks under 1 %.",
        ),
    ],
)
def test_count_rise_and_both_chances_are_told(
    figures: tuple[int, int, float, float, int], told: str
) -> None:
    assert nozzle_sentence(*figures) == told


def landmark(failures: int, score: ReplayedScore | None) -> Landmark:
    return Landmark(14.0, np.zeros(8), np.zeros((8, 2)), (60.0, 50.0), failures, score)


def test_few_failures_are_told_with_how_many_are_needed() -> None:
    found = NozzleFactors((), landmark(1, None))
    assert unused_sentence(found) == (
        "Nozzle checks do not enter the forecast yet: 1 head failed within 14 days of a check so "
        "far, 4 are needed."
    )
    assert "no heads failed" in unused_sentence(replace(found, landmark=landmark(0, None)))


def test_checks_that_told_no_better_are_said_so() -> None:
    found = NozzleFactors((), landmark(9, ReplayedScore(0.0399, 0.04, 7)))
    assert "not have told head failures within 14 days clearly better" in unused_sentence(found)


def test_nothing_is_said_where_the_checks_are_used_or_there_are_none() -> None:
    assert unused_sentence(NozzleFactors((), landmark(9, ReplayedScore(0.03, 0.04, 7)))) == ""
    assert unused_sentence(NozzleFactors((), None)) == ""
