"""What could have been told without ages: chances and scores worked out by hand."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from tests.decisions.workshops import rows, setting, workshop
from tracker.forecast.fitted_lives import fit_lives
from tracker.replay.base_rates import base_chances
from tracker.replay.forecasts import PastForecasts
from tracker.replay.past_fits import play_past
from tracker.workshop.records import Records

DAY = date(2025, 4, 1)


@pytest.fixture(scope="module")
def two_wipers() -> Records:
    """Printers A and B from 2025-01-01 on; A's wiper broke on the fortieth day, the rest is still
    to come; the catalogue believes in 100 days, worth two failures.
    """
    return workshop(
        printers=2,
        fittings=rows(
            "printer part_kind position fitted_on removed_on removal_reason",
            ("A", "wiper", "wiper", "2025-01-01", "2025-02-10", "failed"),
            ("A", "wiper", "wiper", "2025-02-10", "2025-04-16", "accident"),
            ("A", "wiper", "wiper", "2025-04-16", None, ""),
            ("B", "wiper", "wiper", "2025-01-01", "2025-04-21", "planned"),
            ("B", "wiper", "wiper", "2025-04-21", None, ""),
        ),
        parts=rows(
            "part_kind typical_life_days belief_failures unit_cost", ("wiper", 100.0, 2.0, 10.0)
        ),
        settings=setting(log_began_on="2025-01-01"),
    )


def test_both_base_chances_are_the_sums_done_by_hand(two_wipers: Records) -> None:
    fitted = fit_lives(two_wipers, DAY)
    found = base_chances(fitted, fitted.parts(fitted.running.index), 30)
    # One failure in 40 days, and by 1 April 50 and 90 days of the two parts in use: 180 days.
    rate = (1 + 0.5) / (180 + 0.5 * 100)
    assert found.kind_rate == pytest.approx(np.full(2, 1 - np.exp(-30 * rate)))
    # The belief adds two failures in 200 days: 3 failures in 380 days.
    assert found.age_free == pytest.approx(np.full(2, 1 - (380 / 410) ** 3))


def test_the_scores_of_one_month_are_the_sums_done_by_hand(two_wipers: Records) -> None:
    past = PastForecasts(two_wipers, date(2025, 5, 1))
    play_past(two_wipers, [DAY], [past.hear])
    (month,) = past.score().months
    # A's wiper broke on 16 April; B's came out working on the 21st and says nothing either way.
    assert (month["month"], month["parts"], month["came"]) == ("2025-04", 1, 1)
    fitted = fit_lives(two_wipers, DAY)
    assert fitted.draws is not None
    chance = fitted.draws.chance_of_failure(fitted.parts(fitted.running.index), [30, 15, 20])
    place = list(fitted.running["printer"]).index("A")
    assert month["foretold"] == pytest.approx(chance[place, 0])
    assert past.score().brier is None  # two forecasts are too few to judge
    # The ranges are read at what came: A's on day 15, B's last seen good on day 20.
    (reached,) = past._reached
    assert reached.failed.tolist() == [printer == "A" for printer in fitted.running["printer"]]
    exact = np.where(reached.failed, chance[:, 1], chance[:, 2])
    assert reached.chance == pytest.approx(exact, abs=0.002)
