"""The tracks of many units laid out at once, against the definition day by day."""

from __future__ import annotations

import numpy as np
import pytest

from tracker.models.life_model.whole import Closed, Steps
from tracker.models.life_model.whole.calendar_time import (
    QUARTER,
    OpenDays,
    Tracks,
    common_track,
    season_wave,
)

TODAY, SPAN, UNITS = 800.0, (10.0, 830.0), 5


def written(rng: np.random.Generator) -> Steps:
    """Steps in any order, two of one unit on one day among them; the last unit has none."""
    unit, day = rng.integers(0, UNITS - 1, 40), np.round(rng.uniform(-50, 850, 40))
    unit[1], day[1] = unit[0], day[0]
    return Steps(unit, day, rng.normal(size=(40, 2)), np.ones((2, 1), dtype=bool))


@pytest.mark.parametrize("seed", range(4))
def test_on_each_day_a_unit_has_the_last_value_written_for_it(seed: int) -> None:
    rng = np.random.default_rng(seed)
    steps = written(rng)
    closed = Closed(np.array([2, -1]), np.array([300.0, 500.0]), np.array([309.0, 504.0]))
    open_days = OpenDays(closed)
    tracks = Tracks.between(SPAN, TODAY, True, steps, open_days, UNITS)
    for unit in range(UNITS):
        mine = np.flatnonzero(steps.unit == unit)
        mine = mine[np.argsort(steps.from_day[mine], kind="stable")]
        for day in rng.uniform(*SPAN, 30):
            counted = open_days.counted(np.array([unit]), np.array([day]))
            if open_days.after(counted, unit)[0] != pytest.approx(day):
                continue  # a closed day
            (at,) = tracks.find(tracks.of_unit[[unit]], counted, "right")
            assert tracks.segment.start[at] <= day + 1e-9
            assert day <= tracks.segment.end[at] + 1e-9
            begun = mine[steps.from_day[mine] <= day]
            if not len(mine):
                assert np.isnan(tracks.segment.exposure[at]).all()
            else:  # before its first day a unit's first value holds
                held = steps.value[begun[-1] if len(begun) else mine[0]]
                assert tracks.segment.exposure[at].tolist() == held.tolist()
            assert tracks.segment.quarter[at] == np.floor((TODAY - day) / QUARTER)
            half = QUARTER / 2
            begin = TODAY + np.floor((day - TODAY) / half) * half
            wave = season_wave(np.array([begin]), np.array([begin + half]))[0]
            assert tracks.segment.season[at] == pytest.approx(wave)


def test_a_unit_without_exposures_follows_the_common_track() -> None:
    tracks = Tracks.between(
        SPAN, TODAY, False, written(np.random.default_rng(1)),
        OpenDays(Closed(*(np.zeros(0, dtype=kind) for kind in (int, float, float)))), UNITS,
    )  # fmt: skip
    assert tracks.of_unit[UNITS - 1] == 0
    common, own = common_track(SPAN, TODAY, False), tracks.track == 0
    for name in ("start", "end", "quarter", "season"):
        assert getattr(tracks.segment, name)[own].tolist() == getattr(common, name).tolist()
    assert (common.start[0], common.end[-1]) == SPAN
    assert common.start[1:].tolist() == common.end[:-1].tolist()
