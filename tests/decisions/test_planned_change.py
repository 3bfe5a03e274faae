"""Changing by age: against the published rule, printer by printer, one verdict for all pages."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from tests.decisions.workshops import BEGAN, rows, setting, workshop
from tests.forecast.known_lives import draws_of, one_known_life, told_of
from tracker.decisions.cost_terms import FailureCost
from tracker.decisions.failure_cost import FailureCosts
from tracker.decisions.planned_change import planned_ages
from tracker.decisions.replacement_age import best_ages
from tracker.forecast.fitted_lives import fit_lives
from tracker.forecast.steady_lives import as_today, new_parts
from tracker.workshop.records import Records

AS_OF = date(2025, 6, 30)
PARTS = "part_kind unit_cost typical_life_days belief_failures hours_to_change replaced_with"
SHAPE, SCALE = 3.0, 200.0


def made(printers: int = 2, margin_per_hour: float = 400.0, **tables: pd.DataFrame) -> Records:
    settings = setting(margin_per_hour=margin_per_hour, labour_per_hour=20)
    catalogue = rows(
        PARTS, ("head", 600.0, 365.0, 1.0, 3.0, ""), ("damper", 9.0, 120.0, 5.0, 0.3, "head")
    )
    return workshop(printers, "C W1", parts=catalogue, settings=settings, **tables)


def cost_of(records: Records, kind: str) -> FailureCost:
    """A failure with a spare on the shelf."""
    return FailureCosts.of(records.known_at(AS_OF), AS_OF).of_kind(kind, spare_on_shelf=True)


def cheapest(planned: float, failing: float) -> tuple[float, float]:
    """Barlow & Hunter (1960): the age at which hazard · ∫S − F = planned/(failing − planned), and
    the cost per day there, (failing − planned) · hazard; Weibull lives of SHAPE and SCALE.
    """

    def alive(age: float) -> float:
        return float(np.exp(-((age / SCALE) ** SHAPE)))

    def hazard(age: float) -> float:
        return SHAPE / SCALE * (age / SCALE) ** (SHAPE - 1)

    def beyond(age: float) -> float:
        lived = quad(alive, 0, age)[0]
        return hazard(age) * lived - (1 - alive(age)) - planned / (failing - planned)

    age = float(brentq(beyond, 1e-3 * SCALE, 20 * SCALE))
    return age, (failing - planned) * hazard(age)


def test_lives_known_exactly_get_the_age_and_the_saving_of_barlow_and_hunter() -> None:
    records = made()
    fitted = one_known_life(fit_lives(records, AS_OF), SHAPE, SCALE)
    ages = planned_ages(records, AS_OF, fitted=fitted)
    for row in ages.by_group.itertuples():
        cost = cost_of(records, row.part_kind)
        assert (row.planned, row.failing) == (cost.planned, cost.total)
        age, per_day = cheapest(cost.planned, cost.total)
        # Run to failure: failing / (scale · Γ(4/3)) per day, Γ(4/3) = 0.892980.
        to_failure = cost.total / (SCALE * 0.892980)
        assert (row.age_low, row.age_high) == pytest.approx((age, age), rel=1e-4)
        assert row.per_year == pytest.approx(365.25 * (to_failure - per_day), rel=1e-4)
        assert row.saving == pytest.approx(1 - per_day / to_failure, rel=1e-4)
        assert (row.chance_it_pays, row.pays) == (1.0, True)
        # All draws agree, so that the range is no wider than the figure.
        assert (row.per_year_p10, row.per_year_p90) == pytest.approx((row.per_year,) * 2)


def test_a_year_saves_what_its_open_days_do_at_the_same_age() -> None:
    # 73 of the last 365 days.
    closed = rows("began_on ended_on", ("2025-01-01", "2025-03-14"))
    open_all, shut = (
        planned_ages(
            records, AS_OF, fitted=one_known_life(fit_lives(records, AS_OF), SHAPE, SCALE)
        ).by_group
        for records in (made(), made(closures=closed))
    )
    told = ["per_year", "per_year_p10", "per_year_p90"]
    assert shut["age"].tolist() == pytest.approx(open_all["age"].tolist())
    assert shut["saving"].tolist() == pytest.approx(open_all["saving"].tolist())
    assert (shut[told] / open_all[told]).to_numpy() == pytest.approx(0.8)


def test_a_printer_that_is_harder_on_its_parts_gets_an_earlier_age() -> None:
    records = made()
    fitted = one_known_life(fit_lives(records, AS_OF), SHAPE, SCALE, levels={"B": 0.6})
    ages = planned_ages(records, AS_OF, fitted=fitted)
    heads = ages.by_printer[ages.by_printer["part_kind"] == "head"].set_index("printer")["age"]
    # A hazard e^0.6 times as high at all ages shortens every life to e^(−0.6 / shape) of it.
    assert heads["B"] == pytest.approx(heads["A"] * np.exp(-0.6 / SHAPE), rel=1e-6)
    (line,) = ages.by_group[ages.by_group["part_kind"] == "head"].itertuples()
    assert (line.earliest, line.latest) == ("B", "A")
    assert (line.age_low, line.age_high) == (heads["B"], heads["A"])


def test_in_a_fleet_printers_share_the_answer_of_one_that_is_like_them() -> None:
    records = made(60)
    names = list(records.printers["printer"])
    levels = dict(zip(names, np.linspace(-0.8, 0.8, 60), strict=True))
    fitted = one_known_life(fit_lives(records, AS_OF), SHAPE, SCALE, levels=levels)
    ages = planned_ages(records, AS_OF, fitted=fitted).by_printer
    heads = ages[ages["part_kind"] == "head"].set_index("printer")["age"]
    age, _ = cheapest(cost_of(records, "head").planned, cost_of(records, "head").total)
    exact = pd.Series({name: age * np.exp(-level / SHAPE) for name, level in levels.items()})
    assert np.abs(np.log(heads / exact[heads.index])).max() < 0.02


def test_what_is_not_known_of_a_life_is_in_the_range_of_the_saving() -> None:
    records = made(1)
    fitted = one_known_life(fit_lives(records, AS_OF), SHAPE, SCALE, spread=0.4)
    ages = planned_ages(records, AS_OF, fitted=fitted).by_group
    row = next(ages[ages["part_kind"] == "head"].itertuples())
    head = [kind for kind, _, _ in told_of(fitted).groups].index("head")
    lives = new_parts(as_today(draws_of(fitted)), head, np.zeros(1, int))
    (found,) = best_ages(lives, row.planned, row.failing)
    assert row.age == found.age
    year = 365.25
    told = (row.per_year, row.per_year_p10, row.per_year_p90)
    assert told == pytest.approx(
        (year * found.saved_mean, year * found.saved_p10, year * found.saved_p90)
    )
    assert row.per_year_p10 < 0.8 * row.per_year < 1.2 * row.per_year < row.per_year_p90


def test_changes_that_save_less_than_an_hours_wages_a_year_pay_nowhere() -> None:
    records = made()
    fitted = one_known_life(fit_lives(records, AS_OF), SHAPE, SCALE)
    dear = planned_ages(records, AS_OF, fitted=fitted)
    saved = (dear.by_printer["fitted"] * dear.by_printer["per_year"]).sum()
    assert saved > 20
    assert dear.by_printer["pays"].all()
    # The same lives, a thousand times as long: a thousandth of the money.
    long = one_known_life(fit_lives(records, AS_OF), SHAPE, 1000 * SCALE)
    petty = planned_ages(records, AS_OF, fitted=long)
    assert np.isfinite(petty.by_group["age"]).all()
    assert not petty.by_group["pays"].any()
    assert not petty.by_printer["pays"].any()


def test_an_age_is_given_for_every_kind_that_wears_ink_by_ink() -> None:
    ages = planned_ages(made(), AS_OF).by_group
    assert list(zip(ages["part_kind"], ages["group"], strict=True)) == [
        ("head", ""), ("damper", "colour"), ("damper", "white"), ("wiper", ""),
    ]  # fmt: skip
    assert (ages["planned"] < ages["failing"]).all()
    assert ages["chance_it_pays"].between(0, 1).all()
    kept = ages[np.isinf(ages["age"])]
    assert not kept[["per_year", "per_year_p10", "per_year_p90", "saving"]].any(axis=None)


def test_a_failure_that_costs_no_more_is_never_planned_away() -> None:
    ages = planned_ages(made(margin_per_hour=0), AS_OF)
    assert np.isinf(ages.by_group["age"]).all()
    assert not ages.by_printer["pays"].any()


def test_without_a_fitted_part_there_is_nothing_to_plan() -> None:
    for records in (Records(), made(fittings=rows(
        "printer part_kind position fitted_on removed_on removal_reason",
        ("A", "wiper", "wiper", BEGAN, "2025-03-01", "failed"),
    ))):  # fmt: skip
        ages = planned_ages(records, AS_OF)
        assert ages.by_group.empty
        assert ages.by_printer.empty
