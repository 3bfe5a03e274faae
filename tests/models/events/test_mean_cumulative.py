"""The mean cumulative function against published values (case D6a) and by hand."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.reference import reference_case, reference_data
from tracker.errors import ModelError, NotEnoughData
from tracker.models.curves import nelson_aalen
from tracker.models.events import mean_cumulative_function


@pytest.fixture(scope="module")
def engines() -> tuple[pd.DataFrame, dict[int, float]]:
    """Nelson & Doganaksoy (1989): 48 valve-seat replacements on 41 engines; each engine's end."""
    seats = reference_data("valveseat.csv")
    return seats[seats["status"] == 1], seats[seats["status"] == 0].set_index("id")[
        "time"
    ].to_dict()


def at(mcf: pd.DataFrame, column: str, ages: dict[str, object]) -> list[float]:
    return [float(mcf[mcf.index <= float(age)][column].iloc[-1]) for age in ages]


def test_valve_seats_accumulate_as_in_r_with_robust_errors(
    engines: tuple[pd.DataFrame, dict[int, float]],
) -> None:
    # Case D6a: R survfit(id =), Nelson (1995). Two engines have two events on one day.
    expected = reference_case("D6a")
    events, end = engines
    mcf = mean_cumulative_function(events["id"], events["time"], end)
    assert mcf["events"].sum() == 48
    wanted = expected["MCF"]
    assert at(mcf, "mean_events", wanted) == pytest.approx(list(wanted.values()), rel=1e-8)
    wanted = expected["SE_robust"]
    assert at(mcf, "std_error", wanted) == pytest.approx(list(wanted.values()), rel=1e-8)
    wanted = expected["n_at_risk"]
    assert at(mcf, "at_risk", wanted) == list(wanted.values())


@pytest.mark.parametrize(("interval", "name"), [("plain", "lin95"), ("log", "log95")])
def test_valve_seat_limits_are_those_of_r(
    engines: tuple[pd.DataFrame, dict[int, float]], interval: str, name: str
) -> None:
    expected = reference_case("D6a")[name]
    events, end = engines
    mcf = mean_cumulative_function(events["id"], events["time"], end, interval=interval)  # type: ignore[arg-type]
    assert at(mcf, "lower", expected) == pytest.approx([low for low, _ in expected.values()], 1e-5)
    assert at(mcf, "upper", expected) == pytest.approx([up for _, up in expected.values()], 1e-5)


def test_all_three_ways_of_saying_when_watching_ended_agree(
    engines: tuple[pd.DataFrame, dict[int, float]],
) -> None:
    events, end = engines
    mapped = mean_cumulative_function(events["id"], events["time"], end)
    series = mean_cumulative_function(events["id"], events["time"], pd.Series(end))
    rows = reference_data("valveseat.csv")
    age = rows["time"].where(rows["status"] == 1)  # NaN on the rows without an event
    listed = mean_cumulative_function(rows["id"], age, rows["id"].map(end))
    pd.testing.assert_frame_equal(mapped, series)
    pd.testing.assert_frame_equal(mapped, listed)


def test_the_mean_falls_back_on_nelson_aalen_when_a_unit_can_have_one_event_only() -> None:
    # A unit whose watch ends with its event: the same risk sets (Nelson 1972).
    rng = np.random.default_rng(3)
    life, until = np.ceil(100 * rng.weibull(1.5, 50)), np.ceil(rng.uniform(20, 200, 50))
    entry = np.where(np.arange(50) < 20, 0.0, 10.0)
    end = np.minimum(life, until)
    kept = end > entry
    failed = life <= until
    mcf = mean_cumulative_function(
        np.arange(50)[kept], np.where(failed, life, np.nan)[kept], end[kept], entry[kept]
    )
    hazard = nelson_aalen(end[kept], failed[kept], entry[kept])
    hazard = hazard[hazard["failures"] > 0]
    np.testing.assert_allclose(mcf["mean_events"], hazard["cumulative_hazard"], rtol=1e-12)
    np.testing.assert_allclose(mcf["at_risk"], hazard["at_risk"])


def test_two_units_by_hand() -> None:
    # Unit a: events at 3, 3; unit b: event at 8; c none. At 3 three at risk, at 8 two.
    mcf = mean_cumulative_function(["a", "a", "b"], [3, 3, 8], {"a": 10, "b": 9, "c": 5})
    assert mcf["mean_events"].tolist() == pytest.approx([2 / 3, 2 / 3 + 1 / 2])
    # Influence at 3: a (2 − 2/3)/3, b and c (0 − 2/3)/3; the squares add up to 24/81.
    assert mcf["std_error"][3.0] ** 2 == pytest.approx(24 / 81)


