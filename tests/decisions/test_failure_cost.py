"""What one failure costs, term by term, worked out by hand."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import rows, setting, workshop
from tracker.decisions.downtime import Downtime
from tracker.decisions.failure_cost import FailureCosts, positions_per_printer
from tracker.decisions.stock_table import stock_table
from tracker.workshop.records import Records

DAY = date(2025, 12, 31)
PRICES = {"labour_per_hour": 30, "margin_per_hour": 20, "hours_per_day": 8, "fluid_per_litre": 40}


def costs(records: Records) -> FailureCosts:
    return FailureCosts.of(records.known_at(DAY), DAY)


def catalogue(**more: object) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "part_kind": ["damper"], "unit_cost": [9.0], "hours_to_change": [0.5],
            "recovery_minutes": [20.0], "refill_ml": [50.0], "spoiled_per_failure": [12.0],
            "lead_days": [7.0], "lead_days_late": [14.0], **{k: [v] for k, v in more.items()},
        }
    )  # fmt: skip


def test_stated_figures_make_the_terms() -> None:
    cost = costs(workshop(parts=catalogue(), settings=setting(**PRICES))).of_kind(
        "damper", spare_on_shelf=True
    )
    assert {term.name: term.amount for term in cost.terms if term.name != "takes_along"} == {
        "part": 9,
        "work": 0.5 * 30,
        "recovery": pytest.approx(20 / 60 * 30 + 0.05 * 40),
        "spoiled": 12,
        "downtime": pytest.approx((0.5 + 20 / 60) * 20),
    }
    assert all(term.source == "catalogue" for term in cost.terms if term.name != "takes_along")
    assert all(term.low == term.amount for term in cost.terms if term.name != "takes_along")


def test_without_a_spare_the_wait_is_priced_by_working_days_and_its_mean() -> None:
    """A lognormal delivery, half within 7 days and nine in ten within 14, takes 7 · e^(σ²/2) days
    on average, σ = log 2 / 1.28155; five days of seven are worked, eight hours at 20 an hour.
    """
    cost = costs(workshop(parts=catalogue(), settings=setting(**PRICES))).of_kind(
        "damper", spare_on_shelf=False
    )
    waiting = cost.term("waiting")
    mean = np.exp((np.log(2) / 1.2815515655) ** 2 / 2)
    assert waiting.amount == pytest.approx(5 * 8 * 20 * mean, rel=1e-3)
    assert (waiting.low, waiting.high) == pytest.approx((2.5 * 8 * 20, 10 * 8 * 20))
    assert (waiting.source, waiting.entries) == ("catalogue", 0)


@pytest.mark.parametrize("limits", [{}, {"courier_days": 2, "courier_cost": 300}])
def test_a_wait_costs_here_what_it_costs_where_stock_is_decided(limits: dict[str, int]) -> None:
    """Eight orders took 60 days where the catalogue says 7: learnt, and the same for both."""
    ordered = pd.Timestamp("2025-03-01") + pd.to_timedelta(range(0, 240, 30), "D")
    orders = rows(
        "part_kind quantity ordered_on received_on",
        *(("damper", 1, day, day + pd.Timedelta(days=60)) for day in ordered),
    )
    settings = setting(**PRICES, **limits)
    records = workshop(1, parts=catalogue(), settings=settings, orders=orders)
    waiting = costs(records).of_kind("damper", spare_on_shelf=False).term("waiting")
    stock = stock_table(records, DAY).set_index("part_kind")
    assert waiting.amount == pytest.approx(stock.loc["damper", "shortage_cost"], rel=0.01)
    assert (waiting.source, waiting.entries) == ("own order", 8)
    assert waiting.low <= waiting.amount <= waiting.high


def test_of_two_heads_in_a_printer_each_takes_its_share_of_the_dampers_along() -> None:
    records = workshop(2, "C M Y K W1 W2", parts=rows(
        "part_kind unit_cost replaced_with", ("head", 600.0, ""), ("damper", 9.0, "head")
    ))  # fmt: skip
    other = records.fittings[records.fittings["part_kind"] == "head"].assign(position="H2")
    two = records.with_table("fittings", pd.concat([records.fittings, other], ignore_index=True))
    assert costs(records).of_kind("head", spare_on_shelf=True).term("parts_along").amount == 54
    assert costs(two).of_kind("head", spare_on_shelf=True).term("parts_along").amount == 27


def test_a_position_named_anew_counts_once() -> None:
    records = workshop(1, "C M Y K")
    fittings = records.fittings.assign(removed_on=pd.NaT, removal_reason="")
    old = fittings.index[fittings["position"] == "K"]
    again = fittings.loc[old].assign(position="black", fitted_on=pd.Timestamp("2025-02-01"))
    fittings.loc[old, "removed_on"] = pd.Timestamp("2025-02-01")
    fittings.loc[old, "removal_reason"] = "retired"
    records = records.with_table("fittings", pd.concat([fittings, again], ignore_index=True))
    assert positions_per_printer(records, "damper") == 4
    # Where no part of a kind is in use any more, all that ever were are.
    gone = records.fittings.assign(removed_on=pd.Timestamp("2025-03-01"), removal_reason="retired")
    assert positions_per_printer(records.with_table("fittings", gone), "head") == 1


def test_a_head_takes_its_dampers_along_and_needs_work_and_a_stop_to_change() -> None:
    parts = rows(
        "part_kind unit_cost hours_to_change recovery_minutes refill_ml spoiled_per_failure "
        "replaced_with",
        ("head", 600.0, 3.0, 0.0, 0.0, 20.0, ""), ("damper", 9.0, 0.5, 0.0, 0.0, 0.0, "head"),
    )  # fmt: skip
    records = workshop(2, "C W", parts=parts, settings=setting(**PRICES))
    assert positions_per_printer(records, "damper") == 2
    cost = costs(records).of_kind("head", spare_on_shelf=True)
    assert {term.name: term.amount for term in cost.terms} == {
        "part": 600, "parts_along": 2 * 9, "work": 3 * 30, "spoiled": 20, "downtime": 3 * 20,
    }  # fmt: skip
    assert cost.total == 788
    # By plan nothing stands and nothing is spoiled.
    assert cost.planned == 600 + 18 + 90


def test_a_courier_bounds_the_wait_and_other_printers_take_work_over() -> None:
    limits = {"courier_days": 1.4, "courier_cost": 45, "taken_over_share": 0.25}
    downtime = Downtime.of(workshop(settings=setting(**PRICES, **limits)), DAY)
    per_day = 0.75 * 20 * 8 * 5 / 7
    assert downtime.per_day == pytest.approx(per_day)
    assert downtime.waiting(0.3) == pytest.approx(0.3 * per_day)
    assert downtime.waiting(30.0) == pytest.approx(45 + 1.4 * per_day)


def test_closed_days_cost_nothing() -> None:
    """73 of the last 365 days closed: a fifth less is lost on a day of the calendar."""
    closed = rows("began_on ended_on site printer", ("2025-07-01", "2025-09-11", "", ""))
    records = workshop(settings=setting(**PRICES), closures=closed)
    assert Downtime.of(records, DAY).per_day == pytest.approx(20 * 8 * 5 / 7 * 0.8)


def test_the_log_speaks_where_it_holds_enough() -> None:
    began = pd.to_datetime(["2025-03-03 09:00"] * 5) + pd.to_timedelta([0, 7, 14, 21, 28], "D")
    hours = [2.0, 2.0, 2.0, 2.0, 60.0]  # the last one waited for a delivery
    stops = pd.DataFrame(
        {
            "printer": "A", "began_at": began,
            "ended_at": began + pd.to_timedelta(hours, "h"), "part_kind": "damper",
            "cause": "part failed", "scrap_cost": [10.0, 20.0, 30.0, None, None],
        }
    )  # fmt: skip
    records = workshop(parts=catalogue(), settings=setting(**PRICES), stoppages=stops)
    cost = costs(records).of_kind("damper", spare_on_shelf=True)
    spoiled, downtime = cost.term("spoiled"), cost.term("downtime")
    assert (spoiled.amount, spoiled.source, spoiled.entries) == (20.0, "log", 3)
    # Mean 20, standard error 10/√3, 80 % range ± 1.2816 standard errors.
    assert spoiled.high == pytest.approx(20 + 1.2815515655 * 10 / 3**0.5)
    assert (downtime.amount, downtime.source) == (pytest.approx(2 * 20), "log")


def failed_dampers(*days: str) -> pd.DataFrame:
    """Damper W1 of printer A failing on those days, and its head running on."""
    begins = ["2025-01-01", *days]
    damper = [
        ("A", "damper", "W1", begin, end, "failed" if end else "")
        for begin, end in zip(begins, [*days, None], strict=True)
    ]
    return rows(
        "printer part_kind position fitted_on removed_on removal_reason",
        *damper, ("A", "head", "H1", "2025-01-01", None, ""),
    )  # fmt: skip


def test_symptom_driven_cleans_that_led_up_to_it_are_counted_beyond_the_usual() -> None:
    days = ("2025-03-01", "2025-06-01", "2025-09-01")
    cleans = rows(
        "printer task done_on why minutes fluid_ml",
        *(("A", "strong_clean", str(pd.Timestamp(d) - pd.Timedelta(days=n))[:10], "symptom", 10, 50)
          for d in days for n in (1, 3)),
    )  # fmt: skip
    records = workshop(
        printers=1, parts=catalogue(), fittings=failed_dampers(*days), maintenance=cleans,
        settings=setting(**PRICES, log_began_on="2025-01-01"),
    )  # fmt: skip
    term = costs(records).of_kind("damper", spare_on_shelf=True).term("symptom_work")
    each = 10 / 60 * 30 + 0.05 * 40
    # Two before each failure; usual are six in the 364 days watched, in a window of 15 days.
    assert term.amount == pytest.approx(each * (2 - 6 / 364 * 15))
    assert term.entries == 3


def test_a_damper_that_starves_its_head_carries_a_share_of_the_heads_cost() -> None:
    """No head broke after three dampers: the guess of 1 % worth 20 failures becomes 0.2 of 23."""
    records = workshop(
        printers=1, parts=catalogue(), settings=setting(**PRICES, log_began_on="2025-01-01"),
        fittings=failed_dampers("2025-03-01", "2025-06-01", "2025-09-01"),
    )  # fmt: skip
    reckoned = costs(records)
    head = reckoned.of_kind("head", spare_on_shelf=True, alone=True).total
    term = reckoned.of_kind("damper", spare_on_shelf=True).term("takes_along")
    assert term.amount == pytest.approx(0.2 / 23 * head)
    assert term.low == 0
    assert term.high > term.amount


def test_a_guess_may_be_half_or_twice_the_truth_and_says_that_it_is_one() -> None:
    cost = costs(workshop(settings=setting(**PRICES))).of_kind("wiper", spare_on_shelf=True)
    work = cost.term("work")
    assert work.source == "guess"
    assert (work.low, work.high) == (work.amount / 2, work.amount * 2)
    assert work.edited_in == ("parts", "hours_to_change")
    low, high = cost.range80
    assert low < cost.total < high
