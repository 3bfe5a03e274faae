"""New dampers with a new head: by hand, each part at its age and in its printer."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from scipy.special import erfc

from tests.decisions.workshops import BEGAN, rows, setting, workshop
from tests.forecast.known_lives import draws_of, one_known_life
from tracker.decisions.changed_along import changes_along
from tracker.decisions.failure_cost import FailureCosts
from tracker.forecast.fitted_lives import fit_lives
from tracker.workshop.records import Records

AS_OF = date(2025, 6, 30)
PARTS = "part_kind unit_cost typical_life_days belief_failures hours_to_change replaced_with"
FITTED = "printer part_kind position fitted_on age_guess_days"
# Dampers of shape 2 and scale 100: the mean is 100·Γ(1.5) = 88.623 days; one of 50 days has
# 100·(√π/2)·erfc(0.5)·exp(0.25) = 54.564 left, one of 20 days
# 100·(√π/2)·erfc(0.2)·exp(0.04) = 71.697.
NEW, LEFT_AT_50, LEFT_AT_20 = 88.623, 54.564, 71.697


def made(*fitted: tuple[object, ...], damper_cost: float = 9.0) -> Records:
    """Dampers fitted on these days beside a head in printer A."""
    catalogue = rows(
        PARTS, ("head", 600.0, 365.0, 1.0, 3.0, ""),
        ("damper", damper_cost, 120.0, 5.0, 0.3, "head"),
    )  # fmt: skip
    own = rows(FITTED, ("A", "head", "H1", BEGAN, None), *fitted)
    return workshop(
        1, "C M Y K", parts=catalogue, fittings=own, settings=setting(margin_per_hour=40)
    )


def failing(records: Records, kind: str = "damper") -> float:
    """A failure with a spare on the shelf."""
    costs = FailureCosts.of(records.known_at(AS_OF), AS_OF)
    return costs.of_kind(kind, spare_on_shelf=True).total


AT_50, AT_20 = "2025-05-11", "2025-06-10"


def test_the_set_is_worth_its_pieces_each_at_its_age() -> None:
    records = made(("A", "damper", "C", AT_50, None), ("A", "damper", "M", AT_20, None))
    (got,) = changes_along(
        records, AS_OF, fitted=one_known_life(fit_lives(records, AS_OF), 2.0, 100.0)
    )
    used = (1 - LEFT_AT_50 / NEW) + (1 - LEFT_AT_20 / NEW)
    assert (got.part_kind, got.with_kind, got.pieces, got.piece_cost) == ("damper", "head", 2, 9)
    assert got.saving == pytest.approx(failing(records) * used - 2 * 9, rel=1e-3)
    assert (got.saving_p10, got.saving_p90) == pytest.approx((got.saving, got.saving))
    assert got.chance_it_pays in (0.0, 1.0)


def test_a_damper_is_changed_with_the_head_only_once_it_is_worn() -> None:
    records = made(("A", "damper", "C", AT_50, None))
    known = one_known_life(fit_lives(records, AS_OF), 2.0, 100.0)
    (got,) = changes_along(records, AS_OF, fitted=known)
    assert got.pays
    # At the age from which it pays the hand calculation says what the piece costs.
    age = got.from_age[""] / 100
    left = 100 * np.sqrt(np.pi) / 2 * erfc(age) * np.exp(age**2)
    assert failing(records) * (1 - left / NEW) == pytest.approx(9, abs=0.3)
    dear = made(("A", "damper", "C", AT_50, None), damper_cost=400.0)
    (got,) = changes_along(dear, AS_OF, fitted=replace(known, known=dear.known_at(AS_OF)))
    assert not got.pays
    assert got.saving == pytest.approx(failing(dear) * (1 - LEFT_AT_50 / NEW) - 400, rel=1e-3)


def test_a_part_without_wear_is_never_changed_along() -> None:
    records = made(("A", "damper", "C", AT_50, None))
    known = one_known_life(fit_lives(records, AS_OF), 1.0, 100.0)
    (got,) = changes_along(records, AS_OF, fitted=known)
    assert (got.pays, got.from_age) == (False, {"": np.inf})
    assert got.saving == pytest.approx(-9, abs=1e-3)
    # What tips the balance is the loss as a share of what losing the head costs.
    assert got.enough_harm == pytest.approx(9 / failing(records, "head"), rel=1e-3)


def test_white_and_colour_are_told_apart() -> None:
    records = made(("A", "damper", "W1", AT_50, None), ("A", "damper", "C", AT_20, None))
    (got,) = changes_along(records, AS_OF)
    assert got.median_age == {"white": 50.0, "colour": 20.0}
    assert set(got.from_age) == {"colour", "white"}


def test_each_type_of_head_is_answered_with_its_own_printers() -> None:
    records = workshop(2, "C M Y K")
    fittings = records.fittings
    beside = (fittings["printer"] == "B") & fittings["position"].isin(["Y", "K"])
    printers = records.printers.assign(head_type=["large head", "small head"])
    records = records.with_table("fittings", fittings[~beside]).with_table("printers", printers)
    got = changes_along(records, AS_OF)
    assert [(pair.with_variant, pair.pieces) for pair in got] == [
        ("large head", 4), ("small head", 2),
    ]  # fmt: skip


def test_an_age_that_nobody_wrote_down_counts_as_the_ages_it_may_have() -> None:
    # Guessed at 200 days when the log began, and worked on since: older than any that was fitted
    # new, so that a new one instead is worth more.
    unknown = made(("A", "damper", "C", None, 200.0))
    young = made(("A", "damper", "C", AT_20, None))
    both = [
        (records, one_known_life(fit_lives(records, AS_OF), 2.0, 100.0))
        for records in (unknown, young)
    ]
    old, new = (changes_along(records, AS_OF, fitted=known)[0] for records, known in both)
    assert old.median_age[""] > 200
    assert old.saving > new.saving + 5


def test_nothing_goes_along_where_no_such_pair_is_fitted() -> None:
    alone = workshop(1, "C").with_table("parts", rows(PARTS, ("damper", 9.0, 120.0, 5.0, 0.3, "")))
    assert changes_along(alone, AS_OF) == ()
    assert changes_along(Records(), AS_OF) == ()


def test_a_fleet_is_answered_by_parts_that_stand_for_all() -> None:
    # 40 printers with two dampers each of the same two ages: 60 of them say what one printer says.
    names = [f"P{number:02d}" for number in range(40)]
    fitted = [
        (name, *part)
        for name in names
        for part in (
            ("head", "H1", BEGAN, None), ("damper", "C", AT_50, None), ("damper", "M", AT_20, None),
        )
    ]  # fmt: skip
    records = made().with_table("fittings", rows(FITTED, *fitted)).with_table(
        "printers", rows("printer started_on", *((name, BEGAN) for name in names))
    )  # fmt: skip
    known = one_known_life(fit_lives(records, AS_OF), 2.0, 100.0)
    (got,) = changes_along(records, AS_OF, fitted=known)
    used = (1 - LEFT_AT_50 / NEW) + (1 - LEFT_AT_20 / NEW)
    assert got.saving == pytest.approx(failing(records) * used - 2 * 9, rel=0.02)
    assert draws_of(known).unit.shape[1] == 40


def test_of_two_heads_each_takes_its_share_along() -> None:
    dampers = [("A", "damper", place, AT_50, None) for place in "CM"]
    records = made(*dampers, ("A", "head", "H2", BEGAN, None))
    (got,) = changes_along(
        records, AS_OF, fitted=one_known_life(fit_lives(records, AS_OF), 2.0, 100.0)
    )
    assert got.pieces == 1
    assert got.saving == pytest.approx(failing(records) * (1 - LEFT_AT_50 / NEW) - 9, rel=1e-3)