def test_lifelines_agrees_on_the_risk_sets_of_single_events() -> None:
    import lifelines

    rng = np.random.default_rng(4)
    life, until = np.ceil(100 * rng.weibull(1.5, 80)), np.ceil(rng.uniform(20, 200, 80))
    end, failed = np.minimum(life, until), life <= until
    mcf = mean_cumulative_function(np.arange(80), np.where(failed, life, np.nan), end)
    other = lifelines.NelsonAalenFitter(nelson_aalen_smoothing=False).fit(end, failed)
    theirs = other.cumulative_hazard_at_times(mcf.index).to_numpy()
    np.testing.assert_allclose(mcf["mean_events"], theirs, rtol=1e-9)


def test_the_robust_error_is_the_spread_over_repeated_samples_of_unequal_units() -> None:
    # Units whose paces differ (gamma): events of one unit go together; a Poisson error would be
    # about half of the true spread. 400 seeded samples, ±12 %.
    rng = np.random.default_rng(7)
    means, errors = [], []
    for _ in range(400):
        pace, end = rng.gamma(1.0, 0.05, 30), rng.uniform(60, 150, 30)
        counts = rng.poisson(pace * end)
        unit = np.repeat(np.arange(30), counts)
        age = rng.uniform(0, end[unit])
        mcf = mean_cumulative_function(unit, age, dict(enumerate(end)))
        row = mcf[mcf.index <= 60].iloc[-1]
        means.append(row["mean_events"])
        errors.append(row["std_error"])
    assert np.mean(means) == pytest.approx(3.0, abs=0.1)
    assert np.mean(errors) == pytest.approx(np.std(means), rel=0.12)


@settings(max_examples=50)
@given(
    st.lists(
        st.tuples(st.integers(0, 5), st.integers(1, 30)),
        min_size=1,
        max_size=20,
    ),
    st.lists(st.integers(30, 60), min_size=6, max_size=6),
    st.floats(0.1, 10),
)
def test_the_mean_never_falls_and_another_unit_of_age_changes_the_ages_only(
    rows: list[tuple[int, int]], ends: list[int], unit_of_age: float
) -> None:
    unit, age = (np.array(column) for column in zip(*rows, strict=True))
    end = np.array(ends, dtype=float)
    mcf = mean_cumulative_function(unit, age, dict(enumerate(end)))
    assert (mcf["mean_events"].diff().dropna() > 0).all()
    assert mcf["events"].sum() == len(rows)
    scaled = mean_cumulative_function(
        unit, age * unit_of_age, dict(enumerate(end * unit_of_age * (1 + 1e-12)))
    )
    np.testing.assert_allclose(scaled.index, mcf.index * unit_of_age)
    np.testing.assert_allclose(scaled.to_numpy(), mcf.to_numpy(), rtol=1e-9)


def test_a_large_fleet_has_the_error_that_one_table_of_all_its_units_gives() -> None:
    # 3000 units × some 900 ages pass through in blocks; the table of all of them is the check.
    rng = np.random.default_rng(9)
    end = rng.integers(300, 1000, 3000).astype(float)
    unit = rng.integers(0, 3000, 4000)
    age = np.ceil(rng.random(4000) * end[unit])
    mcf = mean_cumulative_function(unit, age, dict(enumerate(end)))
    ages = mcf.index.to_numpy()
    own = np.zeros((3000, len(ages)))
    np.add.at(own, (unit, np.searchsorted(ages, age)), 1.0)
    watched = ages <= end[:, None]
    n = watched.sum(axis=0)
    influence = np.cumsum(watched / n * (own - own.sum(axis=0) / n), axis=1)
    np.testing.assert_allclose(mcf["std_error"], np.sqrt((influence**2).sum(axis=0)), rtol=1e-9)


def test_what_cannot_be_read_is_said_in_words() -> None:
    with pytest.raises(ModelError, match="end_age names no age for unit 'b'"):
        mean_cumulative_function(["a", "b"], [1, 2], {"a": 5})
    with pytest.raises(ModelError, match=r"event_age\[1\] is 7, but unit 'a' is watched only"):
        mean_cumulative_function(["a", "a"], [1, 7], {"a": 5})
    with pytest.raises(ModelError, match=r"end_age\[0\] is 5 but another row of unit 'a' says 6"):
        mean_cumulative_function(["a", "a"], [1, 2], [5, 6])
    with pytest.raises(ModelError, match="end_age has 1 values but there are 2 rows"):
        mean_cumulative_function(["a", "a"], [1, 2], [5])
    with pytest.raises(ModelError, match="unit 'a' is watched from 5 to 5"):
        mean_cumulative_function(["a"], [1], {"a": 5}, {"a": 5})
    with pytest.raises(ModelError, match=r"unit\[0\] is missing"):
        mean_cumulative_function([None], [1], [5])
    with pytest.raises(ModelError, match="interval is 'wald'"):
        mean_cumulative_function(["a"], [1], [5], interval="wald")  # type: ignore[arg-type]
    with pytest.raises(NotEnoughData, match="No event has been recorded"):
        mean_cumulative_function(["a"], [None], [5])
