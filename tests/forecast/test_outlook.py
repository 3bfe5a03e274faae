"""The outlook of every fitted part: whom it lists, what it says, in days and in area."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import pandas as pd
import pytest
from scipy.special import gammaincinv

from tests.forecast.known_lives import Curve, known_lives
from tracker.errors import UsageError
from tracker.forecast.fitted_lives import fit_lives
from tracker.forecast.outlook import COLUMNS, outlook
from tracker.lives.usage import printing_rate
from tracker.say.ages import age_assumed
from tracker.workshop.records import Records

AS_OF = date(2025, 6, 30)
CURVES: dict[str, Any] = {
    "wiper": (2.0, 300.0), "damper": (1.5, 150.0), "pump": (2.5, 500.0), "cap": (1.5, 200.0),
}  # fmt: skip


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


def test_parts_alike_are_listed_in_the_same_order_however_they_were_written_down() -> None:
    alike = [fitting("damper", ink, "2025-06-20") for ink in ("Y", "C", "M")]
    for written in (alike, alike[::-1]):
        assert outlook(workshop(written), AS_OF, 30)["position"].tolist() == ["C", "M", "Y"]


def test_the_waste_tank_is_left_out_for_its_level_decides() -> None:
    assert "waste_tank" not in set(outlook(workshop(), AS_OF, 30)["part_kind"])


def alive(curve: Curve, age: Any) -> Any:
    """The Weibull survival by hand."""
    shape, scale = curve
    return np.exp(-((np.asarray(age, dtype=float) / scale) ** shape))


def failing(curve: Curve, age: Any, days: Any) -> Any:
    """The chance that a part of this age fails within the days, by hand."""
    return 1 - alive(curve, np.asarray(age) + days) / alive(curve, age)


def test_the_numbers_of_a_life_known_exactly_are_its_closed_form() -> None:
    records = workshop()
    row = outlook(records, AS_OF, 45, fitted=known_lives(records, AS_OF, CURVES)).loc[2]
    # 1 − exp((241/300)² − (286/300)²), and 300·√((241/300)² − ln(1 − p)) − 241.
    chance = 1 - np.exp((241 / 300) ** 2 - (286 / 300) ** 2)
    told = row[["chance_of_failure", "chance_low", "chance_high"]].to_numpy(dtype=float)
    assert told == pytest.approx(np.full(3, chance), rel=1e-6)
    days = row[["days_p10", "days_p50", "days_p90"]].to_numpy(dtype=float)
    left = -np.log1p(-np.array([0.1, 0.5, 0.9]))
    assert days == pytest.approx(300 * np.sqrt((241 / 300) ** 2 + left) - 241, rel=2e-3)
    assert (row["failures"], row["age_p10"], row["age_p90"]) == (2, 241, 241)


def test_limits_of_an_exponential_chance_are_the_gamma_quantiles_of_its_rate() -> None:
    # A rate of which only Gamma(2, 4160) is known: its 10 % and 90 % points from scipy; the mean
    # chance is 1 − (1 + 100/4160)⁻² by hand.
    rates = gammaincinv(2, (np.arange(2000) + 0.5) / 2000) / 4160
    curves = {**CURVES, "wiper": np.column_stack((np.ones(2000), 1 / rates))}
    records = workshop()
    row = outlook(records, AS_OF, 100, fitted=known_lives(records, AS_OF, curves)).loc[2]
    low, high = -np.expm1(-100 * gammaincinv(2, [0.1, 0.9]) / 4160)
    assert row["chance_low"] == pytest.approx(low, rel=5e-3)
    assert row["chance_high"] == pytest.approx(high, rel=5e-3)
    assert row["chance_of_failure"] == pytest.approx(1 - (1 + 100 / 4160) ** -2, rel=1e-3)


def test_area_is_the_days_at_the_printing_rate_with_the_rates_own_doubt() -> None:
    records = workshop()
    row = outlook(records, AS_OF, 30, fitted=known_lives(records, AS_OF, CURVES)).loc[2]
    # By integrating over the rate: about 10 m² a day with the standard error of the readings.
    rate = printing_rate(records, AS_OF).loc["Ada"]
    spread = np.sqrt(np.log1p((rate["std_error"] / rate["area_m2_per_day"]) ** 2))
    normal = np.sqrt(2) * np.array([-2.02018, -0.958572, 0, 0.958572, 2.02018])
    weight = np.array([0.0199532, 0.393619, 0.945309, 0.393619, 0.0199532])
    rates = rate["area_m2_per_day"] * np.exp(spread * normal - spread**2 / 2)
    for chance, name in ((0.1, "area_p10"), (0.5, "area_p50"), (0.9, "area_p90")):
        failed = failing(CURVES["wiper"], 241, row[name] / rates)
        assert failed @ weight / weight.sum() == pytest.approx(chance, abs=2e-3)


def test_area_is_not_told_where_the_rate_is_not_known() -> None:
    told = outlook(workshop(readings=1), AS_OF, 30)
    assert told[["area_p10", "area_p50", "area_p90"]].isna().all(axis=None)
    assert told[["days_p10", "days_p50", "days_p90"]].notna().all(axis=None)


def law_of_ages(curve: Curve, watched: float, oldest: float) -> tuple[Any, Any]:
    """Ages today with their chances, on a fine grid, by hand: a pump in regular service is at any
    age that pumps reach (believed to last 450 days, shape 1.5), in a printer no older than this;
    and it has worked on since, which this curve makes likely or not.
    """
    first = np.linspace(0, 3 * 450, 20_001)
    chance = alive((1.5, 450.0), first)
    first = np.minimum(first, oldest)
    chance = chance * alive(curve, first + watched) / alive(curve, first)
    return first + watched, chance / chance.sum()


def test_a_part_of_unknown_age_is_averaged_and_says_so() -> None:
    records = workshop(log_began="2025-01-01")
    row = outlook(records, AS_OF, 30, fitted=known_lives(records, AS_OF, CURVES)).loc[6]
    assert np.isnan(row["age_days"])
    # Watched since 1 January 2025 (180 days), in a printer here since 1 July 2023 (730 days).
    assert 180 < row["age_p10"] < row["age_p90"] <= 730
    assert age_assumed(row).startswith("age not known: taken as a part in regular service, about ")
    ages, weight = law_of_ages(CURVES["pump"], 180, 550)
    chance = failing(CURVES["pump"], ages, 30) @ weight
    assert row["chance_of_failure"] == pytest.approx(chance, rel=0.01)
    ahead = row[["days_p10", "days_p50", "days_p90"]].to_numpy(dtype=float)
    for chance, days in zip((0.1, 0.5, 0.9), ahead, strict=True):
        failed = failing(CURVES["pump"], ages, days) @ weight
        assert failed == pytest.approx(chance, rel=0.01)


def test_without_a_log_start_watching_begins_with_the_first_entry() -> None:
    # The first fitting is of 1 January 2024: 546 days ago, 184 after the printer came.
    records = workshop()
    row = outlook(records, AS_OF, 30, fitted=known_lives(records, AS_OF, CURVES)).loc[6]
    ages, weight = law_of_ages(CURVES["pump"], 546, 184)
    chance = failing(CURVES["pump"], ages, 30) @ weight
    assert row["chance_of_failure"] == pytest.approx(chance, rel=0.01)


def test_parts_are_listed_on_the_very_day_the_log_begins() -> None:
    told = outlook(workshop(log_began="2025-06-30"), AS_OF, 30)
    assert told.loc[2, "age_days"] == 241
    assert told.loc[2, "failures"] == 0  # nothing watched yet
    assert told["chance_of_failure"].between(0, 1, inclusive="neither").all()


def one_wiper(failures: int, age: int) -> Records:
    """So many wipers that failed one after another, one of this age now: lives that are spread as
    a Weibull of shape 2 and scale 113 spreads them, a mean of 100 days.
    """
    share = (np.arange(failures) + 0.5) / max(failures, 1)
    lived = np.random.default_rng(1).permutation(np.round(113 * np.sqrt(-np.log1p(-share))))
    ends = pd.Timestamp(AS_OF) - pd.Timedelta(days=age) - pd.to_timedelta(
        np.append(np.cumsum(lived[::-1])[::-1], 0.0), "D"
    )  # fmt: skip
    days = [str(day.date()) for day in ends]
    rows = [
        fitting("wiper", "wiper", began, end, "failed" if end else "")
        for began, end in zip(days, [*days[1:], ""], strict=True)
    ]
    records = workshop(rows)
    return records.with_table("printers", records.printers.assign(started_on=ends[0]))


def test_the_guess_halved_or_doubled_moves_a_part_of_which_nothing_was_seen_by_as_much() -> None:
    row = outlook(one_wiper(0, 1), AS_OF, 30).loc[0]
    # A new part's life is nothing but the guess: half of it, twice of it.
    assert row["median_if_guess_halved"] == pytest.approx(row["days_p50"] / 2, rel=0.06)
    assert row["median_if_guess_doubled"] == pytest.approx(row["days_p50"] * 2, rel=0.06)


def test_the_guess_halved_or_doubled_hardly_moves_a_part_of_which_much_was_seen() -> None:
    row = outlook(one_wiper(25, 10), AS_OF, 30).loc[25]
    assert row["median_if_guess_halved"] == pytest.approx(row["days_p50"], rel=0.06)
    assert row["median_if_guess_doubled"] == pytest.approx(row["days_p50"], rel=0.06)


def test_a_guess_that_hardly_counts_is_told_to_move_nothing_and_would_hardly() -> None:
    one, names = one_wiper(100, 10), [f"P{number}" for number in range(12)]
    pump = pd.DataFrame([fitting("pump", "pump", "2025-01-01")])
    wipers = [one.fittings.assign(printer=name) for name in names]
    records = one.with_table(
        "fittings", pd.concat([*wipers, pump.assign(printer="P0")], ignore_index=True)
    ).with_table("printers", pd.concat([one.printers.assign(printer=name) for name in names]))
    fit = fit_lives(records, AS_OF)
    told = outlook(records, AS_OF, 30, fitted=fit).set_index("part_kind")
    wiper, pump = told.loc[["wiper"]], told.loc["pump"]
    for column, factor in (("median_if_guess_halved", 0.5), ("median_if_guess_doubled", 2.0)):
        assert (wiper[column] == wiper["days_p50"]).all()
        assert pump[column] != pytest.approx(pump["days_p50"], rel=0.1)
        assert fit.draws is not None
        parts = fit.parts(fit.running.index[fit.running["part_kind"] == "wiper"])
        moved = fit.draws.if_guess(factor).remaining_quantiles(parts, (0.5,))[:, 0]
        assert moved == pytest.approx(fit.remaining(parts, (0.5,))[:, 0], rel=0.01)


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
