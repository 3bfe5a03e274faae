"""The advice on orders against two habits, on the workshop's own history."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pandas as pd
import pytest

from tests.bench.replay_study import costs, kept, one_workshop, workshop
from tests.decisions.workshops import rows, setting
from tests.decisions.workshops import workshop as by_hand
from tracker.decisions.ordering.order_proposal import order_proposal
from tracker.decisions.preorder import preorder, spare_pools
from tracker.decisions.stock_table import stock_table
from tracker.forecast.fitted_lives import fit_lives
from tracker.replay.advice import Advice, DatedAdvice, Level, OrderDates, StockAdvice, as_then
from tracker.replay.costs import advice_cost
from tracker.replay.findings import ADVICE, NONE, ONE, WARM_UP_DAYS
from tracker.replay.needs import needs
from tracker.replay.past_advice import PastAdvice, advice_of, review_days
from tracker.replay.past_fits import FUTURES, play_past
from tracker.say.replay import advice_sentence
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType, types_in

BEGAN = date(2025, 1, 1)


def one_wiper(*changed: str, reason: str = "failed") -> Records:
    """Printer A with one wiper that was changed on these days; two days for every delivery."""
    days = [str(BEGAN), *changed]
    return by_hand(
        printers=1,
        fittings=rows(
            "printer part_kind position fitted_on removed_on removal_reason",
            *(
                ("A", "wiper", "wiper", fitted, out, reason if out else "")
                for fitted, out in zip(days, [*changed, None], strict=True)
            ),
        ),
        parts=rows(
            "part_kind unit_cost pack_size lead_days lead_days_late shelf_life_days",
            ("wiper", 10.0, 1, 2, 2, 400),
        ),
        settings=setting(
            log_began_on=BEGAN, margin_per_hour=30, review_days=90, hours_per_day=8,
            holding_rate_per_year=0.2,
        ),
    )  # fmt: skip


def every(step: int, count: int, first: int = 20) -> list[str]:
    return [str(BEGAN + timedelta(days=first + step * n)) for n in range(count)]


def test_the_money_of_both_habits_is_the_sum_done_by_hand() -> None:
    records, as_of = one_wiper(*every(25, 20)), BEGAN + timedelta(days=560)
    found = advice_cost(records, as_of)
    # Changed on day 20, 45, …, 495; scored from day 180: those of 195, 220, …, 495.
    one, none = found.of(ONE), found.of(NONE)
    assert (found.needs, one.needs, none.needs) == (13, 13, 13)
    assert none.downtime_days == 13 * 2
    # 30 an hour, eight hours, five days in seven.
    assert none.downtime_cost == pytest.approx(13 * 2 * 240 * 5 / 7)
    assert (none.missing, none.holding, none.left_over) == (13, 0, 0)
    assert (one.downtime_days, one.missing) == (0, 0)
    # One piece of 10 on the shelf on all scored days but two after each change.
    assert one.holding == pytest.approx((560 - 180 - 13 * 2) * 10 * 0.2 / 365)
    assert one.left_over == 10
    assert one.money == pytest.approx(one.holding + 10)


def test_a_planned_change_waits_for_its_piece_while_the_printer_works() -> None:
    records, as_of = one_wiper(*every(25, 20), reason="planned"), BEGAN + timedelta(days=560)
    none = advice_cost(records, as_of).of(NONE)
    assert (none.missing, none.downtime_days) == (13, 0)


def test_a_printer_that_waits_for_two_parts_stands_once() -> None:
    records = one_wiper(*every(25, 20))
    wipers = records.fittings
    caps = wipers.assign(part_kind="cap", position="cap")
    both = records.with_table("fittings", pd.concat([wipers, caps], ignore_index=True))
    catalogue = records.parts
    both = both.with_table(
        "parts", pd.concat([catalogue, catalogue.assign(part_kind="cap")], ignore_index=True)
    )
    found = advice_cost(both, BEGAN + timedelta(days=560))
    assert found.of(NONE).downtime_days == 13 * 2
    own = found.by_kind[found.by_kind["policy"] == NONE]
    assert own["downtime_days"].tolist() == [13 * 2, 13 * 2]


def test_needs_are_the_parts_that_were_replaced_on_the_day_the_old_one_came_out() -> None:
    # Printer A went on without the last wiper: stirred half a year later, it is given up.
    records = by_hand(
        printers=1,
        fittings=rows(
            "printer part_kind position fitted_on removed_on removal_reason",
            ("A", "wiper", "wiper", "2025-01-01", "2025-03-01", "failed"),
            ("A", "wiper", "wiper", "2025-03-09", "2025-06-01", "planned"),
            ("A", "wiper", "wiper", "2025-06-01", "2025-08-01", "accident"),  # not replaced
            ("A", "head", "H1", "2025-01-01", None, ""),
            ("A", "pump", "pump", None, "2025-02-01", "unknown"),
            ("A", "pump", "pump", "2025-02-01", None, ""),
        ),
        maintenance=rows("printer task done_on", ("A", "stir_ink", "2026-02-01")),
    )
    found = needs(records, date(2026, 2, 1))
    assert [f"{day:%m-%d}" for day in found["needed_on"]] == ["02-01", "03-01", "06-01"]
    assert found["stops"].tolist() == [True, True, False]
    # A month after it came out it is still waited for.
    waited = needs(records, date(2025, 9, 1))
    assert [f"{day:%m-%d}" for day in waited["needed_on"]] == ["02-01", "03-01", "06-01", "08-01"]


def test_needs_of_one_day_are_in_the_same_order_however_they_were_written_down() -> None:
    records = by_hand(
        printers=3,
        fittings=rows(
            "printer part_kind position fitted_on removed_on removal_reason",
            *(
                (printer, "wiper", "wiper", fitted, out, "failed" if out else "")
                for printer in "BCA"
                for fitted, out in (("2025-01-01", "2025-03-01"), ("2025-03-01", None))
            ),
        ),
    )
    turned = records.with_table("fittings", records.fittings[::-1])
    told = [needs(one, date(2025, 6, 1))["printer"].tolist() for one in (records, turned)]
    assert told == [["A", "B", "C"]] * 2


def test_a_level_told_while_a_place_stands_empty_leaves_out_what_the_walk_has_counted() -> None:
    # Told on the day after the wiper of day 45 came out; the next one went in five days later.
    records = one_wiper(*every(25, 3))
    late = records.fittings["fitted_on"] == pd.Timestamp(BEGAN + timedelta(days=45))
    gap = records.with_table(
        "fittings",
        records.fittings.assign(
            fitted_on=records.fittings["fitted_on"].mask(
                late, pd.Timestamp(BEGAN + timedelta(days=50))
            )
        ),
    )
    wiper, told = PartType("wiper"), 46
    levels = [advised(own, BEGAN, [told]).levels[wiper][told] for own in (records, gap)]
    need = [float(own.chances @ np.arange(len(own.chances))) for own in levels]
    # Of a thousand futures with some two needs each: right to a tenth; counted twice, it is 1 off.
    assert need[1] == pytest.approx(need[0], abs=0.25)
    asked = stock_table(gap, BEGAN + timedelta(days=told))
    now = asked.set_index("part_kind").loc["wiper"]
    assert now["expected_need"] == pytest.approx(need[1] + 1, abs=0.25)


def test_the_head_owed_to_an_empty_place_is_not_ordered_twice_in_the_walk() -> None:
    records = by_hand(
        printers=2,
        fittings=rows(
            "printer part_kind position fitted_on removed_on removal_reason",
            ("A", "head", "H1", BEGAN, BEGAN + timedelta(days=200), "failed"),
            ("B", "head", "H1", BEGAN, None, ""),
        ),
        settings=setting(log_began_on=BEGAN, margin_per_hour=30),
    )
    fitted = fit_lives(records, BEGAN + timedelta(days=205))
    asked, walked = (spare_pools(own)[PartType("head")] for own in (fitted, as_then(fitted)))
    # Asked on the day the first spare is the empty place's, in the walk the first after it.
    assert asked.order_within(1) == 0
    assert asked.needs.at_once == 1
    assert walked.needs.at_once == 0
    assert walked.needs.counts(90.0).mean() == pytest.approx(
        asked.needs.counts(90.0).mean() - 1, abs=0.02
    )


@pytest.fixture(scope="module")
def simulated() -> tuple[Records, date]:
    return workshop(3, printers=3, days=450, kinds=("head", "wiper"))


def advised(
    records: Records,
    first_day: date,
    reviews: list[int],
    used: dict[PartType, list[int]] | None = None,
    told: list[int] | None = None,
) -> Advice:
    """What was advised on these reviews, told on each or on the days ``told``."""
    past = PastAdvice(records, first_day, reviews, used or {}, told)
    play_past(records, past.days, [past.hear])
    return past.advice()


@pytest.mark.parametrize("pack", [1, 2])
def test_the_advice_walked_over_is_what_the_program_says_with_that_shelf(
    simulated: tuple[Records, date], pack: int
) -> None:
    records, _ = simulated
    catalogue = records.parts
    of_heads = catalogue["part_kind"] == "head"
    records = records.with_table(
        "parts", catalogue.assign(pack_size=catalogue["pack_size"].mask(of_heads, pack))
    )
    first, day = date(2024, 1, 1), 390
    on = first + timedelta(days=day)
    advice = advised(records, first, [360, day])
    dated = advice.habits[PartType("head")]
    assert isinstance(dated, DatedAdvice)
    orders = records.orders
    for spares in (0, 1, 3):
        shelf = pd.DataFrame(
            [(*part, pd.Timestamp(on), spares) for part in advice.habits],
            columns=["part_kind", "variant", "moved_on", "quantity"],
        )
        then = records.with_table("stock", shelf).with_table(
            "orders", orders[orders["received_on"] <= pd.Timestamp(on)]
        )
        # From the same fit and as many futures, for a date may lie near the day itself.
        fitted = replace(dated.dates.fits[day], known=then.known_at(on))
        table = stock_table(then, on, fitted=fitted, futures=FUTURES)
        heads = preorder(then, on, fitted=fitted, futures=FUTURES)
        lines = order_proposal(table, heads, on)
        pieces = dict(zip(types_in(lines), lines["pieces"], strict=True))
        for part, habit in advice.habits.items():
            assert habit.order(day, spares) == int(pieces.get(part, 0)), (part, spares)


def test_a_type_without_dates_when_the_log_began_is_walked_over_all_the_same() -> None:
    # The first head is written down eight months after the first wiper.
    wipers = one_wiper(*every(25, 20))
    head = rows("printer part_kind position fitted_on", ("A", "head", "H1", "2025-09-01"))
    both = wipers.with_table("fittings", pd.concat([wipers.fittings, head], ignore_index=True))
    found = advice_cost(both, BEGAN + timedelta(days=560), draws=1)
    assert "head" in set(found.by_kind["part_kind"])


def test_where_a_review_told_no_dates_its_level_is_ordered_up_to() -> None:
    wiper = PartType("wiper")
    level = Level(target=3, least_cost=3, usable=9, pack_size=2, chances=np.array([0.5, 0.5]))
    advice = DatedAdvice(wiper, [0, 30], OrderDates(BEGAN, {}), 2, StockAdvice([0, 30], {0: level}))
    assert [advice.order(day, 0) for day in (0, 20, 30)] == [4, 4, 0]


def test_nothing_written_down_later_changes_what_is_advised_on_a_day(
    simulated: tuple[Records, date],
) -> None:
    records, _ = simulated
    first, reviews = date(2024, 1, 1), [300, 390]
    early = first + timedelta(days=392)
    then, now = (
        advised(known, first, reviews, {PartType("head"): [320]})
        for known in (records.known_at(early), records)
    )
    for day in reviews:
        was, level = (known.levels[PartType("wiper")][day] for known in (then, now))
        assert (was.target, was.usable) == (level.target, level.usable)
        assert was.chances == pytest.approx(level.chances)
    for day in (310, 330, 391):
        assert then.habits[PartType("head")].order(day, 1) == now.habits[PartType("head")].order(
            day, 1
        )
        assert then.habits[PartType("head")].look_again(day, 1) == now.habits[
            PartType("head")
        ].look_again(day, 1)


def test_a_price_paid_later_changes_no_day_on_which_advice_was_told() -> None:
    records, as_of = one_wiper(*every(25, 20)), BEGAN + timedelta(days=560)
    dear = rows(
        "part_kind quantity ordered_on unit_cost",
        ("wiper", 1, str(as_of + timedelta(days=1)), 9000.0),
    )
    later = records.with_table("orders", dear)
    assert PastAdvice.of(later, as_of).days == PastAdvice.of(records, as_of).days
    # Known by then, it would: a costly part is dated on each day on which one is used.
    known = PastAdvice.of(later, as_of + timedelta(days=1)).days
    assert len(known) > len(PastAdvice.of(records, as_of + timedelta(days=1)).days)


def test_the_same_records_give_the_same_answer_and_the_same_deliveries_to_all(
    simulated: tuple[Records, date],
) -> None:
    records, as_of = simulated
    advice = advice_of(records, as_of)
    first = advice_cost(records, as_of, advice=advice, draws=2)
    again = advice_cost(records, as_of, advice=advice, draws=2)
    assert first.as_dict() == again.as_dict()
    # An advice that keeps one of each is the habit of keeping one of each.
    kept_one = advice_cost(records, as_of, advice=advice.keeping(lambda level: 1), draws=2)
    own = kept_one.by_kind.set_index(["part_kind", "policy"])["money"]
    assert own["wiper", ADVICE] == own["wiper", ONE]


def test_levels_told_every_second_month_cost_what_levels_told_on_each_review_cost() -> None:
    # A workshop whose failures are no longer few when scoring begins: there the level jumps.
    records, as_of = workshop(6, printers=3, days=540, kinds=("damper", "wiper"))
    reviews = list(review_days(records, date(2024, 1, 1), as_of))
    seldom, often = (
        advice_cost(records, as_of, advice=advice, draws=4)
        for advice in (
            advice_of(records, as_of),
            advised(records, date(2024, 1, 1), reviews),
        )
    )
    money = often.of(ADVICE).money
    assert seldom.of(ADVICE).money == pytest.approx(money, rel=0.1)
    assert seldom.of(ADVICE).downtime_days == pytest.approx(often.of(ADVICE).downtime_days, abs=1)
    assert seldom.service is not None
    assert often.service is not None
    # One cycle in twenty, of some thirty.
    assert seldom.service.kept_as_asked == pytest.approx(often.service.kept_as_asked, abs=0.05)


def test_review_cycles_that_share_days_count_less_in_the_limits_of_the_service() -> None:
    records, as_of = one_wiper(*every(25, 20)), BEGAN + timedelta(days=560)
    # Reviews of days 180, 270, … begin cycles of 92 days where a delivery takes two; those
    # with deliveries of 45 days last 135: ninety of them are their own.
    slow = records.with_table(
        "parts", records.parts.assign(lead_days=45, lead_days_late=45, belief_failures=1.0)
    )
    for one, apart in ((records, 90 / 92), (slow, 90 / 135)):
        found = advice_cost(one, as_of).service
        assert found is not None
        n, p, z = found.cycles * apart, found.kept_as_asked, 1.959964
        # Wilson's limits are where (p − limit)² = z² · limit · (1 − limit) / n.
        for limit in (found.lower, found.upper):
            off = (p - limit) ** 2 - z**2 * limit * (1 - limit) / n
            assert off == pytest.approx(0, abs=2e-3) or limit in (0.0, 1.0)


def test_over_several_workshops_the_advice_pays_and_the_service_is_kept() -> None:
    found = [
        one_workshop(seed, printers=2, days=450, kinds=("damper", "wiper"), draws=4)
        for seed in (1, 2)
    ]
    money = costs([one.as_advised for one in found])["money"]
    assert money[ADVICE] <= min(money[ONE], money[NONE])
    assert money[ADVICE] < 0.5 * max(money[ONE], money[NONE])
    cycles, exact, foretold, share = kept([one.as_advised for one in found])
    assert cycles >= 24
    # Two standard errors of a share of so many cycles come on top of the three points.
    assert abs(exact - 0.95) < 0.03 + 2 * np.sqrt(0.95 * 0.05 / cycles)
    assert abs(share - foretold) < 0.03 + 2 * np.sqrt(foretold * (1 - foretold) / cycles)
    assert foretold > 0.95  # whole pieces and packs


def test_a_stock_between_two_whole_numbers_is_a_share_of_each() -> None:
    level = Level(1, 0, 9, 1, np.array([0.5, 0.3, 0.2]))
    # 0.6 is reached by one piece in a third of the cycles and by none in the others.
    assert level.within(0.6, np.array([0, 1, 2, 7])) == pytest.approx([1, 1 / 3, 0, 0])
    # Right chances keep exactly what is asked for: 0.5 · 1 + 0.3 / 3 = 0.6.
    assert level.foretold(1) == pytest.approx(0.8)


def test_a_log_too_short_to_judge_says_so() -> None:
    found = advice_cost(one_wiper(*every(25, 5)), BEGAN + timedelta(days=200))
    assert found.policies == ()
    sentence = advice_sentence(found)
    assert "Too short a log to judge the orders: no pieces needed in 20 days" in sentence
    assert str(WARM_UP_DAYS) in sentence
    assert "Too short a log" in advice_sentence(advice_cost(Records(), BEGAN))
