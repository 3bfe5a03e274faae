"""The workshop's own history played again: honest scores, no peeking."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from tests.decisions.workshops import rows, setting, workshop
from tests.replay.past_scores import past_score
from tracker.commands.printing import plain
from tracker.forecast.outlook import outlook
from tracker.intake.exchange import read_folder
from tracker.replay.forecasts import HORIZON_DAYS, ForecastScore
from tracker.replay.gains import gain_of
from tracker.replay.history import Replay, replay
from tracker.say.replay import better_or_worse, forecast_sentence, gain_meaning, replay_sentence
from tracker.workshop.records import Records

ROOT = Path(__file__).parents[2]
DAY = date(2026, 10, 30)


@pytest.fixture(scope="module")
def demo() -> Records:
    return read_folder(ROOT / "sample_data")


@pytest.fixture(scope="module")
def score(demo: Records) -> ForecastScore:
    return past_score(demo, DAY)


def test_what_was_foretold_is_what_the_outlook_said_then(
    demo: Records, score: ForecastScore
) -> None:
    march = next(month for month in score.months if month["month"] == "2026-03")
    then = outlook(demo, date(2026, 3, 1), HORIZON_DAYS)
    # Parts taken out working within the month are left out, so a little less than all.
    assert march["parts"] <= len(then)
    # Past days are fitted with fewer draws: their sums are right to some per cent.
    assert march["foretold"] <= 1.05 * then["chance_of_failure"].sum()
    assert march["foretold"] >= 0.8 * then["chance_of_failure"].sum()


def test_later_records_do_not_change_an_earlier_month(demo: Records, score: ForecastScore) -> None:
    early = past_score(demo, date(2025, 6, 30))
    assert early.months == score.months[: len(early.months)]


def test_the_number_that_came_is_the_logs_own(demo: Records, score: ForecastScore) -> None:
    broke = demo.fittings["removal_reason"].isin(("failed", "accident"))
    assert 0 < score.came <= broke.sum()
    # Over two years the foretold number is of the size of what came (Poisson, four sigma).
    assert abs(score.foretold - score.came) < 4 * np.sqrt(score.came)
    assert score.brier is not None
    assert score.brier_kind_rate is not None
    assert score.brier < 1.05 * score.brier_kind_rate


def test_the_ranges_of_remaining_life_are_judged_with_their_limits(score: ForecastScore) -> None:
    wide, half = score.coverage
    assert (wide.nominal, half.nominal) == (0.8, 0.5)
    assert half.share < wide.share
    for found in score.coverage:
        assert 0 < found.lower < found.share < found.upper < 1
        assert f"{100 * found.lower:.0f} to {100 * found.upper:.0f} %" in forecast_sentence(score)


def test_the_gain_over_both_base_rates_is_told_with_its_limits(score: ForecastScore) -> None:
    assert score.brier is not None
    for gain, base in (
        (score.gain_kind_rate, score.brier_kind_rate),
        (score.gain_age_free, score.brier_age_free),
    ):
        assert gain is not None
        assert base is not None
        assert gain.share == pytest.approx(1 - score.brier / base, abs=1e-4)
        assert gain.lower < gain.share < gain.upper
        assert better_or_worse(gain) in forecast_sentence(score)
        assert f"{100 * gain.if_right:.0f} %" in gain_meaning(score)


def test_the_limits_of_the_gain_hold_nineteen_times_in_twenty() -> None:
    # Weibull(1.8, 300 days) lives, each told every 30 days against one chance for all.
    rng = np.random.default_rng(4)

    def replayed(parts: int) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        lives = 300 * rng.exponential(size=parts) ** (1 / 1.8)
        first = 30 * rng.random(parts)
        times = np.maximum(0, np.ceil((lives - first) / 30)).astype(int)
        part = np.repeat(np.arange(parts), times)
        place = np.arange(len(part)) - np.repeat(np.cumsum(times) - times, times)
        age = first[part] + 30 * place
        told = -np.expm1((age / 300) ** 1.8 - ((age + 30) / 300) ** 1.8)
        came = (age + 30 >= lives[part]).astype(float)
        return told, np.full(len(told), 0.1126), came, part

    told, base, came, _ = replayed(200_000)
    truth = 1 - ((told - came) ** 2).mean() / ((base - came) ** 2).mean()
    held, expected = 0, []
    for _ in range(400):
        found = gain_of(*replayed(120))
        held += found.lower <= truth <= found.upper
        expected.append(found.if_right)
    assert 0.925 <= held / 400 <= 0.98
    # These chances are right, so the gain to be expected of right ones is the true one.
    assert np.mean(expected) == pytest.approx(truth, abs=3 * float(np.std(expected)) / 20)


def test_an_empty_log_says_of_both_that_it_is_too_short() -> None:
    found = replay(Records(), DAY)
    assert isinstance(found, Replay)
    assert "Too short a log to judge: no forecasts" in replay_sentence(found)
    assert "Too short a log to judge the orders" in replay_sentence(found)
    told = json.loads(json.dumps(plain(found.as_dict())))
    assert told["brier"] is None
    assert told["advice"]["policies"] == []


def test_a_replay_tells_how_far_it_has_come() -> None:
    fitted = [str(date(2025, 1, 6) + timedelta(days=30 * number)) for number in range(21)]
    end = date(2026, 10, 1)
    records = workshop(
        printers=1,
        fittings=rows(
            "printer part_kind position fitted_on removed_on removal_reason",
            *(
                ("A", "wiper", "wiper", begin, out, "failed" if out else "")
                for begin, out in zip(fitted, [*fitted[1:], None], strict=True)
            ),
        ),
        settings=setting(log_began_on="2025-01-06", review_days=90),
    )
    told: list[tuple[float, date]] = []
    replay(records, end, lambda share, day: told.append((share, day)))
    shares = [share for share, _ in told]
    assert shares == sorted(shares)
    assert shares[0] == 0
    assert 0.5 < shares[-1] < 1
    assert all(date(2025, 1, 1) <= day <= end for _, day in told)
