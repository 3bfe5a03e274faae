"""Cox's regression against published fits, other libraries and hand calculation.

Expected numbers: cases D5a (lung, Loprinzi et al. 1994), D5b (recidivism, Rossi, Berk & Lenihan
1980) and D5c (Stanford heart transplants, Crowley & Hu 1977), computed with R 4.2.2 and its
package survival 3.5-3.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
import pandas as pd
import pytest

from tests.reference import reference_case, reference_data
from tracker.errors import ModelError, NotEnoughData
from tracker.models.regression import fit_cox

Ties = Literal["efron", "breslow"]

HEART = ["age", "year", "surgery", "transplant"]
JASA = ["age", "surgery", "transplant"]
LUNG = ["age", "sex", "ph.ecog"]
ROSSI = ["fin", "age", "race", "wexp", "mar", "paro", "prio"]


def heart() -> pd.DataFrame:
    return reference_data("heart.csv").rename(columns={"event": "failed"})


def lung() -> pd.DataFrame:
    rows = reference_data("lung.csv").dropna(subset=LUNG).reset_index(drop=True)
    return rows.assign(start=0.0, stop=rows["time"], failed=rows["status"] == 2, id=rows.index)


def rossi() -> pd.DataFrame:
    rows = reference_data("rossi.csv")
    return rows.assign(start=0.0, stop=rows["week"], failed=rows["arrest"])


def weekly(n_parts: int, seed: int, effects: tuple[float, ...] = (-0.6, 0.3)) -> pd.DataFrame:
    """Weekly rows of parts with exposures that wander, delayed entry and many ties."""
    rng = np.random.default_rng(seed)
    rows = []
    for part in range(n_parts):
        level = rng.normal(size=len(effects))
        begin = int(rng.integers(0, 8))
        for week in range(begin, begin + 30):
            x = level + rng.normal(size=len(effects))
            fails = rng.random() < 0.02 * np.exp(float(x @ np.array(effects)))
            rows.append((part, part // 3, 7.0 * week, 7.0 * week + 7, fails, *x))
            if fails:
                break
    columns = ["id", "cluster", "start", "stop", "failed"]
    return pd.DataFrame(rows, columns=[*columns, *(f"x_{j}" for j in range(len(effects)))])


@pytest.mark.parametrize("ties", ["efron", "breslow"])
def test_heart_transplant_coefficients_and_errors_are_those_published(
    ties: Literal["efron", "breslow"],
) -> None:
    expected = reference_case("D5c")
    fit = fit_cox(heart(), HEART, cluster="id", ties=ties)
    np.testing.assert_allclose(fit.coefficients, expected[f"heart_{ties}_coef"], rtol=1e-7)
    np.testing.assert_allclose(fit.std_errors, expected[f"heart_{ties}_se"], rtol=1e-7)
    np.testing.assert_allclose(
        fit.robust_std_errors, expected[f"heart_cluster_se_{ties}"], rtol=1e-6
    )
    if ties == "efron":
        assert fit.log_likelihood == pytest.approx(expected["heart_loglik"], rel=1e-8)
        assert fit.log_likelihood_null == pytest.approx(expected["heart_loglik_null"], rel=1e-8)


@pytest.mark.parametrize("ties", ["efron", "breslow"])
def test_the_other_coding_of_the_heart_data_is_met_too(ties: Ties) -> None:
    expected = reference_case("D5c")
    rows = reference_data("jasa1.csv").rename(columns={"event": "failed"})
    fit = fit_cox(rows, JASA, ties=ties)
    np.testing.assert_allclose(fit.coefficients, expected[f"jasa1_{ties}_coef"], rtol=1e-7)
    assert fit.robust_std_errors is None


def test_lung_cancer_fit_is_the_published_one() -> None:
    expected = reference_case("D5a")
    fit = fit_cox(lung(), LUNG, cluster="id")
    np.testing.assert_allclose(fit.coefficients, expected["efron_coef"], rtol=1e-7)
    np.testing.assert_allclose(fit.std_errors, expected["efron_se"], rtol=1e-7)
    np.testing.assert_allclose(fit.robust_std_errors, expected["robust_se"], rtol=1e-6)
    assert fit.log_likelihood == pytest.approx(expected["efron_loglik"], rel=1e-8)
    assert fit.log_likelihood_null == pytest.approx(expected["loglik_null"], rel=1e-8)
    breslow = fit_cox(lung(), LUNG, ties="breslow")
    np.testing.assert_allclose(breslow.coefficients, expected["breslow_coef"], rtol=1e-7)
    np.testing.assert_allclose(breslow.std_errors, expected["breslow_se"], rtol=1e-7)
    assert breslow.log_likelihood == pytest.approx(expected["breslow_loglik"], rel=1e-8)


def test_recidivism_fit_with_many_ties_is_the_published_one() -> None:
    expected = reference_case("D5b")
    fit = fit_cox(rossi(), ROSSI)
    np.testing.assert_allclose(fit.coefficients, expected["coef_efron"], rtol=1e-7)
    np.testing.assert_allclose(fit.std_errors, expected["se_efron"], rtol=1e-7)
    assert fit.log_likelihood == pytest.approx(expected["loglik"], rel=1e-8)
    breslow = fit_cox(rossi(), ROSSI, ties="breslow")
    np.testing.assert_allclose(breslow.coefficients, expected["coef_breslow"], rtol=1e-7)


def test_weekly_rows_agree_with_lifelines() -> None:
    from lifelines import CoxTimeVaryingFitter

    rows = weekly(120, seed=11)
    theirs = CoxTimeVaryingFitter().fit(
        rows.drop(columns="cluster"),
        id_col="id", start_col="start", stop_col="stop", event_col="failed",
        fit_options={"precision": 1e-12},
    )  # fmt: skip
    fit = fit_cox(rows, ["x_0", "x_1"])
    np.testing.assert_allclose(fit.coefficients, theirs.params_[["x_0", "x_1"]], rtol=1e-7)
    np.testing.assert_allclose(fit.std_errors, theirs.standard_errors_[["x_0", "x_1"]], rtol=1e-7)


@pytest.mark.parametrize("ties", ["efron", "breslow"])
def test_weekly_rows_with_strata_agree_with_statsmodels(ties: Ties) -> None:
    from statsmodels.duration.hazard_regression import PHReg

    # statsmodels counts a row as at risk at its own start; half a day later it agrees with (start,
    # stop], for ages are whole weeks.
    rows = weekly(150, seed=12).assign(site=lambda frame: frame["id"] % 3)
    theirs = PHReg(
        rows["stop"], rows[["x_0", "x_1"]], status=rows["failed"].astype(int),
        entry=rows["start"] + 0.5, strata=rows["site"], ties=ties,
    ).fit(disp=0)  # fmt: skip
    fit = fit_cox(rows, ["x_0", "x_1"], strata="site", ties=ties)
    np.testing.assert_allclose(fit.coefficients, theirs.params, rtol=1e-6)
    np.testing.assert_allclose(fit.std_errors, theirs.bse, rtol=1e-5)
    assert fit.log_likelihood == pytest.approx(theirs.llf, rel=1e-9)


def test_lives_without_changing_exposure_agree_with_scikit_survival() -> None:
    from sksurv.linear_model import CoxPHSurvivalAnalysis
    from sksurv.util import Surv

    rows = rossi()
    theirs = CoxPHSurvivalAnalysis(ties="efron", tol=1e-12).fit(
        rows[ROSSI].astype(float), Surv.from_arrays(rows["failed"] == 1, rows["stop"])
    )
    np.testing.assert_allclose(fit_cox(rows, ROSSI).coefficients, theirs.coef_, rtol=1e-6)


@pytest.mark.parametrize("ties", ["efron", "breslow"])
def test_cluster_errors_are_those_of_a_slow_loop_over_the_failures(ties: Ties) -> None:
    # The definition written out (Therneau & Grambsch 2000, section 7.2); statsmodels' residuals
    # ignore entry and cannot serve.
    rows = weekly(60, seed=13)
    fit = fit_cox(rows, ["x_0", "x_1"], ties=ties)
    x = rows[["x_0", "x_1"]].to_numpy()
    risk = np.exp(x @ fit.coefficients.to_numpy())
    start, stop = rows["start"].to_numpy(), rows["stop"].to_numpy()
    fails = rows["failed"].to_numpy(dtype=bool)
    residuals = np.zeros_like(x)
    for age in np.unique(stop[fails]):
        at_risk = (start < age) & (stop >= age)
        dying = fails & (stop == age)
        deaths = int(dying.sum())
        for turn in range(deaths):
            share = turn / deaths if ties == "efron" else 0.0
            weight = risk * (at_risk - share * dying)
            mean = weight @ x / weight.sum()
            residuals -= (weight / weight.sum())[:, None] * (x - mean)
            residuals[dying] += (x[dying] - mean) / deaths
    sums = pd.DataFrame(residuals).groupby(rows["cluster"].to_numpy()).sum().to_numpy()
    bread = fit.covariance.to_numpy()
    expected = np.sqrt(np.diag(bread @ sums.T @ sums @ bread))
    assert fit.robust_std_errors is not None
    np.testing.assert_allclose(fit.robust_std_errors, expected, rtol=1e-9)


def test_two_parts_by_hand() -> None:
    # One failure at age 1 with x = 1, one other at risk with x = 0, then it fails alone:
    # L(b) = e^b/(e^b + 1), under Normal(0, 1): b = 1 - e^b/(e^b+1), whose root is 0.40105814.
    rows = pd.DataFrame({"start": [0, 0], "stop": [1, 2], "failed": [1, 1], "x": [1.0, 0.0]})
    fit = fit_cox(rows, ["x"], prior_sd=1.0)
    root = float(fit.coefficients["x"])
    assert root == pytest.approx(1 / (1 + np.exp(root)), abs=1e-9)
    share = 1 / (1 + np.exp(-root))
    assert float(fit.std_errors["x"]) == pytest.approx((share * (1 - share) + 1) ** -0.5)


def test_cutting_a_row_in_two_changes_nothing() -> None:
    rows = weekly(60, seed=14)
    middle = rows["start"] + 3
    halves = pd.concat(
        [rows.assign(stop=middle, failed=False), rows.assign(start=middle)], ignore_index=True
    )
    whole, cut = fit_cox(rows, ["x_0", "x_1"]), fit_cox(halves, ["x_0", "x_1"])
    np.testing.assert_allclose(cut.coefficients, whole.coefficients, rtol=1e-9)
    np.testing.assert_allclose(cut.robust_std_errors, whole.robust_std_errors, rtol=1e-9)


def test_other_units_of_age_and_exposure_only_rescale() -> None:
    rows = weekly(60, seed=15)
    fit = fit_cox(rows, ["x_0", "x_1"])
    in_years = rows.assign(start=rows["start"] / 365, stop=rows["stop"] / 365, x_0=rows["x_0"] * 8)
    scaled = fit_cox(in_years, ["x_0", "x_1"])
    np.testing.assert_allclose(scaled.coefficients, fit.coefficients / np.array([8, 1]), rtol=1e-7)


def test_the_order_of_the_rows_does_not_matter() -> None:
    rows = weekly(60, seed=16)
    mixed = rows.sample(frac=1, random_state=3).reset_index(drop=True)
    fit, other = fit_cox(rows, ["x_0", "x_1"]), fit_cox(mixed, ["x_0", "x_1"])
    np.testing.assert_allclose(other.coefficients, fit.coefficients, rtol=1e-9)
    np.testing.assert_allclose(other.robust_std_errors, fit.robust_std_errors, rtol=1e-8)


def test_many_clusters_give_robust_limits() -> None:
    # 103 patients: exp(-0.1463463457 -+ 1.959964 * 0.0730798592), from R's robust errors.
    value, std_error = fit_cox(heart(), HEART, cluster="id").log_hazard_ratio({"year": 1.0})
    assert value == pytest.approx(-0.1463463457, rel=1e-6)
    assert np.exp(value - 1.959964 * std_error) == pytest.approx(0.748573, rel=1e-4)
    assert np.exp(value + 1.959964 * std_error) == pytest.approx(0.996915, rel=1e-4)


def test_the_log_hazard_ratio_of_a_change_uses_the_covariance() -> None:
    fit = fit_cox(heart(), HEART)
    value, std_error = fit.log_hazard_ratio({"age": 10, "surgery": 1})
    step = np.array([10, 0, 1, 0])
    assert value == pytest.approx(float(step @ fit.coefficients.to_numpy()))
    assert std_error == pytest.approx(float(np.sqrt(step @ fit.covariance.to_numpy() @ step)))
    with pytest.raises(ModelError, match="no covariate heat"):
        fit.log_hazard_ratio({"heat": 1})


def test_few_clusters_never_narrow_the_limits() -> None:
    rows = weekly(60, seed=17).assign(cluster=lambda frame: frame["id"] % 4)
    fit = fit_cox(rows, ["x_0", "x_1"])
    assert fit.clusters == 4
    wider = np.diag(fit.interval_covariance)
    assert (wider >= np.diag(fit.covariance) - 1e-15).all()
    assert (wider >= np.diag(fit.robust_covariance) - 1e-15).all()


def test_no_failure_is_said_in_a_sentence() -> None:
    rows = weekly(10, seed=18).assign(failed=False)
    with pytest.raises(NotEnoughData, match="No failure among"):
        fit_cox(rows, ["x_0"])


def test_one_failure_gives_finite_limits_and_a_warning() -> None:
    rows = weekly(20, seed=19)
    only = rows["failed"] & (rows["failed"].cumsum() == 1)
    fit = fit_cox(rows.assign(failed=only), ["x_0", "x_1"])
    assert np.isfinite(fit.log_hazard_ratio({"x_0": 1.0, "x_1": 1.0})).all()
    assert any("One failure only" in sentence for sentence in fit.warnings)


def test_a_constant_exposure_is_left_out_and_named() -> None:
    rows = weekly(60, seed=20).assign(still=1.3)
    fit = fit_cox(rows, ["still", "x_0", "x_1"])
    assert np.isnan(fit.coefficients["still"])
    assert any(sentence.startswith("still ") for sentence in fit.warnings)
    alone = fit_cox(rows, ["x_0", "x_1"])
    np.testing.assert_allclose(fit.coefficients[["x_0", "x_1"]], alone.coefficients, rtol=1e-9)


def test_only_a_constant_exposure_leaves_nothing_but_a_warning() -> None:
    fit = fit_cox(weekly(40, seed=21).assign(still=0.0), ["still"])
    assert fit.coefficients.isna().all()
    assert fit.log_likelihood == fit.log_likelihood_null
    assert len(fit.proportional_hazards().by_covariate) == 0


def test_of_two_exposures_that_go_together_the_later_is_left_out() -> None:
    rows = weekly(60, seed=22)
    rows = rows.assign(twin=2 * rows["x_0"] - rows["x_1"] + 3)
    fit = fit_cox(rows, ["x_0", "x_1", "twin"])
    assert np.isnan(fit.coefficients["twin"])
    assert np.isfinite(fit.coefficients[["x_0", "x_1"]]).all()
    assert any(sentence.startswith("twin ") for sentence in fit.warnings)
    believed = fit_cox(rows, ["x_0", "x_1", "twin"], prior_sd=0.5)
    assert np.isfinite(believed.coefficients).all()


def test_an_exposure_that_parts_failures_from_the_rest_stays_finite() -> None:
    rows = weekly(60, seed=23)
    rows = rows.assign(marker=rows["failed"].astype(float))
    fit = fit_cox(rows, ["x_0", "marker"])
    assert fit.penalised
    assert 0 < fit.coefficients["marker"] < 100
    assert any("marker" in sentence and "one side" in sentence for sentence in fit.warnings)


@pytest.mark.parametrize(
    ("spoil", "sentence"),
    [
        ({"start": 7.0, "stop": 7.0}, "row 0: start 7 is not before stop 7"),
        ({"stop": np.nan}, "row 0, stop: nan is not a number"),
        ({"x_0": np.nan}, "row 0, x_0: nan is not a number"),
        ({"x_0": np.inf}, "row 0, x_0: inf is not a number"),
        ({"start": -1.0}, "row 0: start -1 is below 0"),
        ({"failed": 2}, "row 0, failed: 2 is neither 0 nor 1"),
        ({"cluster": np.nan}, "row 0, cluster: missing"),
    ],
)
def test_a_row_that_cannot_be_is_named(spoil: dict[str, float], sentence: str) -> None:
    rows = weekly(10, seed=24).astype({"failed": int, "cluster": float})
    for name, value in spoil.items():
        rows[name] = rows[name].astype(float)
        rows.loc[0, name] = value
    with pytest.raises(ModelError, match=sentence.replace("(", r"\(")):
        fit_cox(rows, ["x_0", "x_1"])


def test_wrong_questions_are_named() -> None:
    rows = weekly(10, seed=25)
    with pytest.raises(ModelError, match="no column x_9"):
        fit_cox(rows, ["x_9"])
    with pytest.raises(ModelError, match="none given"):
        fit_cox(rows, [])
    with pytest.raises(ModelError, match="twice"):
        fit_cox(rows, ["x_0", "x_0"])
    with pytest.raises(ModelError, match="'exact' is not known"):
        fit_cox(rows, ["x_0"], ties="exact")  # type: ignore[arg-type]
    with pytest.raises(ModelError, match="prior_sd: 0"):
        fit_cox(rows, ["x_0"], prior_sd=0)
    with pytest.raises(NotEnoughData, match="not one row"):
        fit_cox(rows.head(0), ["x_0"])


def test_the_truth_lies_within_its_own_limits_at_the_stated_rate() -> None:
    inside = 0
    for seed in range(40):
        fit = fit_cox(weekly(60, seed=1000 + seed), ["x_0", "x_1"], cluster="id")
        value, std_error = fit.log_hazard_ratio({"x_0": 1.0})
        inside += int(abs(value + 0.6) < 1.959964 * std_error)
    assert 34 <= inside <= 40  # binomial(40, 0.95): below 34 has a chance of 0.3 %
