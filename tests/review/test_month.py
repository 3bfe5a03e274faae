"""The monthly review against figures worked out by hand."""

from __future__ import annotations

import json
from datetime import date

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import rows
from tests.review.workshop_by_hand import by_hand
from tracker.errors import UsageError
from tracker.forecast.fitted_lives import fit_lives
from tracker.review.happened import parts_fitted
from tracker.review.month import MonthReview, month_review
from tracker.review.period import period_of
from tracker.say.monthly.answer import headline, in_short
from tracker.say.monthly.findings import key_figures
from tracker.say.monthly.sentences import orders_sentence
from tracker.say.monthly.values import as_dict, lines
from tracker.workshop.records import Records

MARCH = date(2026, 3, 1)


@pytest.fixture(scope="module")
def march() -> MonthReview:
    return month_review(by_hand(), MARCH)


def test_failures_are_counted_by_kind_beside_the_month_before_and_the_mean(
    march: MonthReview,
) -> None:
    # January 1, February 0, so the mean of the two months before is a half.
    assert march.happened.failures.loc[("wiper", "")].tolist() == [2, 0, 0.5]
    assert march.happened.failures.loc[("head", "")].tolist() == [1, 0, 0]
    assert march.happened.accidents["this_month"].to_dict() == {("head", ""): 1}
    assert march.months_compared == 2


def test_failures_are_counted_by_cause(march: MonthReview) -> None:
    causes = march.happened.causes.set_index(["part_kind", "cause"])["this_month"]
    assert causes.to_dict() == {
        ("wiper", "cut edge"): 1,
        ("wiper", "hardened edge"): 1,
        ("head", "head strike"): 1,
    }


def test_an_accident_of_which_nobody_wrote_more_is_a_cause_of_its_own() -> None:
    records = by_hand()
    rows = records.fittings
    struck = rows["failure_mode"].eq("head strike")
    records = records.with_table(
        "fittings", rows.assign(failure_mode=rows["failure_mode"].mask(struck, ""))
    )
    causes = month_review(records, MARCH).happened.causes.set_index("part_kind")["cause"]
    assert causes["head"] == "accident"


def test_hours_count_working_hours_of_each_day(march: MonthReview) -> None:
    # Ada: 14 h on Tuesday and 12 h on Wednesday by the clock, 8 working hours each; Bob 2.5 h.
    assert march.happened.hours["this_month"].to_dict() == {"Ada": 16, "Bob": 2.5}
    assert march.happened.hours.loc["Ada", "mean_before"] == pytest.approx(0.5)
    assert march.happened.stops["this_month"].to_dict() == {"Ada": 1, "Bob": 1}


def test_money_adds_parts_work_standing_and_scrap(march: MonthReview) -> None:
    money = march.happened.money["this_month"]
    assert money["parts"] == pytest.approx(9 + 11 + 640)
    assert money["labour"] == pytest.approx(30 * (0.5 + 0.5 + 3))
    assert money["routine"] == pytest.approx(30 * 1.5)
    assert money["standing"] == pytest.approx(20 * 18.5)
    assert money["scrap"] == pytest.approx(50)


def test_key_figures_follow_their_definitions(march: MonthReview) -> None:
    values = {figure.name: figure.value for figure in key_figures(march.key_figures)}
    operating = 2 * 22 * 8 - 18.5
    assert values["Mean operating time between failures"] == pytest.approx(operating / 3)
    assert values["Mean down time"] == pytest.approx(18.5 / 2)
    assert values["Availability"] == pytest.approx(operating / (2 * 22 * 8))
    # All parts went in after a failure or accident: 780 of 780 + 45 of routine work.
    assert values["Corrective maintenance cost share"] == pytest.approx(780 / 825)


def test_work_called_for_by_a_symptom_is_corrective() -> None:
    records = by_hand()
    log = records.maintenance.assign(why=["planned", "symptom"])
    review = month_review(records.with_table("maintenance", log), MARCH)
    values = {figure.name: figure.value for figure in key_figures(review.key_figures)}
    # Of the 45 of tasks Bob's hour (30) was called for by a symptom: 780 + 30 of 780 + 45.
    assert values["Corrective maintenance cost share"] == pytest.approx(810 / 825)


