"""Orders that never come: the share learnt, the chance that a late one still does, what follows."""

from __future__ import annotations

from datetime import date, timedelta
from statistics import NormalDist
from typing import Any

import numpy as np
import pytest
from scipy.stats import lognorm

from tests.decisions.workshops import rows, workshop
from tracker.decisions.ordering.deliveries.delivery_law import NINE_IN_TEN, DeliveryLaw
from tracker.decisions.ordering.deliveries.never_comes import (
    NEVER_COMES,
    by_belief,
    log_likelihood,
    lost_shares,
    still_comes,
)
from tracker.decisions.ordering.lead_time import lead_times
from tracker.decisions.ordering.orders import open_orders
from tracker.decisions.preorder import preorder
from tracker.decisions.stock_table import WhatIf, stock_table
from tracker.say.spares import preorder as preorder_words
from tracker.say.spares import stock
from tracker.say.spares.orders import on_the_way
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType

TODAY = date(2026, 3, 1)
ORDER = "part_kind quantity ordered_on received_on supplier"
HEAD = PartType("head")


def ago(days: float) -> date:
    return TODAY - timedelta(days=days)


def bought(*orders: tuple[object, ...], **tables: Any) -> Records:
    return workshop(orders=rows(ORDER, *orders), **tables)


def came(supplier: str, number: int, takes: int = 20) -> list[tuple[object, ...]]:
    """So many heads that came, placed at intervals."""
    placed = [100 + 20 * one for one in range(number)]
    return [("head", 1, ago(days), ago(days - takes), supplier) for days in placed]


def told(*orders: tuple[object, ...], supplier: str = "North", days: int) -> float:
    """The chance that a head ordered so many days ago still comes."""
    records = bought(*orders, ("head", 1, ago(days), None, supplier)).known_at(TODAY)
    found = open_orders(records, TODAY)
    return float(found.loc[found["days_open"] == days, "comes"].iloc[0])


def test_the_mixture_s_likelihood_and_its_maximum_are_those_of_a_general_library() -> None:
    from lifelines import LogNormalFitter, MixtureCureFitter

    rng = np.random.default_rng(3)
    takes, placed = 20 * np.exp(0.4 * rng.standard_normal(300)), rng.uniform(1, 200, 300)
    lost = rng.random(300) < 0.15
    is_here = ~lost & (takes <= placed)
    days = np.where(is_here, takes, placed)
    fitted = MixtureCureFitter(base_fitter=LogNormalFitter()).fit(days, is_here)
    law = lognorm(fitted.sigma_, scale=np.exp(fitted.mu_))
    share = np.linspace(0.001, 0.5, 500)
    logs = log_likelihood(share, int(is_here.sum()), law.sf(days[~is_here]).tolist())
    logs += law.logpdf(days[is_here]).sum()
    assert logs.max() == pytest.approx(fitted.log_likelihood_, abs=0.01)
    assert share[logs.argmax()] == pytest.approx(fitted.cured_fraction_, abs=0.002)
    assert 0.1 < fitted.cured_fraction_ < 0.2


def test_one_supplier_s_share_is_a_beta_law_in_a_beta_law_as_drawn() -> None:
    # Drawn: a common share by the belief, a supplier's about it, of 30 orders those lost.
    rng = np.random.default_rng(5)
    common = rng.beta(50 * NEVER_COMES, 50 * (1 - NEVER_COMES), 400_000)
    own, other = (rng.beta(20 * common, 20 * (1 - common)) for _ in range(2))
    seen = (rng.binomial(30, own) == 4) & (rng.binomial(30, other) == 1)
    found = lost_shares({"A": 26, "B": 29}, {"A": [0.0] * 4, "B": [0.0]})

    def mean(law: Any) -> float:
        return 1 - still_comes(law, 1.0).mean

    error = own[seen].std() / np.sqrt(seen.sum())
    assert mean(found["A"]) == pytest.approx(own[seen].mean(), abs=4 * error)
    assert mean(found["B"]) == pytest.approx(other[seen].mean(), abs=4 * error)
    assert mean(by_belief()) == pytest.approx(NEVER_COMES, rel=0.02)
    assert mean(found["B"]) < mean(found[""]) < mean(found["A"])


def test_the_chance_is_that_of_drawn_orders_which_are_not_here_yet() -> None:
    # The guess for heads, 20 and 45 days (common practice, no source): 45 are a tail of a tenth,
    # and of one in fifty, held up for about 60 days, more.
    longer = NormalDist(np.log(60), 0.5).cdf(np.log(45))
    assert DeliveryLaw(np.log(20), np.log(45 / 20) / NINE_IN_TEN, 3.0).not_here(45) == (
        pytest.approx(0.98 * 0.1 + 0.02 * (1 - longer))
    )
    rng = np.random.default_rng(6)
    common = rng.beta(50 * NEVER_COMES, 50 * (1 - NEVER_COMES), 400_000)
    comes = rng.random(len(common)) > rng.beta(20 * common, 20 * (1 - common))
    waited_for = ~comes | (rng.random(len(common)) < 0.1)
    found = still_comes(lost_shares({}, {"A": [0.1]})["A"], 0.1)
    error = 0.5 / np.sqrt(waited_for.sum())
    assert found.mean == pytest.approx(comes[waited_for].mean(), abs=3 * error)
    assert 0 < found.low < found.mean < found.high <= 1


