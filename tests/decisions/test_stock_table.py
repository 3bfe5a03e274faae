"""The shelf: what lies there, what is needed, what to order now."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import rows, setting, workshop
from tracker.decisions.stock_level import stock_for_service
from tracker.decisions.stock_table import COLUMNS, WhatIf, stock_table
from tracker.errors import UsageError
from tracker.forecast import demand
from tracker.forecast.fitted_lives import fit_lives
from tracker.models.life_model.posterior import LifeBelief, LifePosterior
from tracker.say.spares import stock
from tracker.workshop.records import Records
from tracker.workshop.shelf import OnHand, on_hand
from tracker.workshop.variants import PartType

TODAY = date(2025, 6, 1)
MOVE = "part_kind moved_on quantity reason best_before"


def table(records: Records, **asked: Any) -> Any:
    service = asked.pop("service", None)
    found = stock_table(records, TODAY, service, what_if=WhatIf(**asked))
    return found.assign(
        reason=[stock.reason(row) for row in found.itertuples()],
        remarks=[stock.remarks(row) for row in found.itertuples()],
    ).set_index("part_kind")


def test_every_kind_has_one_row_with_the_promised_columns() -> None:
    found = stock_table(workshop(), TODAY)
    assert tuple(found.columns) == COLUMNS
    assert found["part_kind"].tolist() == ["head", "damper", "wiper"]
    assert found["fitted"].tolist() == [2, 12, 2]
    for law in found["chance_of_need"]:
        assert sum(law) == pytest.approx(1)


@pytest.mark.parametrize("sure", [1.0, 4.0])
def test_money_buys_one_for_each_in_use_until_enough_failures_tell(sure: float) -> None:
    # A head that failed on its first day makes very short lives likely, and dear to be short of.
    records = workshop(parts=rows("part_kind belief_failures", ("head", sure)))
    fitted = records.fittings.copy()
    first = fitted.index[(fitted["part_kind"] == "head") & (fitted["printer"] == "A")]
    again = fitted.loc[first].copy()
    fitted.loc[first, ["removed_on", "removal_reason"]] = [fitted["fitted_on"].iloc[0], "failed"]
    day = fitted["fitted_on"].iloc[0].date() + timedelta(days=7)
    both = pd.concat([fitted, again], ignore_index=True)
    row = stock_table(records.with_table("fittings", both), day).iloc[0]
    cheapest = int(np.argmin(row["cost_of_stock"]))
    assert row["part_kind"] == "head"
    assert cheapest > 2
    if sure < 4:
        assert row["stock_to_keep"] == 2
        assert "; keeping 2 is enough: more would pay only if" in stock.reason(row)
    else:
        most = stock_for_service(np.array(row["chance_of_need"]), 0.99)
        assert row["stock_to_keep"] == min(cheapest, most) > 2


def test_with_a_fixed_delivery_the_need_is_demand_over_delivery_and_review() -> None:
    parts = rows("part_kind lead_days lead_days_late", ("wiper", 12, 12))
    records = workshop(parts=parts)
    row = table(records).loc["wiper"]
    fitted = fit_lives(records, TODAY)
    assert fitted.draws is not None
    wipers = fitted.running[fitted.running["part_kind"] == "wiper"]
    last = 1 - fitted.draws.chances(fitted.parts(wipers.index), 12 + 30)[:, :, 0]
    assert row["horizon_days"] == 42
    shown = np.array(row["chance_of_need"])
    # None is needed where both last, whatever is true of lives; the futures are 4 000.
    assert shown[0] == pytest.approx(fitted.draws.weight @ last.prod(axis=1), abs=0.01)
    # One each may fail, and few of those that follow within 42 days.
    mean = shown @ np.arange(len(shown))
    assert 0 < mean - fitted.draws.weight @ (1 - last).sum(axis=1) < 0.1
    assert row["stock_for_service"] == stock_for_service(shown, 0.95)
    # Printers, lots and drift being what is believed of them before anything is seen, the answer
    # is near that of the closed form that knows lives only.
    age = (TODAY - date(2025, 1, 1)).days
    alone = LifePosterior.from_lives([age, age], [0, 0], belief=LifeBelief(180))
    assert shown[0] == pytest.approx(demand(alone, [age, age], 42)[0], abs=0.05)


def test_an_uncertain_delivery_needs_no_less_stock_than_a_certain_one() -> None:
    certain = workshop(parts=rows("part_kind lead_days lead_days_late", ("head", 20, 20)))
    unsure = workshop(parts=rows("part_kind lead_days lead_days_late", ("head", 20, 90)))
    sure, doubt = table(certain).loc["head"], table(unsure).loc["head"]
    assert doubt["expected_need"] > sure["expected_need"]
    assert doubt["stock_for_service"] >= sure["stock_for_service"]


def test_the_head_takes_its_dampers_along_only_where_the_catalogue_says_so() -> None:
    names = "part_kind lead_days lead_days_late replaced_with"
    along = workshop(parts=rows(names, ("damper", 10, 10, "head")))
    alone = workshop(parts=rows(names, ("damper", 10, 10, "")))
    # The same delivery of all kinds, so that heads and dampers are counted in the same futures.
    with_heads, apart = (table(records, lead_days=10) for records in (along, alone))
    difference = with_heads.loc["damper", "expected_need"] - apart.loc["damper", "expected_need"]
    heads = with_heads.loc["head", "expected_need"]
    # Each head failure takes six; the new dampers then fail less themselves.
    assert 0.5 * 6 * heads < difference < 6 * heads


def test_counts_correct_by_their_difference_and_old_pieces_do_not_count() -> None:
    moves = rows(
        MOVE,
        ("wiper", "2025-01-02", 5, "received", "2025-05-01"),
        ("wiper", "2025-02-01", -2, "used", None),
        ("wiper", "2025-03-01", 4, "received", "2026-05-01"),
        ("wiper", "2025-04-01", -1, "counted", None),
        ("wiper", "2025-09-01", 50, "received", None),
    )
    shelf = on_hand(workshop(stock=moves).known_at(TODAY), TODAY)
    # First in, first out: 3 of the first 5 are gone, its last 2 are past their day; 4 are good.
    assert shelf[PartType("wiper")] == OnHand(
        4, 2, 0, counted_on=date(2025, 4, 1), keeps=((date(2026, 5, 1), 4),)
    )


def test_more_taken_than_came_is_said_and_counts_as_nothing() -> None:
    moves = rows(MOVE, ("head", "2025-02-01", -1, "used", None))
    row = table(workshop(stock=moves)).loc["head"]
    assert row["on_hand"] == 0
    assert "The shelf log lacks 1 piece: count it." in row["reason"]


def test_orders_come_in_whole_packs_and_reach_the_target() -> None:
    row = table(workshop()).loc["damper"]
    assert row["pack_size"] == 10  # common practice, no source
    assert row["order_now"] % 10 == 0
    assert row["available"] + row["order_now"] >= row["stock_for_service"]
    assert row["cost"] == pytest.approx(row["order_now"] * row["unit_cost"])


def test_a_full_shelf_orders_nothing_and_has_no_shortage() -> None:
    moves = rows(MOVE, *((kind, "2025-05-01", 60, "received", None) for kind in ("head", "damper")))
    found = table(workshop(stock=moves))
    assert found.loc[["head", "damper"], "order_now"].tolist() == [0, 0]
    assert (found.loc[["head", "damper"], "chance_of_shortage_now"] < 1e-3).all()


def test_an_open_order_counts_only_where_it_is_here_in_time() -> None:
    names = "part_kind quantity ordered_on expected_on"
    soon = workshop(orders=rows(names, ("head", 4, "2025-05-20", "2025-06-20")))
    far = workshop(orders=rows(names, ("head", 4, "2025-05-20", "2025-12-20")))
    assert table(soon).loc["head", ["on_order", "arriving"]].tolist() == [4, 4]
    assert table(far).loc["head", ["on_order", "arriving"]].tolist() == [4, 0]
    assert table(soon).loc["head", "order_now"] == 0
    assert table(far).loc["head", "order_now"] > 0


def test_a_short_shelf_life_limits_the_order_and_lowers_the_cheapest_stock() -> None:
    names = "part_kind pack_size shelf_life_days"
    short = workshop(parts=rows(names, ("wiper", 50, 20)))
    found = table(short).loc["wiper"]
    assert found["order_now"] == 50
    assert "One pack holds more than will be used" in found["reason"]
    assert found["stock_least_cost"] <= table(workshop()).loc["wiper", "stock_least_cost"]


def test_a_higher_service_level_never_asks_for_less() -> None:
    records = workshop()
    levels = [table(records, service=s)["stock_for_service"] for s in (0.5, 0.9, 0.99)]
    assert (levels[0] <= levels[1]).all()
    assert (levels[1] <= levels[2]).all()
    assert (levels[0] < levels[2]).any()


def test_the_workshops_own_service_level_is_the_default() -> None:
    records = workshop(settings=setting(service_level=0.5))
    assert (
        table(records)["stock_for_service"].tolist()
        == table(workshop(), service=0.5)["stock_for_service"].tolist()
    )


def test_more_printers_need_more() -> None:
    now, then = table(workshop()), table(workshop(), more_printers=3)
    assert then.loc["damper", "fitted"] == now.loc["damper", "fitted"] + 18
    assert (then["expected_need"] > now["expected_need"]).all()


def test_a_printer_that_leaves_needs_nothing_from_then_on() -> None:
    parts = rows("part_kind lead_days lead_days_late", ("wiper", 30, 30), ("damper", 30, 30))
    records = workshop(parts=parts)
    stays = table(records, leaving={})
    gone = table(records, leaving={"B": date(2025, 6, 1)})
    halved = stays.loc[["wiper", "damper"], "expected_need"] / 2
    assert gone.loc[["wiper", "damper"], "expected_need"].tolist() == pytest.approx(
        halved, rel=0.03
    )
    assert "B leaves on 1 Jun 2025." in gone.loc["wiper", "reason"]
    later = table(records, leaving={"B": date(2025, 7, 1)})
    need = [found.loc["damper", "expected_need"] for found in (gone, later, stays)]
    assert need[0] < need[1] < need[2]
    # Beyond the horizon it changes nothing.
    assert table(records, leaving={"B": date(2026, 7, 1)}).loc["damper", "expected_need"] == need[2]


def test_a_retirement_written_down_ahead_is_a_plan_but_not_when_history_is_replayed() -> None:
    printers = workshop().printers.assign(retired_on=pd.to_datetime([None, "2025-06-03"]))
    planned = workshop().with_table("printers", printers)
    assert "B leaves on 3 Jun 2025." in table(planned).loc["wiper", "reason"]
    both = table(planned, leaving={"A": TODAY}).loc["wiper"]
    assert both["remarks"] == "B leaves on 3 Jun 2025. A leaves on 1 Jun 2025."
    counters = rows("printer read_on area_m2", ("A", "2025-09-01", 100.0))
    looked_back = planned.with_table("counters", counters)
    assert "leaves" not in table(looked_back).loc["wiper", "reason"]


def test_an_unknown_printer_or_site_is_named() -> None:
    with pytest.raises(UsageError, match="no parts are fitted in 'Z'; printers are A, B"):
        table(workshop(), leaving={"Z": TODAY})
    with pytest.raises(UsageError, match="no printer with parts in it stands at 'Moon'"):
        table(workshop(), site="Moon")


WIPERS_CHANGED = rows(
    "printer part_kind position fitted_on removed_on removal_reason",
    *(("A", "wiper", "wiper", f"2024-{m:02d}-01", f"2024-{m + 1:02d}-28", "planned")
      for m in (1, 3, 5, 7)),
    ("A", "wiper", "wiper", "2025-05-25", None, ""),
    ("A", "head", "H1", "2025-01-01", None, ""),
)  # fmt: skip


def test_a_kind_changed_at_one_age_is_needed_when_that_age_is_reached() -> None:
    parts = rows("part_kind lead_days lead_days_late", ("wiper", 10, 10))
    records = workshop(1, parts=parts).with_table("fittings", WIPERS_CHANGED)
    row = table(records, leaving={}).loc["wiper"]
    # 58 days (57 to 58: 1 January to 28 February, …), now 7 days old; 40 days ahead: not yet due.
    assert "Changed by plan at about 58 days (4 of the last 4 that got there)." in row["reason"]
    assert row["expected_need"] < 0.4
    due = stock_table(records, date(2025, 7, 10)).set_index("part_kind").loc["wiper"]
    # 46 days old: due in 12 days, for certain.
    assert due["chance_of_need"][0] < 1e-9
    assert due["expected_need"] >= 1


def test_planned_changes_at_no_certain_age_are_needed_at_their_rate() -> None:
    uneven = WIPERS_CHANGED.assign(
        removed_on=pd.to_datetime(
            ["2024-01-20", "2024-04-28", "2024-05-10", "2024-09-28", None, None]
        )
    )
    printers = rows("printer started_on", ("A", "2024-01-01"))
    records = workshop(1).with_table("printers", printers).with_table("fittings", uneven)
    never = uneven.assign(removal_reason=["retired"] * 4 + ["", ""])
    found = table(records).loc["wiper"]
    none = table(records.with_table("fittings", never)).loc["wiper"]
    assert "by plan" not in found["reason"]
    # 19 + 58 + 9 + 89 + 7 = 182 days watched and a belief worth a fiftieth of a change in 120 days
    # (the typical life): 4.02 / 302 a day, against 0.02 / 302 without changes by plan.
    days = found["horizon_days"]
    more = found["expected_need"] - none["expected_need"]
    assert more == pytest.approx(4 / 302 * days, rel=0.2)


def test_without_margin_the_cheapest_stock_is_none() -> None:
    found = table(workshop(settings=setting(margin_per_hour=0)))
    assert found["stock_least_cost"].tolist() == [0, 0, 0]


def test_without_delivery_and_review_time_nothing_need_lie_on_the_shelf() -> None:
    parts = rows("part_kind lead_days lead_days_late", ("head", 0, 0))
    row = table(workshop(parts=parts, settings=setting(review_days=0))).loc["head"]
    assert (row["expected_need"], row["stock_for_service"], row["stock_least_cost"]) == (0, 0, 0)
    assert (row["order_now"], row["chance_of_shortage_now"]) == (0, 0)


def test_a_delivery_at_once_still_has_to_last_until_the_next_review() -> None:
    row = table(workshop(), lead_days=0).loc["damper"]
    assert row["horizon_days"] == 30  # the review interval
    longer = table(workshop(), lead_days=20).loc["damper"]
    assert 0 < row["expected_need"] < longer["expected_need"]
    # Nothing stands still for a delivery that takes no time, so keeping none costs least.
    assert (row["shortage_cost"], row["stock_least_cost"]) == (0, 0)
    assert row["stock_for_service"] > 0


@pytest.mark.parametrize("days", [-1.0, 1e9, np.inf, np.nan])
def test_an_impossible_delivery_time_is_refused(days: float) -> None:
    with pytest.raises(UsageError, match="is no delivery time; give days from 0 to 1825"):
        table(workshop(), lead_days=days)


def test_without_any_stock_record_the_shelf_counts_as_empty() -> None:
    found = table(workshop())
    assert found["on_hand"].tolist() == [0, 0, 0]
    assert (found["order_now"] >= found["stock_for_service"]).all()
    short = [1 - law[0] for law in found["chance_of_need"]]
    assert found["chance_of_shortage_now"].tolist() == pytest.approx(short)


def test_a_part_nobody_has_replaced_yet_is_told_from_belief_and_says_so() -> None:
    row = table(workshop()).loc["head"]
    assert row["failures"] == 0
    # Nothing but the guess stands behind it: half the life guessed is far more need.
    assert row["need_if_guess_halved"] > 1.3 * row["expected_need"]
    assert row["need_if_guess_doubled"] < 0.8 * row["expected_need"]
    # Known for sure, two heads of 151 days, scale 365 and shape 1.5, would need over 50 days
    # 2 · (1 − exp((151/365)^1.5 − (201/365)^1.5)) = 0.27; their good record so far makes it less.
    assert 0.1 < row["expected_need"] < 0.27
    assert row["stock_for_service"] in (1, 2)


def test_a_delivery_longer_than_the_life_of_a_part_that_goes_with_another() -> None:
    parts = rows("part_kind lead_days lead_days_late typical_life_days belief_failures",
                 ("damper", 400, 500, 60, 50))  # fmt: skip
    row = table(workshop(1, "C M", parts=parts)).loc["damper"]
    # Two positions over some 430 days of 60-day lives, softened by both having lived 151 days
    # (and by a printer that seems a gentle one), and two more at once with each head.
    assert 6 < row["expected_need"] < 20
    assert sum(row["chance_of_need"]) == pytest.approx(1)
    assert row["stock_for_service"] < 40


def test_a_delivery_longer_than_the_life_needs_several_for_each_position() -> None:
    parts = rows("part_kind lead_days lead_days_late typical_life_days belief_failures",
                 ("wiper", 300, 300, 60, 50))  # fmt: skip
    row = table(workshop(parts=parts)).loc["wiper"]
    # 2 positions over 330 days. The belief (63 % failed by 60 days) is softened by both parts
    # having lived 151 days, so each takes 3 to 5.5 (330 / 60) pieces.
    assert 6 < row["expected_need"] < 11


def test_a_kind_only_in_the_catalogue_needs_nothing_and_is_not_ordered() -> None:
    records = workshop(parts=rows("part_kind unit_cost", ("pump", 70)))
    row = table(records).loc["pump"]
    assert (row["fitted"], row["order_now"], row["expected_need"]) == (0, 0, 0)


def test_an_unknown_kind_and_a_part_of_unknown_age_get_an_answer() -> None:
    fittings = rows(
        "printer part_kind position fitted_on",
        ("A", "belt", "belt", "2025-01-01"),
        ("A", "head", "H1", None),
    )
    records = workshop(1).with_table("fittings", fittings)
    found = table(records)
    assert found.loc["belt", "fitted"] == 1
    assert found.loc["head", "expected_need"] > 0


def test_an_empty_workshop_gives_an_empty_table() -> None:
    assert len(stock_table(Records(), TODAY)) == 0


@pytest.mark.parametrize("service", [0.0, 1.0, 95])
def test_an_impossible_service_level_says_how_to_write_it(service: float) -> None:
    with pytest.raises(UsageError, match=r"give 0\.95 for 95 %"):
        stock_table(workshop(), TODAY, service=service)
