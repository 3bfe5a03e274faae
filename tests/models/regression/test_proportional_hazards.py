"""The score test of proportional hazards against R 4.2.2, survival 3.5-3 (cox.zph, exact form)."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from tests.models.regression.test_cox import HEART, LUNG, ROSSI, heart, lung, rossi, weekly
from tests.reference import reference_case
from tracker.errors import ModelError
from tracker.models.regression import fit_cox
from tracker.models.regression.proportional_hazards import Transform


@pytest.mark.parametrize("transform", ["identity", "km", "log"])
def test_lung_cancer_statistics_are_the_published_ones(transform: Transform) -> None:
    expected = reference_case("D5a")
    drift = fit_cox(lung(), LUNG).proportional_hazards(transform)
    np.testing.assert_allclose(
        drift.by_covariate["statistic"], expected[f"zph_{transform}"], rtol=1e-6
    )
    if transform != "log":
        assert drift.statistic == pytest.approx(expected[f"zph_{transform}_global"], rel=1e-6)
    assert drift.degrees_of_freedom == 3


def test_recidivism_statistics_with_many_ties_are_the_published_ones() -> None:
    # lifelines' approximate test gives 11.03 for age on the km scale: ties break it.
    expected = reference_case("D5b")
    fit = fit_cox(rossi(), ROSSI)
    identity = fit.proportional_hazards("identity")
    km = fit.proportional_hazards("km")
    statistic = identity.by_covariate["statistic"]
    assert statistic["age"] == pytest.approx(expected["zph_identity_age"], rel=1e-7)
    assert statistic["wexp"] == pytest.approx(expected["zph_identity_wexp"], rel=1e-7)
    assert identity.statistic == pytest.approx(expected["zph_identity_global"], rel=1e-7)
    statistic = km.by_covariate["statistic"]
    assert statistic["age"] == pytest.approx(expected["zph_km_age"], rel=1e-7)
    assert statistic["wexp"] == pytest.approx(expected["zph_km_wexp"], rel=1e-7)


def test_heart_transplant_statistics_are_the_published_ones() -> None:
    expected = reference_case("D5c")
    drift = fit_cox(heart(), HEART).proportional_hazards("identity")
    np.testing.assert_allclose(
        drift.by_covariate["statistic"], expected["heart_zph_identity"], rtol=1e-6
    )
    assert drift.statistic == pytest.approx(expected["heart_zph_identity_global"], rel=1e-6)


def test_the_statistic_is_the_score_test_of_the_enlarged_model() -> None:
    # Rows cut at every failure age carry x·age as an ordinary covariate; the score test of its
    # coefficient at zero is U²/V with the blocks of that model's own information.
    from tracker.models.regression.cox_risk_sets import cox_state, risk_sets

    rows = weekly(50, seed=31)
    ages = np.unique(rows.loc[rows["failed"], "stop"])
    pieces = []
    for row in rows.itertuples():
        inner = ages[(ages > row.start) & (ages < row.stop)]
        edges = np.concatenate([[row.start], inner, [row.stop]])
        last = len(edges) - 2
        pieces += [
            (edges[i], edges[i + 1], row.failed and i == last, row.x_0, row.x_0 * edges[i + 1])
            for i in range(len(edges) - 1)
        ]
    cut = pd.DataFrame(pieces, columns=["start", "stop", "failed", "x", "x_age"])
    fit = fit_cox(rows, ["x_0"])
    sets = risk_sets(
        cut["start"].to_numpy(), cut["stop"].to_numpy(), cut["failed"].to_numpy(dtype=bool),
        cut[["x", "x_age"]].to_numpy().T, None, efron=True,
    )  # fmt: skip
    state = cox_state(sets, np.array([float(fit.coefficients["x_0"]), 0.0]))
    score, information = state.score(), state.full_information
    left = information[1, 1] - information[0, 1] ** 2 / information[0, 0]
    drift = fit.proportional_hazards("identity")
    assert drift.by_covariate.loc["x_0", "statistic"] == pytest.approx(score[1] ** 2 / left)
    assert drift.statistic == pytest.approx(score[1] ** 2 / left)


def test_an_effect_that_turns_with_age_is_found() -> None:
    rng = np.random.default_rng(32)
    rows = []
    for part in range(300):
        x = float(rng.normal())
        for week in range(30):
            fails = rng.random() < 0.03 * np.exp((1.0 if week < 8 else -1.0) * x)
            rows.append((part, week, week + 1, fails, x))
            if fails:
                break
    frame = pd.DataFrame(rows, columns=["id", "start", "stop", "failed", "x"])
    assert fit_cox(frame, ["x"]).proportional_hazards().p_value < 1e-4


def test_strata_agree_with_the_cut_model_by_symmetry() -> None:
    rows = weekly(60, seed=33)
    twice = pd.concat([rows.assign(site="a"), rows.assign(site="b")], ignore_index=True)
    one = fit_cox(rows, ["x_0", "x_1"]).proportional_hazards("km")
    both = fit_cox(twice, ["x_0", "x_1"], strata="site").proportional_hazards("km")
    # The same parts in two strata: the same test with twice the evidence.
    assert both.statistic == pytest.approx(2 * one.statistic)


def test_an_unknown_scale_of_age_is_named() -> None:
    with pytest.raises(ModelError, match="'rank' is not known"):
        fit_cox(weekly(40, seed=34), ["x_0"]).proportional_hazards("rank")  # type: ignore[arg-type]