def test_a_month_of_standing_still_only_has_no_operating_time() -> None:
    records = by_hand()
    stops = records.stoppages.iloc[:2].copy()
    stops["printer"] = ["Ada", "Bob"]
    stops["began_at"] = ["2026-03-02T00:00"] * 2
    stops["ended_at"] = ["2026-04-02T00:00"] * 2
    for name in ("began_at", "ended_at"):
        stops[name] = stops[name].astype("datetime64[ns]")
    values = {
        figure.name: figure.value
        for figure in key_figures(
            month_review(records.with_table("stoppages", stops), MARCH).key_figures
        )
    }
    assert values["Availability"] == 0
    assert values["Mean operating time between failures"] == 0
    # Both printers stood for all 22 working days of 8 hours; two stoppages.
    assert values["Mean down time"] == pytest.approx(22 * 8)


def test_every_key_figure_names_its_standard_and_how_it_is_worked_out(march: MonthReview) -> None:
    assert {figure.name: figure.standard for figure in key_figures(march.key_figures)} == {
        "Mean operating time between failures": "IEC 60050-192",
        "Mean down time": "IEC 60050-192",
        "Availability": "IEC 60050-192, EN 15341",
        "Corrective maintenance cost share": "EN 15341",
    }
    assert all(figure.definition.endswith(".") for figure in key_figures(march.key_figures))


def test_the_need_of_the_next_month_is_that_of_parts_lived_through_one_by_one(
    march: MonthReview,
) -> None:
    # Every position lived through by itself: wear as its Weibull curve, accidents and removals
    # for other reasons at their rates, each part followed by a new one of a lot not seen yet.
    fitted = fit_lives(by_hand(), date(2026, 3, 31))
    draws, told = fitted.draws, fitted.told
    assert draws is not None
    assert told is not None
    assert not told.exposures
    group = told.groups.index(("wiper", "", ""))
    rng = np.random.default_rng(5)
    number = rng.choice(len(draws), 20_000, p=draws.weight)
    shape, rate = draws.shape[number, group], draws.log_rate[number, group] + draws.ahead[number, 0]
    # Other reasons, none seen: Gamma(0.1) over a typical life of 120 days and 178 days watched.
    other = rng.gamma(0.1, 1 / (120 + 178), len(number))
    sudden = draws.accident[number, group] + other
    needs = np.zeros(len(number))
    lot_of_ada = draws.lot[number, told.lots.index(("wiper", "", "W-1"))]
    for name, age, lot in (("Ada", 21.0, lot_of_ada), ("Bob", 14.0, np.zeros(len(number)))):
        level = rate + draws.unit[number, told.printers.index(name)]
        day, used, of_lot = np.zeros(len(number)), np.full(len(number), age), lot
        for _ in range(40):
            gained = (used / 120) ** shape + rng.exponential(size=len(number)) / np.exp(
                level + of_lot
            )
            worn = 120 * gained ** (1 / shape) - used
            day += np.minimum(worn, rng.exponential(size=len(number)) / sudden)
            needs += day <= 30
            used, of_lot = np.zeros(len(number)), draws.unseen_lot[number]
    row = march.ahead.need.set_index("part_kind").loc["wiper"]
    assert row["mean_1"] == pytest.approx(needs.mean(), abs=4 * needs.std() / np.sqrt(2000))
    assert row["low_1"] == np.quantile(needs, 0.1)
    assert row["high_1"] == np.quantile(needs, 0.9)


def test_parts_used_leaves_out_what_came_with_the_printer(march: MonthReview) -> None:
    assert march.happened.parts_used["this_month"].to_dict() == {("wiper", ""): 2, ("head", ""): 1}
    january = month_review(by_hand(), date(2026, 1, 1))
    assert january.happened.parts_used["this_month"].to_dict() == {("wiper", ""): 1}


def test_an_open_stoppage_counts_until_the_day_looked_from() -> None:
    # On 10 March at midnight the stoppage of Ada is open: 8 working hours of that day so far.
    review = month_review(by_hand(), MARCH, as_of=date(2026, 3, 10))
    assert review.happened.hours["this_month"].to_dict() == {"Ada": 8, "Bob": 0}
    assert not review.whole
    assert "so far" in headline(review)


def test_a_failure_inside_its_warranty_is_a_claim_and_an_accident_is_not(
    march: MonthReview,
) -> None:
    # Ada's second wiper lived 49 of 60 days; Bob's 75 days; Bob's head met an accident at 82.
    assert march.ahead.claims[["part_kind", "printer", "age_days"]].values.tolist() == [
        ["wiper", "Ada", 49.0]
    ]


