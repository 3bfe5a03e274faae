"""From records to the posterior of every part kind."""

from datetime import date

import numpy as np
import pandas as pd
import pytest

from tracker.forecast.need import ACCIDENT_LIVES, LEAST_BELIEF, need_models
from tracker.models.life_model.pooling import PooledPosterior
from tracker.models.life_model.posterior import LifeBelief, LifePosterior
from tracker.workshop.records import Records

AS_OF = date(2025, 6, 30)


def day(text: str) -> pd.Timestamp:
    return pd.Timestamp(text)


def records(fittings: list[dict[str, object]], **tables: pd.DataFrame) -> Records:
    printers = pd.DataFrame(
        {
            "printer": ["Ada", "Bob"],
            "started_on": [day("2024-01-01"), day("2024-06-01")],
            "head_type": ["six", "eight"],
        }
    )
    frame = pd.DataFrame(fittings)
    return Records.of({"printers": printers, "fittings": frame, **tables})


def fitting(
    part_kind: str, position: str, fitted: str, removed: str = "", reason: str = "", **more: object
) -> dict[str, object]:
    return {
        "printer": "Ada",
        "part_kind": part_kind,
        "position": position,
        "fitted_on": day(fitted) if fitted else pd.NaT,
        "removed_on": day(removed) if removed else pd.NaT,
        "removal_reason": reason,
        **more,
    }


WIPERS = [
    fitting("wiper", "wiper", "2024-01-01", "2024-05-10", "failed"),
    fitting("wiper", "wiper", "2024-05-10", "2024-08-01", "accident"),
    fitting("wiper", "wiper", "2024-08-01", "2024-12-01", "planned"),
    fitting("wiper", "wiper", "2024-12-01"),
]


def test_wear_takes_failures_and_accidents_only_say_it_lived_that_long() -> None:
    model = need_models(records(WIPERS), AS_OF)["wiper"]
    assert (model.failures, model.accidents, model.lives) == (1, 1, 4)
    age = [130, 83, 122, 211]
    wear = LifePosterior.from_lives(age, [1, 0, 0, 0], belief=LifeBelief(120))
    assert model.posterior().wear.survival(100) == pytest.approx(wear.survival(100))
    # One accident in 546 days and a belief of one per ten typical lives, by hand:
    assert model.accident.survival(365) == pytest.approx((1 + 365 / (1200 + 546)) ** -2)


def test_the_catalogue_says_what_is_believed() -> None:
    parts = pd.DataFrame(
        {"part_kind": ["wiper"], "typical_life_days": [60.0], "belief_failures": [4.0]}
    )
    model = need_models(records(WIPERS, parts=parts), AS_OF)["wiper"]
    assert model.posterior().wear.belief == LifeBelief(60, worth_failures=4)
    assert model.accident.belief.typical_life == 60 * ACCIDENT_LIVES


def test_a_belief_worth_no_failures_counts_a_little_so_that_there_is_a_forecast() -> None:
    parts = pd.DataFrame({"part_kind": ["wiper"], "belief_failures": [0.0]})
    model = need_models(records([], parts=parts), AS_OF)["wiper"]
    assert model.posterior().wear.belief.worth_failures == LEAST_BELIEF
    assert 0 < model.posterior().survival(120) < 1


def test_a_kind_in_the_catalogue_without_fittings_forecasts_from_belief() -> None:
    parts = pd.DataFrame({"part_kind": ["pump"]})
    model = need_models(records([], parts=parts), AS_OF)["pump"]
    assert (model.failures, model.lives, model.belief_share) == (0, 0, 1.0)
    # Half outlive a typical life by wear, and (1 + 1/10)^-1 of those escape accidents.
    assert model.posterior().survival(450) == pytest.approx(0.5 / 1.1)