def test_within_its_usual_time_an_order_hardly_moves_and_then_it_falls_and_falls() -> None:
    # 20 days usual, 45 late (common practice, no source).
    chances = [told(days=days) for days in (1, 10, 20, 45, 90, 180, 400)]
    assert min(chances[:3]) > 0.95
    assert chances == sorted(chances, reverse=True)
    assert chances[3] == pytest.approx(0.845, abs=0.01)
    assert chances[5] < 0.35
    assert chances[6] < 0.2


def test_of_a_punctual_supplier_one_order_twice_as_late_as_ever_may_be_held_up() -> None:
    chances = [told(*came("North", 60), days=days) for days in (40, 80, 170)]
    assert chances[0] > 0.7
    assert 0.4 < chances[1] < 0.7
    assert chances[2] < 0.2


def test_what_came_and_what_did_not_teach_by_supplier_and_all_together() -> None:
    assert told(*came("North", 30), days=10) > told(days=10) > 0.97
    lost = [("head", 1, ago(days), None, "South") for days in (400, 500, 600, 700)]
    mixed = (*came("North", 12), *came("South", 4), *lost)
    south, north = (told(*mixed, supplier=name, days=25) for name in ("South", "North"))
    elsewhere = told(*mixed, supplier="East", days=25)
    assert south < elsewhere < north
    assert south < 0.85


def test_an_order_taken_out_of_the_records_says_nothing() -> None:
    received = came("North", 5)
    lost = ("head", 1, ago(500), None, "North")
    assert told(*received, lost, days=30) < told(*received, days=30)
    shorter = bought(*received, lost).orders.iloc[:-1]
    records = bought(*received).with_table("orders", shorter)
    assert lead_times(records, TODAY) == lead_times(bought(*received), TODAY)


def test_where_arrivals_are_never_written_down_old_open_orders_are_no_proof_of_loss() -> None:
    old = [("head", 1, ago(days), None, "North") for days in range(200, 800, 50)]
    assert told(*old, days=5) > 0.95
    assert told(*old, *came("North", 1), days=5) < 0.9


def test_a_punctual_supplier_one_week_late_has_lost_nothing() -> None:
    parts = rows("part_kind lead_days lead_days_late", ("head", 20, 20))
    open_one = ("head", 1, ago(27), None, "North")
    records = bought(*came("North", 12), open_one, parts=parts).known_at(TODAY)
    assert open_orders(records, TODAY)["comes"].item() > 0.8


def test_a_promise_that_lies_ahead_keeps_an_old_order_coming() -> None:
    columns = ORDER + " expected_on"
    row = ("head", 1, ago(200), None, "North", TODAY + timedelta(days=20))
    records = workshop(orders=rows(columns, row)).known_at(TODAY)
    assert open_orders(records, TODAY)["comes"].item() > 0.9


def shelf(days: int | None) -> Records:
    """Two printers, no head on the shelf, and one head ordered so many days ago."""
    fitted = [(printer, "head", "H1", ago(300)) for printer in ("A", "B")]
    placed = [] if days is None else [("head", 1, ago(days), None, "North")]
    return bought(
        *placed,
        fittings=rows("printer part_kind position fitted_on", *fitted),
        parts=rows("part_kind lead_days lead_days_late", ("head", 20, 45)),
    )


def heads(records: Records, **asked: Any) -> Any:
    return stock_table(records, TODAY, **asked).set_index("part_kind").loc["head"]


def test_the_shelf_counts_an_order_as_far_as_it_is_likely_to_come() -> None:
    none, fresh, late, lost = (
        heads(shelf(days))["chance_of_shortage_now"] for days in (None, 10, 60, 1000)
    )
    assert fresh < late < lost <= none + 0.01
    assert lost == pytest.approx(none, abs=0.02)
    assert np.isnan(heads(shelf(10))["late_comes"])
    row = heads(shelf(60))
    waiting = open_orders(shelf(60).known_at(TODAY), TODAY).iloc[0]
    assert row["late_comes"] == waiting["comes"]
    assert row["late_comes_low"] < row["late_comes"] < row["late_comes_high"]


def test_the_date_of_the_next_order_and_its_risk_move_as_an_order_is_doubted() -> None:
    risks = [preorder(shelf(days), TODAY)["risk_if_ordered_now"].iloc[0] for days in (10, 60, 100)]
    assert risks[0] < risks[1] < risks[2]
    assert preorder(shelf(1000), TODAY)["spares"].iloc[0] == 0


def test_asking_for_another_delivery_time_does_not_lose_what_is_on_its_way() -> None:
    as_it_is = heads(shelf(30))
    quicker = heads(shelf(30), what_if=WhatIf(lead_days=5))
    assert quicker["on_order"] == 1
    assert quicker["arriving"] == as_it_is["arriving"] == 1


def test_it_is_said_with_limits_where_it_matters_only() -> None:
    fresh, late, lost = (
        open_orders(shelf(days).known_at(TODAY), TODAY).iloc[0] for days in (30, 70, 200)
    )
    assert "chance" not in on_the_way(fresh)
    assert on_the_way(late).endswith(
        "; 25 days late (chance of still coming: 67 %; 8 in 10: 23 to 100 %): is it here? Else "
        "ask the supplier, or order again."
    )
    assert "5 months late, not counted on (chance of still coming: 17 %; " in on_the_way(lost)
    assert "late" not in stock.reason(heads(shelf(30)))
    assert "1 ordered piece late (chance of still coming: 67 %; 8 in 10: 23 to 100 %)" in (
        stock.reason(heads(shelf(70)))
    )
    row = next(preorder(shelf(70), TODAY).itertuples())
    assert "What is late may never come (chance of still coming: 67 %;" in (
        preorder_words.reason(row, "EUR")
    )
