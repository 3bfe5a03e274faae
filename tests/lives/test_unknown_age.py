"""How old a part of unknown fitting day may be: the law of ages, and what it hangs on."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import rows, setting
from tracker.lives.unknown_age import AGES, PossibleAges, first_watched, possible_ages
from tracker.workshop.records import Records

TODAY = date(2025, 6, 1)


def constant_hazard(age: np.ndarray) -> np.ndarray:
    return np.exp(-age / 100)


def wear(age: np.ndarray) -> np.ndarray:
    return np.exp(-((age / 100) ** 3))


def test_under_a_constant_hazard_the_ages_are_those_of_a_new_part_and_watching_tells_nothing() -> (
    None
):
    # Cox (1962), section 5.2: the age in service has the density S(a) / mean life, here that of
    # the life itself; up to three lives its quantiles are −100·ln(1 − p(1 − e⁻³)).
    share = (np.arange(AGES) + 0.5) / AGES
    exact = -100 * np.log(1 - share * (1 - np.exp(-3)))
    found = possible_ages(constant_hazard, 100, 40)
    assert found.ages - 40 == pytest.approx(exact, abs=0.1)
    assert found.chances == pytest.approx(np.full(AGES, 1 / AGES))


def test_having_worked_on_makes_the_young_likelier() -> None:
    at_once, later = (possible_ages(wear, 100, days) for days in (0, 60))
    assert at_once.chances == pytest.approx(np.full(AGES, 1 / AGES))
    assert (np.diff(later.chances) < 0).all()
    assert later.mean < at_once.mean + 60


def test_no_part_is_older_than_its_printer_was_there() -> None:
    found = possible_ages(wear, 100, 10, oldest_at_first=30)
    assert found.ages.max() == 40
    # A printer that came on the log's first day with new parts: their age is the time watched.
    assert possible_ages(wear, 100, 10, oldest_at_first=0).quantile(0.9) == 10


def test_a_guess_stands_in_the_middle_and_what_was_seen_moves_it() -> None:
    guessed = possible_ages(wear, 100, 0, guess_at_first=80)
    assert guessed.quantile(0.5) < 80 < guessed.quantile(0.6)
    assert possible_ages(wear, 100, 40, guess_at_first=80).mean < guessed.mean + 40
    new = possible_ages(wear, 100, 25, guess_at_first=0)
    assert (new.ages == 25).all()


def test_a_part_that_nobody_would_have_expected_to_live_so_long_still_has_ages() -> None:
    found = possible_ages(wear, 100, 5000)
    assert found.chances.sum() == pytest.approx(1)
    assert found.ages.min() > 5000


def test_watching_begins_with_the_log_or_with_a_printer_that_came_later() -> None:
    printers = rows(
        "printer started_on", ("Old", "2024-01-01"), ("New", "2025-05-02"), ("Unsaid", None)
    )
    records = Records.of({"printers": printers, "settings": setting(log_began_on="2025-04-02")})
    found = first_watched(records, TODAY)
    assert (found["Old"].days, found["Old"].oldest_at_first) == (60, 457)
    assert (found["New"].days, found["New"].oldest_at_first) == (30, np.inf)
    assert (found["Unsaid"].days, found["Unsaid"].oldest_at_first) == (60, np.inf)
    # Without a stated day the first entry counts; with none at all watching begins today.
    counters = pd.DataFrame({"printer": ["Old"], "read_on": [pd.Timestamp("2025-05-22")]})
    written = Records.of({"printers": printers, "counters": counters})
    assert first_watched(written, TODAY)["Old"].days == 10
    assert first_watched(Records.of({"printers": printers}), TODAY)["Old"].days == 0


def test_ages_and_their_chances_tell_a_mean_and_a_range() -> None:
    found = PossibleAges(np.array([10.0, 30.0]), np.array([0.25, 0.75]))
    assert (found.mean, found.quantile(0.1), found.quantile(0.9)) == (25, 10, 30)