def test_dampers_are_told_apart_by_ink_where_both_inks_were_seen() -> None:
    rows = [
        fitting("damper", "C", "2024-01-01"),
        fitting("damper", "W1", "2024-01-01", "2024-02-20", "failed"),
        fitting("damper", "W1", "2024-02-20", "2024-04-10", "failed"),
    ]
    model = need_models(records(rows), AS_OF)["damper"]
    assert model.group_by == "ink"
    assert isinstance(model.wear, PooledPosterior)
    assert model.groups == ("colour", "white")
    assert (model.group_of("W2"), model.group_of("K")) == ("white", "colour")
    assert model.posterior("white").quantile(0.5) < model.posterior("colour").quantile(0.5)
    one_ink = need_models(records(rows[1:]), AS_OF)["damper"]
    assert one_ink.group_by == ""
    assert one_ink.groups == ("",)


def test_before_any_failure_a_white_damper_is_believed_to_last_as_its_ink_lets_it() -> None:
    """The trade's guesses, common practice, no source: 150 days, in white ink 90."""
    both = [fitting("damper", place, "2025-06-29") for place in ("C", "W1")]
    model = need_models(records(both), AS_OF)["damper"]
    assert (model.facts.typical_life_days, model.facts.typical_life_white_days) == (150, 90)
    middle = {ink: float(model.posterior(ink).wear.quantile(0.5)) for ink in ("colour", "white")}
    # With next to nothing seen, the belief's own shape scales with the typical life.
    assert middle["white"] / middle["colour"] == pytest.approx(90 / 150, rel=0.02)
    for place, typical in (("C", 150), ("W1", 90)):
        alone = need_models(records([fitting("damper", place, "2025-06-29")]), AS_OF)["damper"]
        assert alone.posterior().wear.belief.typical_life == typical


def test_a_life_the_workshop_states_holds_for_both_inks() -> None:
    both = records([fitting("damper", place, "2025-06-29") for place in ("C", "W1")])
    stated = both.with_table(
        "parts", pd.DataFrame({"part_kind": ["damper"], "typical_life_days": [120.0]})
    )
    model = need_models(stated, AS_OF)["damper"]
    assert model.facts.typical_life_white_days == 120
    assert model.posterior("white").quantile(0.5) == pytest.approx(
        model.posterior("colour").quantile(0.5)
    )


def test_heads_are_told_apart_by_type_and_other_parts_are_not() -> None:
    rows = [
        fitting("head", "H1", "2024-01-01", "2024-09-01", "failed"),
        fitting("head", "H1", "2024-06-01") | {"printer": "Bob"},
        fitting("wiper", "wiper", "2024-01-01"),
        fitting("wiper", "wiper", "2024-06-01") | {"printer": "Bob"},
    ]
    models = need_models(records(rows), AS_OF)
    assert models["head"].group_by == "head_type"
    assert models["head"].group_of("H1", "eight") == "eight"
    assert models["wiper"].group_by == ""
    # A type never seen gets what the others say, less surely.
    new, seen = models["head"].posterior("ten"), models["head"].posterior("six")
    assert np.diff(np.log(new.quantile([0.1, 0.9]))) > np.diff(np.log(seen.quantile([0.1, 0.9])))


def test_what_is_not_known_by_then_does_not_count() -> None:
    before = need_models(records(WIPERS), date(2024, 4, 1))["wiper"]
    assert (before.failures, before.accidents, before.lives) == (0, 0, 1)


def test_fittings_no_model_can_use_are_counted_by_reason() -> None:
    rows = [*WIPERS, fitting("wiper", "wiper 2", "")]
    model = need_models(records(rows), AS_OF)["wiper"]
    assert model.lives == 4
    assert model.left_out == {"fitting day unknown": 1}


def test_the_waste_tank_has_a_model_and_says_that_a_level_decides() -> None:
    models = need_models(records([fitting("waste_tank", "waste", "2024-01-01")]), AS_OF)
    assert not models["waste_tank"].wears
    assert need_models(records(WIPERS), AS_OF)["wiper"].wears
