"""Cautions: short beside the work, in full on tap, only what the work touches."""

from __future__ import annotations

from tracker.say.cautions import cautions_in_full, cautions_in_short, last_word
from tracker.workshop import vocabulary as words
from tracker.workshop.parts.cautions import of_parts
from tracker.workshop.stoppage_causes import STOPPAGE_CAUSES, cautions_of


def test_cautions_beside_a_task_are_short() -> None:
    assert cautions_in_short(("carriage", "waste")) == "pull the plug first · waste by local rules"


def test_every_caution_but_the_last_word_has_its_short_form() -> None:
    keys = [key for key in words.CAUTIONS if key != "deference"]
    assert len(cautions_in_short(keys).split(" · ")) == len(cautions_in_full(keys)) == len(keys)


def test_the_last_word_is_with_codes_the_maker_and_qualified_people() -> None:
    for said in ("Local codes", "maker's instructions", "qualified people"):
        assert said in last_word()


def test_ribbon_and_nozzle_plate_are_named_only_where_they_are_touched() -> None:
    touched = {kind for kind in words.BUILT_IN_PART_KINDS if "ribbon" in of_parts([kind])}
    assert touched == {"head"}
    assert of_parts(["damper", "head"]) == ("carriage", "chemicals", "ribbon", "nozzle_plate")


def test_mains_heat_and_fumes_stand_beside_power_and_curing() -> None:
    assert cautions_of("power or electronics") == ("mains",)
    assert cautions_of("curing or powder") == ("mains", "heat", "fumes")
    assert cautions_of("the cat sat on it") == ("carriage",)
    assert {key for keys in STOPPAGE_CAUSES.values() for key in keys} <= set(words.CAUTIONS)
