"""The outlook of every fitted part: whom it lists, what it says, in days and in area."""

from datetime import date

import numpy as np
import pandas as pd
import pytest

from tracker.errors import UsageError
from tracker.forecast.need import need_models
from tracker.forecast.outlook import COLUMNS, outlook
from tracker.models.life_model.competing import CompetingPosterior
from tracker.say.ages import age_assumed
from tracker.workshop.records import Records

AS_OF = date(2025, 6, 30)


def day(text: str) -> pd.Timestamp:
    return pd.Timestamp(text) if text else pd.NaT


def fitting(
    part_kind: str, position: str, fitted: str, removed: str = "", reason: str = ""
) -> dict[str, object]:
    return {
        "printer": "Ada",
        "part_kind": part_kind,
        "position": position,
        "fitted_on": day(fitted),
        "removed_on": day(removed),
        "removal_reason": reason,
    }


ROWS = [
    fitting("wiper", "wiper", "2024-01-01", "2024-05-10", "failed"),
    fitting("wiper", "wiper", "2024-05-10", "2024-11-01", "failed"),
    fitting("wiper", "wiper", "2024-11-01"),
    fitting("damper", "W1", "2025-06-20"),
    fitting("damper", "C", "2024-03-01"),
    fitting("waste_tank", "waste", "2024-01-01"),
    fitting("pump", "pump", ""),
    fitting("cap", "cap", "2024-01-01", "2025-01-01", "unknown"),
]


def workshop(
    rows: list[dict[str, object]] | None = None, log_began: str = "", readings: int = 12
) -> Records:
    days = pd.date_range("2025-04-01", periods=readings, freq="7D")
    # 70 m² a week, a little more and a little less by turns.
    area = 500 + 70.0 * np.arange(readings) + 6.0 * (np.arange(readings) % 2)
    settings = pd.DataFrame({"name": ["log_began_on"], "value": [log_began]})
    return Records.of(
        {
            "printers": pd.DataFrame(
                {"printer": ["Ada"], "started_on": [day("2023-07-01")], "site": ["Mill"]}
            ),
            "fittings": pd.DataFrame(ROWS if rows is None else rows),
            "counters": pd.DataFrame({"printer": "Ada", "read_on": days, "area_m2": area}),
            "settings": settings[settings["value"] != ""],
        }
    )


def test_every_running_part_is_listed_likeliest_to_fail_first() -> None:
    told = outlook(workshop(), AS_OF, 30)
    assert tuple(told.columns) == COLUMNS
    assert sorted(told.index) == [2, 3, 4, 6]
    assert told["chance_of_failure"].is_monotonic_decreasing
    assert told.loc[2, ["part_kind", "printer", "position", "site"]].tolist() == [
        "wiper", "Ada", "wiper", "Mill",
    ]  # fmt: skip
    assert told.loc[2, "age_days"] == 241
    assert told.loc[3, "ink"] == "white"


def test_the_waste_tank_is_left_out_for_its_level_decides() -> None:
    assert "waste_tank" not in set(outlook(workshop(), AS_OF, 30)["part_kind"])


def test_the_numbers_are_those_of_the_kinds_posterior() -> None:
    records = workshop()
    row = outlook(records, AS_OF, 45).loc[2]
    posterior = need_models(records, AS_OF)["wiper"].posterior()
    assert row["chance_of_failure"] == pytest.approx(posterior.chance_of_failure(241, 45))
    days = row[["days_p10", "days_p50", "days_p90"]].to_numpy(dtype=float)
    exact = posterior.remaining_quantile([0.1, 0.5, 0.9], age=241)
    np.testing.assert_allclose(days, exact, rtol=1e-4)
    assert row["chance_low"] < row["chance_of_failure"] < row["chance_high"]
    assert (row["failures"], row["age_p10"], row["age_p90"]) == (2, 241, 241)
    assert row["belief_share"] == pytest.approx(posterior.belief_share)


