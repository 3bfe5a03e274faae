"""The review's sentences: like is compared with like, and nothing is left out unsaid."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pandas as pd
import pytest

from tests.review.workshop_by_hand import by_hand
from tracker.review.ahead import Ahead
from tracker.review.month import MonthReview, month_review
from tracker.review.printer_trend import PrinterTrend
from tracker.review.proposals import proposals
from tracker.review.skipping import COLUMNS
from tracker.review.suspicion import Suspicion
from tracker.say.monthly import answer, tables
from tracker.say.monthly import sentences as said
from tracker.say.monthly.actions import proposal_words
from tracker.say.monthly.findings import suspicion_evidence, suspicion_sentence
from tracker.say.monthly.values import lines

MARCH = date(2026, 3, 1)
WHEN = date(2026, 9, 30)


@pytest.fixture(scope="module")
def march() -> MonthReview:
    return month_review(by_hand(), MARCH)


def test_a_failure_of_unknown_age_is_among_those_that_were_expected(march: MonthReview) -> None:
    # By hand: two wipers and a head failed in March; the fifth fitting is Bob's first wiper.
    assert said.failures_sentence(march).startswith("3 parts failed; ")
    assert said.failures_sentence(march).endswith(" is normal for a month.")
    fittings = by_hand().fittings
    fittings.loc[fittings.index[4], "fitted_on"] = pd.NaT
    found = month_review(by_hand().with_table("fittings", fittings), MARCH)
    assert "not counting" not in said.failures_sentence(found)
    assert said.failures_sentence(found).startswith("3 parts failed; ")
    assert found.expected.iloc[0]["observed"] == 3


def test_a_failure_that_nothing_was_known_of_is_told_apart() -> None:
    # A first pump, fitted and failed in March.
    fittings = by_hand().fittings
    pump = fittings.iloc[[4]].assign(
        part_kind="pump", position="pump", fitted_on="2026-03-05", removed_on="2026-03-20"
    )
    for name in ("fitted_on", "removed_on"):
        pump[name] = pd.to_datetime(pump[name])
    fittings = pd.concat([fittings, pump], ignore_index=True)
    found = month_review(by_hand().with_table("fittings", fittings), MARCH)
    sentence = said.failures_sentence(found)
    assert sentence.startswith("4 parts failed; ")
    assert sentence.endswith(" for a month, not counting 1 with nothing earlier to judge by.")
    assert found.expected.iloc[0]["observed"] == 3


def with_a_waste_tank(removal_reason: str) -> MonthReview:
    fittings = by_hand().fittings
    tank = fittings.iloc[[1]].assign(
        part_kind="waste_tank", position="waste_tank", removal_reason=removal_reason
    )
    fittings = pd.concat([fittings, tank], ignore_index=True)
    return month_review(by_hand().with_table("fittings", fittings), MARCH)


def test_a_full_waste_tank_is_no_failure(march: MonthReview) -> None:
    found = with_a_waste_tank("failed")
    assert said.failures_sentence(found) == said.failures_sentence(march)
    assert found.happened.failures["this_month"].sum() == 3
    assert found.happened.corrective == march.happened.corrective


def test_a_waste_tank_broken_by_accident_is_none_that_age_could_foretell() -> None:
    sentence = said.failures_sentence(with_a_waste_tank("accident"))
    assert sentence.startswith("4 parts failed; ")
    assert sentence.endswith(" for a month, not counting 1 of a kind that does not wear.")


def test_a_range_of_none_is_said_as_none(march: MonthReview) -> None:
    need = march.ahead.need.assign(low_1=0, high_1=0)
    cells = [row[2] for row in tables.need(need).rows]
    assert all(cell.endswith(" (none)") for cell in cells)
    assert not any(
        "0 to 0" in line for line in lines(replace(march, ahead=replace(march.ahead, need=need)))
    )


def test_skipping_that_did_no_harm_is_listed_in_failures_and_not_as_money_gained() -> None:
    names = list(COLUMNS)
    harmless = dict.fromkeys(names, 0.0) | {
        "task": "shake_dampers", "part_kind": "damper", "skipped": 4, "failures": 30,
        "extra": -0.7, "cost": -70.0, "cost_low": -90.0, "cost_high": -20.0,
        "chance_it_cost": 0.02, "told": True,
    }  # fmt: skip
    harmful = harmless | {"extra": 0.5, "cost": 50.0, "cost_low": 20.0, "cost_high": 90.0,
                          "chance_it_cost": 0.98}  # fmt: skip
    rows = tables.skipping(pd.DataFrame([harmful, harmless], columns=names), "EUR").rows
    assert rows[0][2:6] == ("50 €", "20 € to 90 €", "0.5", "98 %")
    assert rows[1][2:6] == ("–", "–", "0.7 fewer", "2 %")


def test_actions_name_the_month_they_were_seen_in_and_what_there_will_be() -> None:
    empty = pd.DataFrame()
    kept = pd.DataFrame(
        {"printer": ["Ada"], "task": ["nozzle_check"], "due": [21], "in_time": [10], "late": [0],
         "missed": [11], "share": [10 / 21]}
    )  # fmt: skip
    orders = pd.DataFrame(
        {"part_kind": ["damper"], "variant": [""], "order_now": [7], "cost": [61.0],
         "pack_size": [7],
         "on_hand": [13], "arriving": [0], "available": [13],
         "expired": [0], "counted_on": [date(2026, 9, 1)],
         "service": [0.95], "chance_of_shortage_now": [0.2], "at_once": [0],
         "expected_need": [11.0],
         "horizon_days": [40.0], "risk_before_arrival": [float("nan")],
         "late_comes": [float("nan")], "late_comes_low": [float("nan")],
         "late_comes_high": [float("nan")],
         "stock_to_keep": [17],
         "stock_least_cost": [17], "cost_of_stock": [[9.0] * 17 + [8.0]],
         "chance_of_need": [[0.05] * 20],
         "more_than_used": [False], "late": [0], "forgotten": [0],
         "missing": [0], "leaving": [[]],
         "planned_age_days": [float("nan")], "waiting": [0], "failures": [9],
         "life_guessed": [True]}
    )  # fmt: skip
    steady = PrinterTrend("stoppage", empty, empty, empty, (), ())
    dates = pd.DataFrame({"part_kind": [], "variant": []})
    planned = pd.DataFrame({"due_on": pd.to_datetime([])})
    ahead = Ahead(need=empty, orders=orders, order_dates=dates, planned=planned, claims=empty)
    found = proposals((), ahead, kept, steady, WHEN)
    order, routine = (proposal_words(proposal, "EUR").why for proposal in found)
    assert order.endswith(
        "holding and ageing together. With these 7 (packs of 7) there will be 20."
    )
    assert not order.startswith("By the trade's guess")
    few = proposals((), replace(ahead, orders=orders.assign(failures=1)), kept, steady, WHEN)
    why = proposal_words(few[0], "EUR").why
    assert why.startswith("By the trade's guess, until more parts fail here: ")
    assert routine == "In September 2026 10 of 21 were done in time, 0 late, 11 not at all."


def of_all(review: MonthReview, *, observed: int, low: int, high: int) -> MonthReview:
    """The same review with other figures for all parts together, none of them unusual."""
    expected = review.expected.assign(unusual=False)
    for name, value in (("observed", observed), ("low", low), ("high", high)):
        expected.loc[expected.index[0], name] = value
    failures = review.happened.failures.iloc[:1].assign(this_month=observed)
    return replace(review, expected=expected, happened=replace(review.happened, failures=failures))


def test_the_month_is_told_beside_what_is_normal(march: MonthReview) -> None:
    six = of_all(march, observed=6, low=3, high=10)
    assert said.failures_sentence(six) == "6 parts failed; 3 to 10 is normal for a month."
    assert said.unusual_sentence(six).startswith("Nothing unusual: ")
    eleven = of_all(march, observed=11, low=3, high=10)
    assert "more than in a normal month, but luck alone" in said.unusual_sentence(eleven)
    two = of_all(march, observed=2, low=3, high=10)
    assert said.unusual_sentence(two).startswith("That is fewer than normal: luck, ")
    assert "nobody wrote down" in said.unusual_sentence(two)
    one = of_all(march, observed=1, low=0, high=0)
    assert said.failures_sentence(one) == "1 part failed; none is normal for a month."


def test_an_unusual_part_is_named_beside_what_is_normal_for_it(march: MonthReview) -> None:
    wiper = (march.expected["what"] == "part_kind") & (march.expected["name"] == "wiper")
    assert wiper.sum() == 1
    expected = march.expected.assign(unusual=wiper)
    expected.loc[wiper, ["observed", "low", "high"]] = (9, 1, 4)
    told = said.unusual_sentence(replace(march, expected=expected))
    assert told.startswith(
        "Unusual, more than luck explains: Wiper blade: 9 failed where 1 to 4 is normal."
    )
    assert told.count("Wiper blade") == 1, "what stands out is not told again as not counted"


def test_the_first_sentences_name_who_stood_what_it_lost_and_what_failed(
    march: MonthReview,
) -> None:
    # By hand: Ada 8 h on each of two days, Bob 2.5 h, at 20 an hour.
    told = answer.headline(march)
    assert told.startswith(
        "March 2026: Ada stood still for 16 h and Bob for 2½ h (working hours); that lost "
        "about 370 € of margin. In all the month cost "
    )
    assert told.endswith(" is normal for a month. What failed: 1 printhead and 2 wiper blades.")


def test_printers_that_stood_longest_are_named_and_the_others_counted(march: MonthReview) -> None:
    def told(*hours: float) -> str:
        table = pd.DataFrame({"this_month": hours}, index=list("ABCDEF"[: len(hours)]))
        happened = replace(march.happened, hours=table)
        return answer.standing_sentence(replace(march, happened=happened))

    assert told(0.0, 0.0).startswith("no stop of a printer is written down.")
    assert told(1.0, 5.0, 2.0, 3.0).startswith(
        "B stood still for 5 h, D for 3 h, C for 2 h and A for 1 h (working hours); "
    )
    assert told(1.0, 5.0, 2.0, 3.0, 4.0).startswith(
        "B stood still for 5 h, E for 4 h, D for 3 h and 2 more for 3 h together (working hours); "
    )


def test_a_dot_outside_the_band_is_told_with_why_it_is_not_counted(march: MonthReview) -> None:
    wiper = (march.expected["what"] == "part_kind") & (march.expected["name"] == "wiper")
    calm = march.expected.assign(unusual=False, low=0, high=9)
    assert "Outside" not in said.unusual_sentence(replace(march, expected=calm))
    calm.loc[wiper, ["observed", "low", "high"]] = (3, 0, 2)
    told = said.unusual_sentence(replace(march, expected=calm))
    types = int((calm["what"] == "part_kind").sum())
    assert told.startswith("Nothing unusual: ")
    assert told.endswith(
        "Outside its normal range, but not counted as unusual: Wiper blade: 3 failed where 0 to 2 "
        f"is normal. Of {types} types of part compared luck alone puts up to one in five outside."
    )


def test_the_lines_beside_the_headline_hold_no_statistics(march: MonthReview) -> None:
    lines_told = answer.in_short(march)
    assert lines_told[0] == said.unusual_sentence(march)
    assert not any(
        word in line for line in lines_told for word in ("95 %", "80 %", "chance", "expected")
    )


def test_a_lot_is_called_a_lot_and_its_chance_by_luck_is_told_apart() -> None:
    bad = Suspicion(
        part_kind="damper", variants=("",), supplier="Harbour", batch="Da-1", parts=14,
        failures=12, expected=0.82, chance=0.00002, comparisons=28,
        printers=("Ada", "Bob"), fitted_now=0, failed_this_month=0, places_now=(), last_failed=None,
    )  # fmt: skip
    told, evidence = suspicion_sentence(bad), suspicion_evidence(bad)
    assert told == (
        "Damper lot Da-1 from Harbour: 12 of 14 failed where 0.82 would be usual at their age. "
        "None is fitted any more."
    )
    assert evidence == (
        "By luck alone under 1 in 10 000, on 2 printers, with 28 lots and suppliers compared."
    )


def test_the_headline_says_that_hours_of_standing_are_working_hours(march: MonthReview) -> None:
    assert " h (working hours); that lost about " in answer.standing_sentence(march)
    free = march.happened.money.copy()
    free.loc["standing", "this_month"] = 0.0
    unpaid = replace(march, happened=replace(march.happened, money=free))
    assert answer.standing_sentence(unpaid).endswith(" h (working hours).")


def test_the_cost_of_a_month_says_what_is_reckoned_and_what_is_credited(
    march: MonthReview,
) -> None:
    money = march.happened.money.assign(this_month=0.0)
    for item, amount in (("parts", 925.0), ("labour", 195.0), ("credited", -450.0)):
        money.loc[item, "this_month"] = amount
    glance = replace(march.glance, money=replace(march.glance.money, this=670.0))
    review = replace(march, happened=replace(march.happened, money=money), glance=glance)
    assert answer.cost_sentence(review).replace("\N{NO-BREAK SPACE}", " ") == (
        "In all the month cost 670 € (195 € of it for changing parts, by the usual hours; "
        "450 € of warranty credit taken off)."
    )


def test_items_of_money_add_up_to_the_total_as_written() -> None:
    amounts = {"parts": 710.0, "labour": 195.0, "standing": 170.0, "scrap": 42.5,
               "credited": -450.0}  # fmt: skip
    rows = pd.DataFrame({"this_month": amounts, "month_before": 157.5, "mean_before": 10 / 3})
    written = [row[1] for row in tables.money(rows, "EUR").rows]
    assert written == ["710.00 €", "195.00 €", "170.00 €", "42.50 €", "−450.00 €", "667.50 €"]
    usual = [float(row[3].removesuffix(" €")) for row in tables.money(rows, "EUR").rows]
    assert sum(usual[:-1]) == pytest.approx(usual[-1])
    whole = tables.money(rows.drop("scrap").round(0), "EUR").rows
    assert [row[1] for row in whole][-2:] == ["−450 €", "625 €"]
