"""Order-by dates against closed forms of single-unit ordering, simulation and small workshops."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import rows, setting, workshop
from tests.forecast.life_nodes import weibull
from tracker.decisions.ordering.lead_time import lead_time_of
from tracker.decisions.ordering.order_curve import OrderCosts, curves_of_failures, time_grid
from tracker.decisions.preorder import COLUMNS, order_curve, preorder
from tracker.decisions.stock_table import stock_table
from tracker.errors import ModelError, UsageError
from tracker.forecast.fitted_lives import fit_lives
from tracker.say import numbers
from tracker.say.phrases import day_span
from tracker.say.spares.preorder import reason, verdict
from tracker.workshop.records import Records

TODAY = date(2025, 10, 1)


@pytest.mark.parametrize(("standing", "holding", "premium"), [(5, 1, 0), (1, 0.5, 30), (0, 2, 0)])
def test_the_curve_of_a_constant_hazard_is_its_closed_form(
    standing: float, holding: float, premium: float
) -> None:
    # Derived by hand from E min(L, (t+L−X)⁺) = ∫ₜᵗ⁺ᴸ F and E (X−t−L)⁺ = ∫ₜ₊ₗ^∞ S, rate λ:
    # c(t) = k(L − e^(−λt)(1 − e^(−λL))/λ) + h·e^(−λ(t+L))/λ + premium·(1 − e^(−λt)).
    rate, lead = 1 / 100, 20.0
    found = order_curve(
        weibull(1.0, 1 / rate), 50, lead, standing, holding, express_premium=premium
    ).curve
    day = found["day"].to_numpy(dtype=float)
    expected = (
        standing * (lead - np.exp(-rate * day) * -np.expm1(-rate * lead) / rate)
        + holding * np.exp(-rate * (day + lead)) / rate
        - premium * np.expm1(-rate * day)
    )
    assert found["expected_cost"].to_numpy() == pytest.approx(expected, rel=1e-5)
    assert found["risk"].to_numpy() == pytest.approx(-np.expm1(-rate * (day + lead)), abs=1e-6)


def test_without_ageing_one_orders_now_or_never() -> None:
    # The slope of the closed form has the sign of k(1 − e^(−λL)) − h·e^(−λL) on every day.
    dear = order_curve(weibull(1.0, 100), 0, 20, 5, 1)  # 5·0.181 > 1·0.819
    cheap = order_curve(weibull(1.0, 100), 0, 20, 4, 1)  # 4·0.181 < 1·0.819
    assert (dear.best_day, dear.cheapest_day) == (0, 0)
    assert cheap.still_falling
    assert cheap.cheapest_day is None


@pytest.mark.parametrize(("scale", "age", "lead"), [(300, 60, 14), (150, 10, 20)])
def test_a_wearing_part_is_ordered_where_the_first_order_condition_says(
    scale: float, age: float, lead: float
) -> None:
    # k(S(t) − S(t+L)) = h·S(t+L), so H(a+t+L) − H(a+t) = ln(1 + h/k); with shape 2
    # (2L(a+t) + L²)/scale² = ln(1 + h/k): the condition of Kaio & Osaki (1978) for one failure.
    standing, holding = 20.0, 2.0
    found = order_curve(weibull(2.0, scale), age, lead, standing, holding, max_days=400)
    day = (np.log1p(holding / standing) * scale**2 - lead**2) / (2 * lead) - age
    assert found.best_day == pytest.approx(max(day, 0), abs=1)
    assert not found.still_falling


@pytest.mark.parametrize(
    ("shape", "standing"), [(1.5, 20.0), (2.5, 20.0), (2.5, 100.0), (4.0, 8.0)]
)
def test_the_day_is_close_to_the_best_of_endless_renewals(shape: float, standing: float) -> None:
    # Single-unit ordering looks at the cost rate over endless cycles (Kaio & Osaki, 1978; Park &
    # Park, 1986): standing · ∫ₜᵗ⁺ᴸ F + holding · ∫ₜ₊ₗ^∞ S over the mean cycle
    # ∫₀ᵗ S + L + ∫ₜ₊ₗ^∞ S, by numeric integration. Ours looks at the one coming failure.
    scale, lead, holding = 300.0, 20, 0.5
    found = order_curve(weibull(shape, scale), 0, lead, standing, holding, max_days=600)
    fine = np.linspace(0, 3000, 300_001)
    alive = np.exp(-((fine / scale) ** shape))
    lived = np.concatenate([[0], np.cumsum((alive[1:] + alive[:-1]) / 2 * 0.01)])
    day = np.arange(601)
    before, after = lived[day * 100], lived[(day + lead) * 100]
    cost = standing * (lead - (after - before)) + holding * (lived[-1] - after)
    rate = cost / (before + lead + lived[-1] - after)
    assert found.curve["expected_cost"].to_numpy() == pytest.approx(cost, rel=1e-3, abs=0.02)
    assert rate[found.best_day] <= 1.02 * rate.min()
    assert abs(found.best_day - int(rate.argmin())) <= 15


def test_an_uncertain_delivery_is_ordered_for_earlier() -> None:
    sure = order_curve(weibull(2.0, 300), 60, 14, 50, 5)
    doubt = order_curve(weibull(2.0, 300), 60, 14, 50, 5, lead_days_late=60)
    assert doubt.best_day < sure.best_day
    assert doubt.risk_if_ordered_now > sure.risk_if_ordered_now


def test_the_curve_equals_a_simulation_with_an_uncertain_delivery() -> None:
    rng = np.random.default_rng(5)
    draws, age, shelf = 400_000, 100.0, 200.0
    life = 300 * ((age / 300) ** 2 + rng.exponential(size=draws)) ** 0.5 - age
    lead = lead_time_of(20, 45)
    days, weight = lead.points()
    took = rng.choice(days, size=draws, p=weight)
    found = order_curve(
        weibull(2.0, 300), age, 20, 40, 1, lead_days_late=45, express_premium=25,
        shelf_life_days=shelf, unit_cost=300,
    ).curve.set_index("day")  # fmt: skip
    end = time_grid(lead, shelf, 180)[-1]  # what is left then keeps its share of the price
    for day in (0, 40, 150):
        waits = np.clip(day + took - life, 0, took)
        held = np.clip(np.minimum(life, end) - day - took, 0, None)
        lost = np.where(life < end, np.floor(held / shelf), held / shelf)
        cost = 40 * waits + held + 25 * (life < day) + 300 * lost
        error = 5 * cost.std() / draws**0.5
        assert found.loc[day, "expected_cost"] == pytest.approx(cost.mean(), abs=error)
        assert found.loc[day, "risk"] == pytest.approx(np.mean(life < day + took), abs=0.004)


def test_the_last_safe_day_keeps_the_risk_within_the_limit() -> None:
    found = order_curve(weibull(2.0, 300), 10, 14, 20, 2)
    day = found.order_by(0.10)
    assert day is not None
    assert found.curve["risk"][day] <= 0.10 < found.curve["risk"][day + 1]
    assert found.order_by(0.0) is None
    assert found.order_by(1.0) == 180


def test_no_delivery_time_and_no_standing_cost_never_ask_for_an_order() -> None:
    assert order_curve(weibull(2.0, 300), 60, 0, 50, 1).still_falling
    assert order_curve(weibull(2.0, 300), 60, 20, 0, 1).still_falling


@pytest.mark.parametrize("name", ["age", "lead_days", "standing_cost_per_day"])
def test_an_impossible_number_is_named(name: str) -> None:
    given: dict[str, Any] = {"age": 10, "lead_days": 10, "standing_cost_per_day": 1}
    with pytest.raises(ModelError, match=f"{name}: -1"):
        order_curve(weibull(2.0, 300), **(given | {name: -1}), holding_cost_per_day=1)


def table(records: Records, **asked: Any) -> pd.DataFrame:
    """The dates with the verdict and the reason that people read."""
    found = preorder(records, TODAY, **asked)
    return found.assign(
        verdict=[verdict(row) for row in found.itertuples()],
        reason=[reason(row, "EUR") for row in found.itertuples()],
    )


def test_every_costly_part_has_a_row_with_the_promised_columns() -> None:
    found = preorder(workshop(2), TODAY)
    assert tuple(found.columns) == COLUMNS
    assert found["part_kind"].tolist() == ["head", "head"]
    assert set(found["printer"]) == {"A", "B"}
    assert (found["risk_if_waiting_30_days"] > found["risk_if_ordered_now"]).all()
    for curve in found["curve"]:
        assert [day for day, _ in curve] == list(range(181))


def test_what_a_part_that_is_not_costly_takes_along_is_needed_with_it() -> None:
    # The capping station hardly wears, and goes out with a pump that soon does.
    fitted = [(name, kind, kind, "2025-01-01") for name in "AB" for kind in ("cap", "pump")]
    records = workshop(
        2,
        fittings=rows("printer part_kind position fitted_on", *fitted),
        parts=rows(
            "part_kind unit_cost replaced_with typical_life_days belief_failures",
            ("cap", 300.0, "pump", 2000, 20),
            ("pump", 40.0, "", 280, 20),
        ),
        orders=rows(
            "part_kind quantity ordered_on expected_on", ("cap", 1, "2025-09-28", "2025-10-20")
        ),
    )
    dated, stock = preorder(records, TODAY), stock_table(records, TODAY)
    assert dated["part_kind"].tolist() == ["cap", "cap"]
    told = stock.set_index("part_kind").loc["cap", "risk_before_arrival"]
    assert told > 0.1
    assert dated["risk_before_arrival"].tolist() == pytest.approx([told, told], abs=0.01)


def test_what_was_paid_says_which_parts_are_costly_and_the_catalogue_where_nothing_was() -> None:
    fitted = [
        ("A", kind, kind, "2025-01-01", paid)
        for kind, paid in (("board", 400.0), ("cap", 40.0), ("pump", None))
    ]
    records = workshop(
        1,
        fittings=rows("printer part_kind position fitted_on unit_cost", *fitted),
        parts=rows("part_kind unit_cost", ("cap", 200.0), ("pump", 200.0)),
    )
    assert set(preorder(records, TODAY)["part_kind"]) == {"board", "pump"}


def test_where_a_euro_is_many_units_of_the_currency_a_part_is_not_costly_for_that() -> None:
    fitted = rows("printer part_kind position fitted_on", ("A", "damper", "C", "2025-01-01"))
    records = workshop(1, fittings=fitted, settings=setting(currency="HUF"))
    assert records.part_facts("damper").unit_cost > 150
    assert preorder(records, TODAY).empty


def test_one_head_without_a_spare_follows_its_own_curve() -> None:
    records = workshop(1)
    row: Any = table(records).iloc[0]
    fitted = fit_lives(records, TODAY)
    assert fitted.draws is not None
    head = fitted.parts(fitted.running.index[fitted.running["part_kind"] == "head"])
    # Defaults: margin 20 per hour × 8 hours on five days in seven; 20 % of 600 a year; common
    # practice, no source.
    costs = OrderCosts(160 * 5 / 7, 0.2 * 600 / 365, shelf_life_days=540, unit_cost=600)
    lead = lead_time_of(20, 45)
    times = time_grid(lead, 540, 180)
    failed = fitted.draws.chance_of_failure(head, times)[0]
    (own,) = curves_of_failures(times, failed[None], lead, costs, 180)
    assert row["risk_if_ordered_now"] == pytest.approx(own.risk_if_ordered_now, abs=0.005)
    assert abs((row["order_by"] - TODAY).days - own.best_day) <= 7
    assert row["curve"][10][1] == pytest.approx(own.curve["expected_cost"][10], rel=0.03)


def test_a_spare_on_the_shelf_lowers_the_risk_and_puts_off_the_order() -> None:
    moves = rows("part_kind moved_on quantity reason", ("head", "2025-06-01", 1, "received"))
    cheap = setting(margin_per_hour=2)
    without: Any = table(workshop(1, settings=cheap)).iloc[0]
    with_spare: Any = table(workshop(1, stock=moves, settings=cheap)).iloc[0]
    assert with_spare["risk_if_ordered_now"] < 0.2 * without["risk_if_ordered_now"]
    assert with_spare["order_by"] is None or with_spare["order_by"] > without["order_by"]
    assert with_spare["spares"] == 1


def test_a_shared_spare_protects_each_of_many_heads_less_than_a_single_one() -> None:
    moves = rows("part_kind moved_on quantity reason", ("head", "2025-06-01", 1, "received"))
    one, many = table(workshop(1, stock=moves)), table(workshop(6, stock=moves))
    bare = table(workshop(6))["risk_if_ordered_now"].max()
    shared = many["risk_if_ordered_now"].max()
    assert one["risk_if_ordered_now"].max() < shared < bare


def test_a_spare_on_the_way_counts_like_one_that_is_there() -> None:
    order = rows(
        "part_kind quantity ordered_on expected_on", ("head", 1, "2025-10-01", "2025-10-12")
    )
    moves = rows("part_kind moved_on quantity reason", ("head", "2025-06-01", 1, "received"))
    risks = [
        table(found)["risk_if_ordered_now"].iloc[0]
        for found in (workshop(1, orders=order), workshop(1, stock=moves), workshop(1))
    ]
    # But for the chance of one in fifty that it never comes.
    assert risks[0] == pytest.approx(0.98 * risks[1] + 0.02 * risks[2], rel=0.02)
    assert risks[1] < risks[2]


def test_sentence_and_row_tell_the_same_risk() -> None:
    for row in table(workshop(3)).to_dict("records"):
        now, later = row["risk_if_ordered_now"], row["risk_if_waiting_30_days"]
        soon, late = (numbers.days(row["lead_days"] + waited) for waited in (0, 30))
        assert f"is here (within {soon}): {numbers.chance(now)}. If ordered 30" in row["reason"]
        assert f"30 days later (within {late}): {numbers.chance(later)}" in row["reason"]


def test_a_dated_order_says_what_its_day_saves() -> None:
    found = table(workshop(6))
    row: Any = [r for r in found.to_dict("records") if r["order_by"]][-1]
    day = (row["order_by"] - TODAY).days
    assert day > 30
    early = row["curve"][0][1] - row["curve"][day][1]
    assert f"ordering today costs {numbers.about_money(early)} more" in row["reason"]


def test_between_the_days_told_it_costs_at_most_so_much_more_and_beyond_them_it_does() -> None:
    found = table(workshop(6, settings=setting(margin_per_hour=40)))
    row: Any = [r for r in found.to_dict("records") if r["order_by"]][-1]
    day, first, last = (
        (row[name] - TODAY).days for name in ("order_by", "costs_alike_from", "costs_alike_until")
    )
    assert row["costs_alike_within"] == pytest.approx(0.01 * row["unit_cost"])
    more = [cost - row["curve"][day][1] for _, cost in row["curve"]]
    assert 0 < first < day < last
    assert max(more[first : last + 1]) <= row["costs_alike_within"] + 0.01  # told to the cent
    assert min(more[first - 1], more[last + 1]) > row["costs_alike_within"] - 0.01
    assert (
        f"{day_span(row['costs_alike_from'], row['costs_alike_until'])} it costs" in (row["reason"])
    )


def test_another_draw_of_the_luck_moves_a_date_within_the_days_that_cost_alike() -> None:
    found = table(workshop(6))
    records = workshop(6)
    for name in ("printers", "fittings"):
        rows_of = records.table(name)
        # The luck of a position hangs on what its printer is called.
        records = records.with_table(name, rows_of.assign(printer=rows_of["printer"] + " again"))
    moved = table(records)
    dates = list(zip(found.itertuples(), moved.itertuples(), strict=True))
    assert any(one.order_by != other.order_by for one, other in dates)
    for one, other in dates:
        if one.order_by and other.order_by:
            assert one.costs_alike_from <= other.order_by <= one.costs_alike_until


def test_where_the_risk_limit_dates_an_order_no_later_day_is_told_as_alike() -> None:
    row: Any = table(workshop(1, settings=setting(margin_per_hour=0, risk_limit=0.3))).iloc[0]
    assert row["dated_by_risk"]
    assert row["costs_alike_from"] < row["costs_alike_until"] == row["order_by"]


def test_a_risk_limit_that_was_set_brings_an_order_forward_and_never_puts_it_off() -> None:
    by_money = table(workshop(1, settings=setting(margin_per_hour=0)))
    assert by_money["order_by"].iloc[0] is None
    row: Any = table(workshop(1, settings=setting(margin_per_hour=0, risk_limit=0.3))).iloc[0]
    assert row["order_by"] == row["risk_limit_by"] > TODAY
    assert "above your risk limit of 30 %" in row["reason"]
    strict: Any = table(workshop(1), risk_limit=0.001).iloc[0]
    loose: Any = table(workshop(1), risk_limit=0.9).iloc[0]
    assert strict["verdict"] == "order now"
    assert loose["order_by"] == table(workshop(1))["order_by"].iloc[0]


def test_waiting_for_the_accepted_risk_would_cost_more_than_the_date_told() -> None:
    """Why an accepted risk does not say "not yet" where money already gives a date."""
    row: Any = table(workshop(1), risk_limit=0.3).iloc[0]
    assert row["order_by"] < row["risk_limit_by"]
    cost = dict(row["curve"])
    told, allowed = ((row[day] - TODAY).days for day in ("order_by", "risk_limit_by"))
    assert cost[allowed] > cost[told] + 10


def test_below_the_accepted_risk_and_without_a_cheapest_day_it_is_not_yet() -> None:
    free = workshop(1, settings=setting(margin_per_hour=0))
    row: Any = table(free, risk_limit=0.9999).iloc[0]
    assert row["risk_if_waiting_30_days"] < row["risk_limit"]
    assert (row["order_by"], row["verdict"]) == (None, "not yet")


def test_rows_below_count_the_orders_of_the_rows_above() -> None:
    cheap = setting(margin_per_hour=2)
    found = table(workshop(4, settings=cheap))
    days = [day for day in found["order_by"] if day is not None]
    assert days == sorted(days)
    assert len(set(found["order_by"])) > 1


def test_a_printer_that_leaves_soon_gets_no_head_any_more() -> None:
    stays = workshop(1)
    leaves = stays.with_table("printers", stays.printers.assign(retired_on=TODAY + timedelta(5)))
    staying, leaving = table(stays).iloc[0], table(leaves).iloc[0]
    assert staying["verdict"] == "order now"
    assert leaving["order_by"] is None
    assert leaving["risk_if_waiting_30_days"] < 0.2 * staying["risk_if_waiting_30_days"]


def test_several_heads_without_a_spare_are_dated_by_the_first_of_them_to_fail() -> None:
    # Little margin (8 a day of the calendar): one head alone may wait, of six the first to fail
    # comes sooner.
    cheap = setting(margin_per_hour=1.4)
    one, six = table(workshop(1, settings=cheap)), table(workshop(6, settings=cheap))
    first = [row["order_by"].iloc[0] or date.max for row in (one, six)]
    assert first[1] < first[0]


def test_the_reason_of_an_order_now_tells_what_waiting_costs() -> None:
    row: Any = table(workshop(1)).iloc[0]
    later = row["curve"][30][1] - row["curve"][0][1]
    assert f"which costs {numbers.about_money(later)} more" in row["reason"]


def test_a_head_that_comes_at_once_is_never_ordered_ahead() -> None:
    parts = rows("part_kind lead_days lead_days_late", ("head", 0, 0))
    found = table(workshop(2, parts=parts))
    assert found["order_by"].isna().all()
    assert (found["risk_if_ordered_now"] < 1e-9).all()


def test_a_delivery_longer_than_the_life_is_ordered_for_at_once() -> None:
    parts = rows(
        "part_kind lead_days lead_days_late typical_life_days belief_failures",
        ("head", 300, 400, 60, 50),
    )
    found = table(workshop(2, parts=parts))
    assert set(found["verdict"]) == {"order now"}
    assert (found["risk_if_ordered_now"] > 0.5).all()
    assert found["risk_limit_by"].isna().all()


def test_a_part_that_keeps_a_single_day_is_ordered_only_when_it_will_be_used() -> None:
    parts = rows("part_kind shelf_life_days", ("head", 1))
    cheap = setting(margin_per_hour=1)
    assert table(workshop(1, parts=parts, settings=cheap))["order_by"].isna().all()


def test_without_margin_no_head_is_asked_for() -> None:
    found = table(workshop(2, settings=setting(margin_per_hour=0)))
    assert found["order_by"].isna().all()
    assert set(found["verdict"]) == {"not yet"}


def test_a_head_of_unknown_age_and_a_large_fleet_get_dates() -> None:
    fittings = rows("printer part_kind position fitted_on", ("A", "head", "H1", None))
    unknown: Any = table(workshop(1).with_table("fittings", fittings)).iloc[0]
    assert np.isnan(unknown["age_days"])
    assert 0 < unknown["risk_if_ordered_now"] < 1
    names = [f"P{n}" for n in range(70)]
    fleet = Records.of({
        "printers": rows("printer started_on", *((name, "2025-01-01") for name in names)),
        "fittings": rows("printer part_kind position fitted_on",
                         *((name, "head", "H1", "2025-01-01") for name in names)),
        "stock": rows("part_kind moved_on quantity reason", ("head", "2025-06-01", 3, "received")),
    })  # fmt: skip
    found = table(fleet)
    assert len(found) == 70
    assert found["risk_if_ordered_now"].between(0, 1).all()


def test_nothing_fitted_gives_no_rows() -> None:
    assert table(Records()).empty


def test_an_impossible_risk_limit_says_how_to_write_it() -> None:
    with pytest.raises(UsageError, match=r"give 0\.1 for 10 %"):
        table(workshop(1), risk_limit=10)