def test_area_is_the_days_at_the_printing_rate_with_the_rates_own_doubt() -> None:
    records = workshop()
    row = outlook(records, AS_OF, 30).loc[2]
    posterior = need_models(records, AS_OF)["wiper"].posterior()
    # By drawing the rate: about 10 m² a day with the standard error of the readings.
    from tracker.lives.usage import printing_rate

    rate = printing_rate(records, AS_OF).loc["Ada"]
    spread = np.sqrt(np.log1p((rate["std_error"] / rate["area_m2_per_day"]) ** 2))
    normal = np.sqrt(2) * np.array([-2.02018, -0.958572, 0, 0.958572, 2.02018])
    weight = np.array([0.0199532, 0.393619, 0.945309, 0.393619, 0.0199532])
    rates = rate["area_m2_per_day"] * np.exp(spread * normal - spread**2 / 2)
    for chance, name in ((0.1, "area_p10"), (0.5, "area_p50"), (0.9, "area_p90")):
        failed = posterior.chance_of_failure(241, row[name] / rates)
        assert failed @ weight / weight.sum() == pytest.approx(chance, abs=2e-3)


def test_area_is_not_told_where_the_rate_is_not_known() -> None:
    told = outlook(workshop(readings=1), AS_OF, 30)
    assert told[["area_p10", "area_p50", "area_p90"]].isna().all(axis=None)
    assert told[["days_p10", "days_p50", "days_p90"]].notna().all(axis=None)


def law_of_ages(
    posterior: CompetingPosterior, watched: float, oldest: float
) -> tuple[np.ndarray, np.ndarray]:
    """Ages today with their chances, on a fine grid: in service up to three lives, no older than
    the printer was there, and watched since."""
    first = np.linspace(0, 3 * posterior.quantile(0.5), 20_001)
    chance = posterior.survival(first)
    first = np.minimum(first, oldest)
    chance = chance * posterior.survival(first + watched) / posterior.survival(first)
    return first + watched, chance / chance.sum()


def test_a_part_of_unknown_age_is_averaged_and_says_so() -> None:
    records = workshop(log_began="2025-01-01")
    row = outlook(records, AS_OF, 30).loc[6]
    assert np.isnan(row["age_days"])
    # Watched since 1 January 2025 (180 days), in a printer here since 1 July 2023 (730 days).
    assert 180 < row["age_p10"] < row["age_p90"] <= 730
    assert age_assumed(row).startswith("age not known: taken as a part in regular service, about ")
    posterior = need_models(records, AS_OF)["pump"].posterior()
    ages, weight = law_of_ages(posterior, 180, 550)
    chance = posterior.chance_of_failure(ages, 30) @ weight
    assert row["chance_of_failure"] == pytest.approx(chance, rel=0.01)
    ahead = row[["days_p10", "days_p50", "days_p90"]].to_numpy(dtype=float)
    for chance, days in zip((0.1, 0.5, 0.9), ahead, strict=True):
        failed = posterior.chance_of_failure(ages, days) @ weight
        assert failed == pytest.approx(chance, rel=0.01)


def test_without_a_log_start_watching_begins_with_the_first_entry() -> None:
    # The first fitting is of 1 January 2024: 546 days ago, 184 after the printer came.
    row = outlook(workshop(), AS_OF, 30).loc[6]
    posterior = need_models(workshop(), AS_OF)["pump"].posterior()
    ages, weight = law_of_ages(posterior, 546, 184)
    assert row["chance_of_failure"] == pytest.approx(
        posterior.chance_of_failure(ages, 30) @ weight, rel=0.01
    )


def test_parts_are_listed_on_the_very_day_the_log_begins() -> None:
    told = outlook(workshop(log_began="2025-06-30"), AS_OF, 30)
    assert told.loc[2, "age_days"] == 241
    assert told.loc[2, "belief_share"] == pytest.approx(1.0)  # nothing watched yet


def test_an_earlier_day_knows_nothing_of_later_ones() -> None:
    early = outlook(workshop(), date(2024, 7, 1), 30)
    assert early.loc[1, "age_days"] == 52
    assert early.loc[1, "failures"] == 1
    assert 3 not in early.index


def test_a_longer_look_ahead_never_has_a_smaller_chance() -> None:
    records = workshop()
    near, far = (outlook(records, AS_OF, days)["chance_of_failure"] for days in (10, 60))
    assert (far.reindex(near.index) > near).all()


def test_an_empty_workshop_has_an_empty_outlook() -> None:
    told = outlook(Records(), AS_OF, 30)
    assert tuple(told.columns) == COLUMNS
    assert told.empty


@pytest.mark.parametrize("days", [0, -3, float("nan"), float("inf")])
def test_a_look_ahead_of_no_days_is_refused(days: float) -> None:
    with pytest.raises(UsageError, match="days"):
        outlook(workshop(), AS_OF, days)
