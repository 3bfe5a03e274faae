"""Parts of unknown age: what they teach, and that all answers tell one chance of one part."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.decisions.workshops import rows, setting, workshop
from tests.forecast.known_lives import known_lives, still_lives
from tests.forecast.life_nodes import weibull
from tracker.decisions.preorder import preorder
from tracker.decisions.stock_table import WhatIf, stock_table
from tracker.forecast import demand
from tracker.forecast.fitted_lives import FittedLives
from tracker.forecast.futures import fitted_positions, play_futures
from tracker.forecast.outlook import outlook
from tracker.workshop.records import Records

Array = NDArray[np.float64]
TODAY = date(2025, 6, 1)
WATCHED = 92  # days: the log began on 1 March
PLACES = {"head": "H1", "damper": "W1", "wiper": "wiper"}


def one_part(kind: str, **fitting: Any) -> Records:
    """A printer with one part that was in before the log began, a certain delivery of 30 days, no
    review. ``fitting``: what else is known of it."""
    parts = rows("part_kind lead_days lead_days_late replaced_with", (kind, 30, 30, ""))
    records = workshop(1, parts=parts, settings=setting(review_days=0, log_began_on="2025-03-01"))
    own = {"fitted_on": None, **fitting}
    fittings = rows(
        " ".join(["printer part_kind position", *own]), ("A", kind, PLACES[kind], *own.values())
    )
    started = rows("printer started_on", ("A", "2023-09-12"))  # 628 days before TODAY
    return records.with_table("fittings", fittings).with_table("printers", started)


def chance_in_outlook(records: Records, days: float, fitted: FittedLives | None = None) -> float:
    return float(outlook(records, TODAY, days, fitted=fitted)["chance_of_failure"].iloc[0])


@pytest.mark.parametrize(
    "fitting",
    [{"fitted_on": "2024-09-01"}, {}, {"age_guess_days": 200.0}],
    ids=["fitting day known", "unknown", "guessed"],
)
def test_outlook_stock_and_order_date_tell_one_chance_of_one_head(fitting: dict[str, Any]) -> None:
    # One head, no spare, a delivery of 30 days for certain, no review: the chance of standing
    # still before one ordered today is here is that of failing within 30 days.
    records = one_part("head", **fitting)
    told = chance_in_outlook(records, 30)
    (shelf,) = stock_table(records, TODAY, what_if=WhatIf(planned_ages={})).itertuples()
    (dated,) = preorder(records, TODAY).itertuples()
    assert (shelf.horizon_days, shelf.on_hand, dated.spares) == (30, 0, 0)
    assert shelf.chance_of_shortage_now == pytest.approx(told, abs=0.005)
    assert 1 - shelf.chance_of_need[0] == pytest.approx(told, abs=0.005)
    # Counted among 4 000 futures: 3.5 standard errors of a share (binomial).
    by_luck = 3.5 * np.sqrt(told * (1 - told) / 4000)
    assert dated.risk_if_ordered_now == pytest.approx(told, abs=by_luck)


@pytest.mark.parametrize("kind", ["damper", "wiper"])
def test_stock_tells_the_chance_of_the_outlook_for_cheap_parts_too(kind: str) -> None:
    records = one_part(kind, age_guess_days=60.0)
    told = chance_in_outlook(records, 30)
    (shelf,) = stock_table(records, TODAY, what_if=WhatIf(planned_ages={})).itertuples()
    # Beside failures the stock counts changes for no noted reason, a fiftieth of one in a typical
    # life (common practice, no source) of 90 and 120 days.
    typical = {"damper": 90, "wiper": 120}[kind]
    others = (1 - told) * 30 * 0.02 / (typical + WATCHED)
    assert 1 - shelf.chance_of_need[0] == pytest.approx(told + others, abs=0.005)


def alive(curve: tuple[float, float], age: Any) -> Any:
    shape, scale = curve
    return np.exp(-((np.asarray(age, dtype=float) / scale) ** shape))


def test_a_damper_of_unknown_age_is_riskier_than_a_new_one_and_far_from_dead() -> None:
    # No day is said on which the log began, and nothing else is written down.
    curve = (1.5, 90.0)
    records = one_part("damper").with_table("settings", setting(review_days=0))
    chance = chance_in_outlook(records, 30, known_lives(records, TODAY, {"damper": curve}))
    new, oldest = 1 - alive(curve, 30), 1 - alive(curve, 658) / alive(curve, 628)
    assert new < chance < 0.7 * oldest


@pytest.mark.parametrize("guess", [21.0, 60.0, 120.0])
def test_a_guess_is_a_spread_of_ages_about_it_narrowed_by_having_worked_since(guess: float) -> None:
    # By hand: on 1 March lognormal about the guess with a spread of 0.5 (no source), then 92 days
    # of work, which this curve makes likelier for the younger ones.
    curve = (2.0, 150.0)
    records = one_part("damper", age_guess_days=guess)
    share = (np.arange(4000) + 0.5) / 4000
    first = guess * np.exp(0.5 * normal_quantile(share))
    worked = alive(curve, first + WATCHED) / alive(curve, first)
    later = alive(curve, first + WATCHED + 30) / alive(curve, first)
    fitted = known_lives(records, TODAY, {"damper": curve})
    # Twelve ages stand for the spread.
    told = chance_in_outlook(records, 30, fitted)
    assert told == pytest.approx(1 - later.sum() / worked.sum(), abs=0.004)


def normal_quantile(share: Array) -> Array:
    from scipy.stats import norm

    return np.asarray(norm.ppf(share))


def test_a_part_guessed_new_when_the_log_began_is_as_old_as_the_log() -> None:
    # New on 1 March: 92 days old on 1 June, by hand.
    curve = (2.0, 150.0)
    records = one_part("damper", age_guess_days=0.0)
    fitted = known_lives(records, TODAY, {"damper": curve})
    expected = 1 - alive(curve, WATCHED + 30) / alive(curve, WATCHED)
    assert chance_in_outlook(records, 30, fitted) == pytest.approx(expected, abs=1e-6)


def test_positions_of_several_possible_ages_need_what_the_ages_do_by_their_chances() -> None:
    curve = (2.0, 150.0)
    records = one_part("wiper", age_guess_days=60.0)
    fitted = known_lives(records, TODAY, {"wiper": curve})
    (ages,) = fitted.ages(fitted.running.index)
    assert len(ages.ages) == 12
    laws = [demand(weibull(*curve), [age], 120)[:4] for age in ages.ages]
    positions = fitted_positions(fitted)
    found = play_futures(fitted, positions, 120.0).law(120.0)
    expected = ages.chances @ np.stack([np.pad(law, (0, 4 - len(law))) for law in laws])
    assert found[:4] == pytest.approx(expected, abs=0.02)


def pumps(ended: Sequence[tuple[str, str]], still_in: int) -> Records:
    """Pumps of unknown age in printers that are older than any pump; some came out on a day."""
    names = [f"P{number}" for number in range(len(ended) + still_in)]
    fittings = [
        (name, "pump", "pump", None, day, reason)
        for name, (day, reason) in zip(names, [*ended, *[(None, "")] * still_in], strict=True)
    ]
    frames = {
        "printers": rows("printer started_on", *((name, "2015-01-01") for name in names)),
        "fittings": rows(
            "printer part_kind position fitted_on removed_on removal_reason", *fittings
        ),
        "settings": setting(log_began_on="2025-01-01"),
    }
    return Records.of(frames)


def brute_force(failed_after: Sequence[float], still_in: int, watched: float, days: float) -> float:
    """The chance that one of the pumps still in fails within the days: Bayes on a dense grid.

    Belief: a typical life of 450 days worth one failure (rate of (age/450)^shape ~ Gamma(1, 1)),
    log shape ~ Normal(log 1.5, 0.5²), in regular service when the log began (density of the first
    age as exp(−(age/450)^1.5)); accidents one in ten lives, worth half a failure.
    """
    x, y = np.meshgrid(np.log(1.5) + np.linspace(-1.8, 1.5, 91), np.linspace(-7, 3, 161))
    shape, rate = np.exp(x)[..., None], np.exp(y)[..., None]
    first = (np.arange(240) + 0.5) / 240 * 1350
    likely = np.exp(-((first / 450) ** 1.5))
    likely = likely / likely.sum()

    def gathered(since: float) -> Array:
        return np.asarray(rate * ((first + since) / 450) ** shape)

    def of_ages(log_chance: Array) -> Array:
        return np.asarray((likely * np.exp(log_chance)).sum(axis=2))

    before = gathered(0.0)
    worked = of_ages(before - gathered(watched))
    weight = np.exp(-0.5 * ((x - np.log(1.5)) / 0.5) ** 2 + y - np.exp(y)) * worked**still_in
    for day in failed_after:
        hazard = rate * shape / 450 * ((first + day) / 450) ** (shape - 1)
        weight = weight * of_ages(before - gathered(day) + np.log(hazard))
    longer = of_ages(before - gathered(watched + days)) / worked
    seen = sum(failed_after) + still_in * watched
    # An accident rate ~ Gamma(0.5, 0.5 · 10 · 450 + days seen), none seen.
    unhurt = (1 + days / (2250 + seen)) ** -0.5
    return float(1 - unhurt * (weight * longer).sum() / weight.sum())


@pytest.mark.parametrize(
    ("failed_after", "still_in"),
    [((), 1), ((), 12), ((20, 50, 90, 140), 2), ((100,), 6)],
    ids=["one seen", "twelve that lasted", "four of six failed", "one of seven failed"],
)
def test_parts_of_unknown_age_teach_as_bayes_says(
    failed_after: tuple[int, ...], still_in: int
) -> None:
    began = date(2025, 1, 1)
    ended = [((began + timedelta(days=day)).isoformat(), "failed") for day in failed_after]
    records = pumps(ended, still_in)
    watched = (TODAY - began).days
    told = outlook(records, TODAY, 60, fitted=still_lives(records, TODAY))
    expected = brute_force(failed_after, still_in, watched, 60)
    assert len(told) == still_in
    assert told["chance_of_failure"].to_numpy() == pytest.approx(expected, abs=0.008)
