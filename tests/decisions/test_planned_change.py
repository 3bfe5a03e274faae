"""Changing by age and changing along: by hand, and against the one-part answer."""

from __future__ import annotations

from datetime import date
from types import SimpleNamespace

import numpy as np
import pytest

from tests.decisions.workshops import BEGAN, rows, setting, workshop
from tracker.decisions.failure_cost import FailureCost, FailureCosts
from tracker.decisions.planned_change import changes_along, planned_ages, remaining_life
from tracker.decisions.replacement_age import best_age, co_replacement_pays
from tracker.forecast.need import need_models
from tracker.models.life_model.nodes import LifeNodes
from tracker.workshop.records import Records

AS_OF = date(2025, 6, 30)
PARTS = "part_kind unit_cost typical_life_days belief_failures hours_to_change replaced_with"


def cost_of(records: Records, kind: str) -> FailureCost:
    """A failure with a spare on the shelf."""
    return FailureCosts.of(records.known_at(AS_OF), AS_OF).of_kind(kind, spare_on_shelf=True)


def parts(damper_cost: float = 9.0, life: float = 120.0) -> object:
    return rows(
        PARTS, ("head", 600.0, 365.0, 1.0, 3.0, ""), ("damper", damper_cost, life, 5.0, 0.3, "head")
    )


def made(**catalogue: float) -> Records:
    return workshop(
        2,
        "C M Y K",
        parts=parts(**catalogue),
        settings=setting(margin_per_hour=40),  # type: ignore[arg-type]
    )


# A white damper that wore out month by month beside a colour one that lives.
WORN_WHITE = rows(
    "printer part_kind position fitted_on removed_on removal_reason",
    *(("A", "damper", "W1", f"2025-{m:02d}-01", f"2025-{m + 1:02d}-01", "failed")
      for m in range(1, 5)),
    ("A", "damper", "W1", "2025-05-01", None, ""),
    ("A", "damper", "C", BEGAN, None, ""),
    ("A", "head", "H1", BEGAN, None, ""),
)  # fmt: skip


def test_remaining_life_is_that_of_the_hand_calculation() -> None:
    # Shape 2 and scale 100: mean 100·Γ(1.5) = 88.623, mean remaining life at 50
    # 100·(√π/2)·erfc(0.5)·exp(0.25) = 54.564.
    nodes = LifeNodes.of([1.0], shape=[2.0], rate=[1.0], unit=100)
    share = remaining_life(nodes, np.array([50.0]), typical_life=120)
    assert share[0] == pytest.approx(54.564 / 88.623, rel=1e-4)


@pytest.mark.parametrize("shape", [0.5, 1.0, 4.0])
def test_without_memory_nothing_is_used_up_and_wear_decides_the_direction(shape: float) -> None:
    nodes = LifeNodes.of([1.0], shape=[shape], rate=[1.0], unit=100)
    share = remaining_life(nodes, np.array([20.0, 60.0]), typical_life=100)[0]
    assert np.sign(round(1 - share, 6)) == np.sign(shape - 1)


def test_the_set_is_worth_its_pieces_each_at_its_age() -> None:
    records = made()
    (got,) = changes_along(records, AS_OF)
    age = (AS_OF - date.fromisoformat(BEGAN)).days
    posterior = need_models(records, AS_OF)["damper"].posterior("colour")
    failing = cost_of(records, "damper").total
    one = co_replacement_pays(posterior, age, 9.0, failing)
    assert (got.part_kind, got.with_kind, got.pieces) == ("damper", "head", 4)
    assert got.saving == pytest.approx(4 * one.saving, rel=1e-4)
    # The nodes are right on average; a chance is told from many lives.
    fine = co_replacement_pays(
        SimpleNamespace(nodes=lambda: posterior.points(2048)), age, 9.0, failing
    )
    assert got.chance_it_pays == pytest.approx(fine.chance_it_pays, abs=0.01)
    assert got.from_age == {"": one.from_age}
    assert got.median_age == {"": age}
    assert got.saving_p10 <= got.saving <= got.saving_p90


def test_dear_parts_stay_in_and_cheap_ones_go_out_with_the_head() -> None:
    (dear,) = changes_along(made(damper_cost=400.0), AS_OF)
    assert not dear.pays
    assert dear.chance_it_pays < 0.1
    # What tips the balance is the loss as a share of what losing the head costs.
    lost = cost_of(made(damper_cost=400.0), "head").total
    assert dear.enough_harm == pytest.approx(-dear.saving / lost)
    worn = made(damper_cost=0.5).with_table("fittings", WORN_WHITE)
    (cheap,) = changes_along(worn, AS_OF)
    assert cheap.pays
    assert cheap.chance_it_pays > 0.7
    assert cheap.enough_harm == 0


