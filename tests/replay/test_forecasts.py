"""Do past forecasts gain where there is a pattern to find, and nothing where there is none?"""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np

from tests.decisions.workshops import rows, setting, workshop
from tests.replay.past_scores import past_score
from tracker.replay.forecasts import ForecastScore
from tracker.workshop.records import Records

BEGAN = date(2024, 1, 1)
DAYS = 480
AS_OF = BEGAN + timedelta(days=DAYS)
LIFE = 80.0


def wipers(seed: int, *, shape: float, printers: int = 10, printers_differ: float = 0.0) -> Records:
    """A log of wipers that live Weibull(``shape``, 80 days), replaced the day they fail; printers'
    log hazards lie evenly within ± ``printers_differ``. The catalogue knows the typical life.
    """
    rng = np.random.default_rng(seed)
    level = np.linspace(-printers_differ, printers_differ, printers)
    fitted: list[tuple[object, ...]] = []
    for number in range(printers):
        day = 0
        while day < DAYS:
            hazard = rng.exponential() * np.exp(-level[number])
            out = day + max(1, round(LIFE * hazard ** (1 / shape)))
            broke = out < DAYS
            ends = BEGAN + timedelta(days=out) if broke else None
            begins = BEGAN + timedelta(days=day)
            reason = "failed" if broke else ""
            fitted.append((chr(65 + number), "wiper", "wiper", begins, ends, reason))
            day = out
    return workshop(
        printers=printers,
        fittings=rows("printer part_kind position fitted_on removed_on removal_reason", *fitted),
        parts=rows("part_kind typical_life_days", ("wiper", LIFE)),
        settings=setting(log_began_on=BEGAN),
    )


def test_where_parts_wear_and_printers_differ_forecasts_beat_both_base_rates() -> None:
    found = past_score(wipers(1, shape=3.5, printers=20, printers_differ=1.2), AS_OF)
    for gain in (found.gain_kind_rate, found.gain_age_free):
        assert gain is not None
        assert gain.lower > 0
        # Nearly all that right chances could gain is gained.
        assert gain.lower < gain.if_right < gain.upper
    assert abs(found.foretold - found.came) < 3 * np.sqrt(found.came)


def test_where_there_is_no_pattern_the_limits_of_the_gain_hold_none() -> None:
    scores = [past_score(wipers(seed, shape=1.0, printers=6), AS_OF) for seed in (3, 4)]
    assert all(_holds_none(score) for score in scores)


def _holds_none(score: ForecastScore) -> bool:
    gains = (score.gain_kind_rate, score.gain_age_free)
    return all(gain is not None and gain.lower < 0 < gain.upper for gain in gains)
