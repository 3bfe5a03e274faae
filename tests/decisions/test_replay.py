"""The workshop's own history played again: honest scores, no peeking."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest

from tracker.decisions.remaining_life import outlook
from tracker.decisions.replay import HORIZON_DAYS, replay
from tracker.records.exchange import read_folder
from tracker.records.model import Records

ROOT = Path(__file__).parent.parent.parent
DAY = date(2026, 10, 30)


@pytest.fixture(scope="module")
def demo() -> Records:
    return read_folder(ROOT / "sample_data")


def test_what_was_foretold_is_what_the_outlook_said_then(demo: Records) -> None:
    answer = replay(demo, DAY)
    march = next(month for month in answer.months if month["month"] == "2026-03")
    then = outlook(demo, date(2026, 3, 1), HORIZON_DAYS)
    # Parts taken out working within the month are left out, so a little less than all.
    assert march["parts"] <= len(then)
    assert march["foretold"] <= then["chance_of_failure"].sum() + 1e-9
    assert march["foretold"] >= 0.8 * then["chance_of_failure"].sum()


def test_later_records_do_not_change_an_earlier_month(demo: Records) -> None:
    early, late = replay(demo, date(2025, 12, 31)), replay(demo, DAY)
    assert early.months == late.months[: len(early.months)]


def test_the_number_that_came_is_the_logs_own(demo: Records) -> None:
    answer = replay(demo, DAY)
    fittings = demo.fittings
    broke = fittings["removal_reason"].isin(("failed", "accident"))
    assert 0 < answer.came <= broke.sum()
    # Over two years the foretold number is of the size of what came (Poisson, four sigma).
    assert abs(answer.foretold - answer.came) < 4 * np.sqrt(answer.came)
    assert answer.brier is not None
    assert answer.brier_base_rate is not None
    assert answer.brier < 1.05 * answer.brier_base_rate


def test_a_log_too_short_to_judge_says_so() -> None:
    assert "Too short a log to judge" in replay(Records(), DAY).sentence