def test_white_and_colour_are_answered_apart_and_added_up() -> None:
    records = made().with_table("fittings", WORN_WHITE)
    (got,) = changes_along(records, AS_OF)
    models = need_models(records, AS_OF)["damper"]
    failing = cost_of(records, "damper").total
    apart = [
        co_replacement_pays(models.posterior(group), age, 9.0, failing).saving
        for group, age in (("colour", 180), ("white", 60))
    ]
    assert set(got.from_age) == {"colour", "white"}
    assert got.from_age["white"] < got.from_age["colour"]
    assert got.saving == pytest.approx(sum(apart), rel=1e-3)


def test_the_range_of_white_and_colour_together_is_that_of_what_they_share() -> None:
    records = made().with_table("fittings", WORN_WHITE)
    (got,) = changes_along(records, AS_OF)
    model = need_models(records, AS_OF)["damper"]
    failing = cost_of(records, "damper").total
    white, colour = (
        got.pieces
        / 2
        * (failing * (1 - remaining_life(model.posterior(group).points(2048), ages, 120)) - 9)
        for group, ages in (("white", np.array([60.0])), ("colour", np.array([180.0])))
    )
    # Independent: each group's lives in an order of their own. Alike: the best with the best.
    independent = white + np.random.default_rng(1).permutation(colour)
    alike = np.sort(white) + np.sort(colour)
    width = got.saving_p90 - got.saving_p10
    apart, most = (np.subtract(*np.quantile(sums, [0.9, 0.1])) for sums in (independent, alike))
    assert 1.1 * apart < width < 1.02 * most
    expected = np.quantile(white + colour, [0.1, 0.9])
    assert [got.saving_p10, got.saving_p90] == pytest.approx(expected, abs=0.03 * width)


def test_nothing_goes_along_where_no_such_pair_is_fitted() -> None:
    alone = made().with_table("parts", rows(PARTS, ("damper", 9.0, 120.0, 5.0, 0.3, "")))
    assert changes_along(alone, AS_OF) == ()
    assert changes_along(Records(), AS_OF) == ()
    assert planned_ages(Records(), AS_OF).empty


def test_a_planned_age_is_given_for_every_kind_that_wears() -> None:
    table = planned_ages(made(), AS_OF)
    assert set(table["part_kind"]) == {"head", "damper", "wiper"}
    assert (table["planned"] < table["failing"]).all()
    assert table["chance_it_pays"].between(0, 1).all()
    # A failure that costs no more than a planned change is never planned away.
    same = planned_ages(made().with_table("settings", setting(margin_per_hour=0)), AS_OF)
    assert np.isinf(same["age"]).all()


def test_what_a_year_of_planned_changes_saves_is_given_with_its_range() -> None:
    dear = made().with_table("settings", setting(margin_per_hour=2000))
    table = planned_ages(dear, AS_OF).set_index("part_kind")
    row = table.loc["head"]
    found = best_age(need_models(dear, AS_OF)["head"].posterior(""), row["planned"], row["failing"])
    assert row["per_year"] == pytest.approx(
        365.25 * found.saving * found.run_to_failure_rate, rel=1e-6
    )
    # No failure is seen: a loss is as well possible as thrice the saving.
    assert row["per_year_p10"] < 0 < row["per_year"] < row["per_year_p90"]
    assert (table["per_year_p10"] <= table["per_year_p90"]).all()
    kept = table[np.isinf(table["age"])]
    assert not kept[["per_year", "per_year_p10", "per_year_p90"]].any(axis=None)


def test_a_single_part_in_use_has_a_group_like_any_other() -> None:
    fitted = rows(
        "printer part_kind position fitted_on",
        ("A", "damper", "C", BEGAN),
        ("A", "head", "H1", BEGAN),
    )
    (got,) = changes_along(made().with_table("fittings", fitted), AS_OF)
    assert list(got.median_age) == list(got.from_age) == [""]


def test_one_kind_asked_for_is_answered_as_among_all() -> None:
    records = made().with_table("fittings", WORN_WHITE)
    every = planned_ages(records, AS_OF)
    one = planned_ages(records, AS_OF, "damper")
    assert one.equals(every[every["part_kind"] == "damper"].reset_index(drop=True))
    both = changes_along(records, AS_OF)
    assert both == changes_along(records, AS_OF, "damper") == changes_along(records, AS_OF, "head")
    assert changes_along(records, AS_OF, "wiper") == ()
