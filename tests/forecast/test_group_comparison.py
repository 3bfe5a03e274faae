"""Which supplier's, lot's or ink's parts fail sooner: against published and made-up lives."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import BEGAN, rows, workshop
from tracker.errors import NotEnoughData
from tracker.forecast.group_comparison import (
    LEAST_FAILURES,
    GroupComparison,
    compare_groups,
    compare_suppliers,
)
from tracker.say.lives import groups as say
from tracker.workshop.records import Records

# Freireich et al. (1963), as in Klein and Moeschberger (2003): weeks to relapse, placebo and 6-MP.
PLACEBO = [1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23]
TREATED = [6, 6, 6, 6, 7, 9, 10, 10, 11, 13, 16, 17, 19, 20, 22, 23, 25, 32, 32, 34, 35]
TREATED_FAILED = [1, 1, 1, 0, 1, 0, 1, 0, 0, 1, 1, 0, 0, 0, 1, 1, 0, 0, 0, 0, 0]


def life_rows(
    age: list[float], failed: list[int], group: list[str], kind: str = "wiper"
) -> pd.DataFrame:
    """Rows as of ``life_table``, watched from new, failures exact to the day."""
    return pd.DataFrame(
        {
            "part_kind": kind, "variant": "", "ink": "", "entry": 0.0, "age": age,
            "last_ok": np.nan, "counted": True, "supplier": group,
            "outcome": ["failed" if one else "running" for one in failed],
        }
    )  # fmt: skip


def leukaemia() -> pd.DataFrame:
    return life_rows(
        [*PLACEBO, *TREATED], [1] * 21 + TREATED_FAILED, ["South"] * 21 + ["North"] * 21
    )


def test_observed_and_usual_failures_are_those_of_the_published_log_rank_test() -> None:
    # Placebo: 21 observed, 10.75 expected; 6-MP: 9 and 19.25; chi-square 16.8, p 0.00004
    # (R's survdiff on gehan, as printed in Therneau and Grambsch's and many other texts).
    found = compare_groups(leukaemia(), "supplier")
    assert found.groups.index.tolist() == ["South", "North"]
    assert found.groups["failed"].tolist() == [21, 9]
    assert found.groups["usual"].tolist() == pytest.approx([10.75, 19.25], abs=0.01)
    assert found.chance_alike == pytest.approx(4.17e-5, rel=0.02)
    assert found.worse == "South"
    assert say.answer(found, "wiper", "supplier") == (
        "Wiper blades from South fail sooner: 21 of 21 against 9 of 21 from North."
    )


def test_differences_are_added_up_within_kinds_so_that_a_short_lived_kind_accuses_nobody() -> None:
    # Both suppliers' dampers live 10 to 40 days and their heads ten times as long, all alike; North
    # sells mostly dampers. Pooled, North would look worse.
    lived = [10.0, 20.0, 30.0, 40.0]
    few, many = ["South"] * 4, ["North"] * 16
    dampers = life_rows(lived * 5, [1] * 20, few + many, "damper")
    heads = life_rows(
        [10 * age for age in lived * 5], [1] * 20, ["North"] * 4 + ["South"] * 16, "head"
    )
    both = pd.concat([dampers, heads], ignore_index=True)
    assert compare_groups(both, "supplier").worse == "North"
    fair = compare_groups(both, "supplier", stratified=True)
    assert fair.worse is None
    assert fair.groups["failed"].tolist() == pytest.approx(fair.groups["usual"].tolist())
    assert say.overall(fair).startswith("Over all kinds, no supplier’s parts are clearly worse: ")


def test_a_group_with_fewer_failures_than_three_is_not_named() -> None:
    age = [5.0, *[100.0 + n for n in range(30)]]
    lives = life_rows(age, [1] * 31, ["Odd", *["South"] * 30])
    found = compare_groups(lives, "supplier")
    assert found.groups.index[0] == "Odd"
    assert found.groups["failed"].iloc[0] < LEAST_FAILURES
    assert found.chance_alike < 0.05
    assert found.worse is None
    assert "no single one can be named" in say.answer(found, "wiper", "supplier")


def test_of_many_groups_alike_none_is_named_more_often_than_one_time_in_twenty() -> None:
    rng = np.random.default_rng(20261128)
    named = 0
    for _ in range(200):
        lives = life_rows(
            list(100 * rng.weibull(1.5, 80)), [1] * 80, [f"S{n % 8}" for n in range(80)]
        )
        named += compare_groups(lives, "supplier").worse is not None
    # 5 % of 200 is 10; the upper 99 % point of a binomial of that chance is 18.
    assert named <= 18


def test_fewer_failed_only_because_watched_for_less_long_is_told_beside_the_usual() -> None:
    frame = pd.DataFrame(
        {"lives": [40, 50], "failed": [12, 20], "usual": [5.0, 27.0], "chance_alike": 0.001},
        index=["North", "South"],
    )
    said = say.answer(GroupComparison(frame, 0.001), "wiper", "supplier")
    assert said == (
        "Wiper blades from North fail sooner: 12 of 40 failed where about 5 would be usual at "
        "their ages."
    )


def test_lives_of_one_group_are_refused_in_words() -> None:
    with pytest.raises(NotEnoughData, match="at least two groups"):
        compare_groups(life_rows([1.0, 2.0], [1, 1], ["North", "North"]), "supplier")


def of_suppliers(*fitted: tuple[str, str, str, str | None]) -> Records:
    """Printer A with wipers and caps: kind, supplier, from, to (failed then)."""
    return workshop(
        1,
        fittings=rows(
            "printer part_kind position fitted_on removed_on removal_reason supplier",
            *(
                ("A", kind, kind, start, end, "failed" if end else "", supplier)
                for kind, supplier, start, end in fitted
            ),
        ),
    )


def test_suppliers_of_different_parts_are_not_compared() -> None:
    records = of_suppliers(
        ("wiper", "North", BEGAN, "2025-03-01"), ("cap", "South", BEGAN, "2025-09-01")
    )
    found = compare_suppliers(records, date(2026, 1, 1))
    assert found is None
    assert say.overall(found).startswith("Suppliers cannot be compared yet: ")


def test_only_what_was_known_on_the_day_is_compared() -> None:
    records = of_suppliers(
        ("wiper", "North", "2025-01-01", "2025-02-01"),
        ("wiper", "South", "2025-02-01", "2025-06-01"),
        ("wiper", "North", "2025-06-01", "2025-07-01"),
    )
    early = compare_suppliers(records, date(2025, 5, 1))
    late = compare_suppliers(records, date(2025, 12, 1))
    assert early is not None
    assert late is not None
    assert (early.failures, late.failures) == (1, 3)


def with_a_lot(*, south: int = 400, south_failed: int = 3) -> Records:
    """Wipers of two suppliers, 14 each, in places of their own: three of North's failed at 400 days
    and a little more, so did South's unless told otherwise; and 16 of South's lot BAD within weeks.
    """
    day, fitted = pd.Timestamp(BEGAN), []
    for number in range(14):
        for seller, lived, failed in (("South", south, south_failed), ("North", 400, 3)):
            age = lived + 10 * number if number < failed else None
            fitted.append((f"{seller}{number}", age, seller, ""))
    fitted += [(f"Lot{number}", 20 + number, "South", "BAD") for number in range(16)]
    return workshop(
        1,
        fittings=rows(
            "printer part_kind position fitted_on removed_on removal_reason supplier batch",
            *(
                ("A", "wiper", place, str(day.date()),
                 None if age is None else str((day + pd.Timedelta(days=age)).date()),
                 "" if age is None else "failed", seller, lot)
                for place, age, seller, lot in fitted
            ),
        ),
    )  # fmt: skip


def suppliers_of(records: Records) -> GroupComparison:
    found = compare_suppliers(records, (pd.Timestamp(BEGAN) + pd.Timedelta(days=600)).date())
    assert found is not None
    return found


def test_a_supplier_is_not_advised_against_for_one_bad_lot() -> None:
    found = suppliers_of(with_a_lot())
    assert found.worse == "South"
    (lot,) = found.bad_lots
    assert (lot.part_kind, lot.batch, lot.failed) == ("wiper", "BAD", 16)
    # At each of its failures 16, 15, … of 44, 43, … wipers watched were of the lot.
    assert lot.usual == pytest.approx(sum((16 - k) / (44 - k) for k in range(16)))
    assert found.to_avoid is None
    assert found.rest is not None
    # Without the lot both lived alike, pair by pair: each as many as usual.
    assert found.rest.groups["usual"].tolist() == pytest.approx([3, 3])
    said = say.overall(found)
    assert "that includes wiper blade lot BAD (16 failed, usual 3.5)" in said
    assert "and without it 3 where 3 is usual: no difference beyond chance" in said


def test_a_supplier_worse_even_without_its_bad_lot_is_still_advised_against() -> None:
    found = suppliers_of(with_a_lot(south=120, south_failed=14))
    assert found.worse == "South"
    assert found.bad_lots
    assert found.to_avoid == "South"
    assert "and without it still 14 where" in say.overall(found)
