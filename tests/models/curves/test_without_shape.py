"""Kaplan–Meier and Nelson–Aalen against published values (cases D2b, D3a, D3b)."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from tests.models.curves.at_ages import at_ages as read
from tests.reference import reference_case, reference_data
from tracker.errors import ModelError, NotEnoughData
from tracker.models.curves import kaplan_meier, nelson_aalen


@pytest.fixture(scope="module")
def six_mp() -> pd.DataFrame:
    """Freireich et al. (1963), 21 remissions under 6-MP."""
    trial = reference_data("gehan_6mp.csv")
    return trial[trial["treat"] == "6-MP"]


@pytest.fixture(scope="module")
def lung() -> pd.DataFrame:
    """Loprinzi et al. (1994); status 2 is the event."""
    return reference_data("lung.csv")


@pytest.fixture(scope="module")
def channing() -> pd.DataFrame:
    """Hyde (1980), ages in months with delayed entry; five rows with exit ≤ entry dropped."""
    house = reference_data("channing.csv")
    return house[house["exit"] > house["entry"]]


def half_gone(curve: pd.DataFrame, column: str) -> float:
    """The first age at which this curve is at one half or below (Brookmeyer & Crowley 1982)."""
    return float(curve.index[curve[column] <= 0.5][0])


def test_six_mp_survival_and_greenwood_error_are_the_textbooks(six_mp: pd.DataFrame) -> None:
    # Case D3a: R 4.2.2 / survival 3.5-3; .857 .807 .753 .690 .627 .538 .448 in many textbooks.
    expected = reference_case("D3a")
    curve = kaplan_meier(six_mp["time"], six_mp["event"])
    assert read(curve, "survival", expected["S"]) == pytest.approx(list(expected["S"].values()))
    assert read(curve, "std_error", expected["se"]) == pytest.approx(list(expected["se"].values()))


@pytest.mark.parametrize(
    ("interval", "name"), [("plain", "plain95"), ("log", "log95"), ("log-log", "loglog95")]
)
def test_six_mp_limits_of_all_three_kinds_are_those_of_r(
    six_mp: pd.DataFrame, interval: str, name: str
) -> None:
    expected = reference_case("D3a")[name]
    curve = kaplan_meier(six_mp["time"], six_mp["event"], interval=interval)  # type: ignore[arg-type]
    assert read(curve, "lower", expected) == pytest.approx([low for low, _ in expected.values()])
    assert read(curve, "upper", expected) == pytest.approx([high for _, high in expected.values()])


def test_six_mp_cumulative_hazard_leaves_ties_as_they_are(six_mp: pd.DataFrame) -> None:
    # With smoothed ties H(6) would be .15025; R and Nelson have 3/21.
    expected = reference_case("D3a")
    curve = nelson_aalen(six_mp["time"], six_mp["event"])
    for age, hazard in expected["NA_H"].items():
        assert curve["cumulative_hazard"][float(age)] == pytest.approx(hazard)
    for age, std_error in expected["NA_se"].items():
        assert curve["std_error"][float(age)] == pytest.approx(std_error)


def test_lung_survival_limits_median_and_mean_are_those_of_r(lung: pd.DataFrame) -> None:
    expected = reference_case("D3b")
    failed = lung["status"] == 2
    curves = {
        "loglog95": kaplan_meier(lung["time"], failed),
        "log95": kaplan_meier(lung["time"], failed, interval="log"),
        "plain95": kaplan_meier(lung["time"], failed, interval="plain"),
    }
    curve = curves["loglog95"]
    assert read(curve, "survival", expected["S"]) == pytest.approx(list(expected["S"].values()))
    for name, limits in ((name, expected[name]) for name in curves):
        for side, column in enumerate(("lower", "upper")):
            wanted = [pair[side] for pair in limits.values()]
            assert read(curves[name], column, limits) == pytest.approx(wanted)
    assert half_gone(curve, "survival") == expected["median"]
    for name in ("loglog", "log"):
        found = [half_gone(curves[f"{name}95"], side) for side in ("lower", "upper")]
        assert found == expected[f"median95_{name}"]


def test_channing_men_collapse_at_781_and_the_curve_says_so(channing: pd.DataFrame) -> None:
    men = channing[channing["sex"] == "Male"]
    curve = kaplan_meier(men["exit"], men["cens"], men["entry"])
    assert len(channing) == reference_case("D2b")["n_used"]
    assert curve["survival"][781.0] == 0.0
    assert curve.attrs["collapsed_at"] == 781.0
    assert curve.attrs["warning"].startswith("At age 781 every life then watched")
    assert "start_age=" in curve.attrs["warning"]
    safe = curve.attrs["safe_start_age"]
    sound = kaplan_meier(men["exit"], men["cens"], men["entry"], start_age=safe)
    assert sound.attrs["collapsed_at"] is None
    assert sound.attrs["warning"] is None


def test_channing_men_alive_at_816_survive_as_in_r(channing: pd.DataFrame) -> None:
    expected = reference_case("D2b")
    men = channing[channing["sex"] == "Male"]
    curve = kaplan_meier(men["exit"], men["cens"], men["entry"], start_age=816)
    for name, column in (("S", "survival"), ("se", "std_error")):
        wanted = expected[f"KM_male_given816_{name}"]
        assert read(curve, column, wanted) == pytest.approx(list(wanted.values()))
    limits = expected["KM_male_given816_loglog95"]
    assert read(curve, "lower", limits) == pytest.approx([low for low, _ in limits.values()])
    assert read(curve, "upper", limits) == pytest.approx([high for _, high in limits.values()])
    assert half_gone(curve, "survival") == expected["KM_male_given816_median"]
    found = [half_gone(curve, side) for side in ("lower", "upper")]
    assert found == expected["KM_male_given816_median95"]
    # R prints the risk set of the next exit for an age between two exits.
    for age, at_risk in expected["KM_male_nrisk"].items():
        assert curve["at_risk"][curve.index >= float(age)].iloc[0] == at_risk


def test_channing_women_survive_as_in_r(channing: pd.DataFrame) -> None:
    expected = reference_case("D2b")
    women = channing[channing["sex"] == "Female"]
    curve = kaplan_meier(women["exit"], women["cens"], women["entry"])
    for name, column in (("S", "survival"), ("se", "std_error")):
        wanted = expected[f"KM_female_{name}"]
        assert read(curve, column, wanted) == pytest.approx(list(wanted.values()))
    limits = expected["KM_female_loglog95"]
    assert read(curve, "lower", limits) == pytest.approx([low for low, _ in limits.values()])
    given = kaplan_meier(women["exit"], women["cens"], women["entry"], start_age=816)
    assert half_gone(given, "survival") == expected["KM_female_given816_median"]
    found = [half_gone(given, side) for side in ("lower", "upper")]
    assert found == expected["KM_female_given816_median95"]


def test_a_life_that_enters_at_an_age_of_failure_is_not_yet_at_risk_there() -> None:
    # Hand calculation: at 5 the risk set (entry, exit] holds the first two lives only.
    curve = kaplan_meier([5, 9, 8], [True, False, True], entry=[0, 0, 5])
    assert curve["at_risk"].tolist() == [2.0, 2.0, 1.0]
    assert curve["survival"].tolist() == [0.5, 0.25, 0.25]


def test_lives_censored_at_an_age_of_failure_are_at_risk_there() -> None:
    curve = kaplan_meier([5, 5, 8], [True, False, True])
    assert curve["survival"].tolist() == pytest.approx([2 / 3, 0.0])


def test_after_the_last_life_failed_no_width_is_claimed() -> None:
    curve = kaplan_meier([2, 3, 4], [True, True, True])
    last = curve.loc[4.0]
    assert last["survival"] == 0.0
    assert np.isnan(last["std_error"])
    assert last["lower"] == 0.0
    assert last["upper"] == curve["upper"][3.0]


def test_all_censored_lives_give_a_flat_curve() -> None:
    curve = kaplan_meier([3, 4], [False, False])
    assert curve["survival"].tolist() == [1.0, 1.0]
    assert nelson_aalen([3, 4], [False, False])["upper"].tolist() == [0.0, 0.0]


def test_interval_censored_failures_are_sent_to_turnbull_unless_told_otherwise() -> None:
    with pytest.raises(ModelError, match=r"last_ok\[1\] is 3, age\[1\] is 5\): use turnbull"):
        kaplan_meier([4, 5], [True, True], last_ok=[np.nan, 3])
    curve = kaplan_meier([4, 5], [True, True], last_ok=[np.nan, 3], ignore_last_ok=True)
    assert curve["survival"].tolist() == [0.5, 0.0]


def test_wrong_questions_are_refused_in_words() -> None:
    with pytest.raises(NotEnoughData, match="No life was watched past age 0"):
        kaplan_meier([], [])
    with pytest.raises(NotEnoughData, match="past age 9"):
        kaplan_meier([5], [True], start_age=9)
    with pytest.raises(ModelError, match="start_age is -1"):
        kaplan_meier([5], [True], start_age=-1)
    with pytest.raises(ModelError, match="interval is 'wald'"):
        kaplan_meier([5, 6], [True, False], interval="wald")  # type: ignore[arg-type]
    with pytest.raises(ModelError, match="interval is 'log-log'"):
        nelson_aalen([5, 6], [True, False], interval="log-log")  # type: ignore[arg-type]
    with pytest.raises(ModelError, match="level is 95"):
        kaplan_meier([5, 6], [True, False], level=95)