@pytest.mark.parametrize("claim", ["sent", "credited", "refused"])
def test_a_claim_written_down_is_asked_for_no_more_and_a_credit_counts(claim: str) -> None:
    records = by_hand()
    fittings = records.fittings.copy()
    failed = (fittings["printer"] == "Ada") & (fittings["part_kind"] == "wiper")
    failed &= fittings["removed_on"].dt.to_period("M") == pd.Period("2026-03")
    fittings.loc[failed, ["claim", "claim_amount"]] = [claim, 9.0]
    before = month_review(records, MARCH).happened.money["this_month"]
    review = month_review(records.with_table("fittings", fittings), MARCH)
    assert review.ahead.claims.empty
    money = review.happened.money["this_month"]
    credit = -9.0 * int(failed.sum()) if claim == "credited" else 0.0
    assert money.sum() == pytest.approx(before.sum() + credit)
    assert ("credited" in money.index) == (claim == "credited")


def test_a_part_that_took_the_place_of_a_first_one_is_paid_for_on_the_first_day_too() -> None:
    january = period_of(by_hand(), date(2026, 1, 1), date(2026, 1, 31))
    fittings = by_hand().fittings
    # Ada's second wiper goes in on the printer's first day, as the first failed there and then.
    fittings.loc[fittings.index[0], "removed_on"] = pd.Timestamp("2026-01-01")
    fittings.loc[fittings.index[1], "fitted_on"] = pd.Timestamp("2026-01-01")
    found = parts_fitted(by_hand().with_table("fittings", fittings), january)
    assert found.index.tolist() == [fittings.index[1]]
    assert found["parts"].tolist() == [9.0]


def test_a_month_without_any_event_still_says_what_to_expect() -> None:
    review = month_review(by_hand(), date(2026, 2, 1))
    assert "No part failed" in headline(review)
    assert review.ahead.need["part_kind"].tolist() == ["wiper", "head"]
    assert {figure.text for figure in key_figures(review.key_figures)} >= {
        "no stoppage began",
        "nothing was spent",
    }
    assert lines(review)


def test_later_entries_do_not_change_an_earlier_month() -> None:
    records = by_hand()
    known_then = records.known_at(date(2026, 1, 31))
    first, again = (as_dict(month_review(r, date(2026, 1, 1))) for r in (records, known_then))
    assert first == again


def test_the_review_is_plain_json_and_the_same_each_time(march: MonthReview) -> None:
    once, twice = as_dict(march), as_dict(month_review(by_hand(), MARCH))
    assert json.dumps(once, allow_nan=False) == json.dumps(twice, allow_nan=False)
    assert once["month"] == "2026-03"
    assert once["as_of"] == "2026-03-31"


def test_a_workshop_without_records_gets_a_review() -> None:
    review = month_review(Records(), MARCH)
    assert headline(review).startswith("March 2026: no stop of a printer is written down. ")
    assert not review.actions


def test_a_month_that_has_not_begun_is_refused() -> None:
    with pytest.raises(UsageError, match="2026-03 had not begun on 2026-02-10"):
        month_review(by_hand(), MARCH, as_of=date(2026, 2, 10))


def test_a_month_of_which_nothing_was_written_down_says_so() -> None:
    # The log by hand ends in March 2026.
    april = month_review(by_hand(), date(2026, 4, 1))
    assert headline(april).endswith("Nothing was written down in this month.")
    early = month_review(by_hand(), date(2026, 4, 1), as_of=date(2026, 4, 3))
    assert headline(early).endswith("Nothing was written down so far.")
    assert not month_review(by_hand(), MARCH).silent
    # A workshop that has not begun has nothing to be silent about.
    assert not month_review(Records(), MARCH).silent


def test_the_review_says_which_supplier_sends_nothing_soon(march: MonthReview) -> None:
    shut = rows("began_on ended_on supplier", ("2026-04-20", "2026-05-10", "North"))
    ahead = month_review(by_hand().with_table("closures", shut), MARCH)
    said = "North sends nothing from 20 Apr to 10 May 2026"
    assert said not in orders_sentence(march)
    assert said in orders_sentence(ahead)
    assert any(said in sentence for sentence in in_short(ahead))
