"""What a task is worth over all its parts, in sentences: the break-even first."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from tests.decisions.routine.test_task_value import hand_worked, studied
from tracker.decisions.routine.task_value import TaskValue, compare_all
from tracker.decisions.routine.yearly_counts import Saving
from tracker.say import numbers
from tracker.say.maintenance.value import value_verdict as verdict
from tracker.say.maintenance.value.costs import cost_label
from tracker.say.maintenance.value.kind_value import kind_line, kinds_listing, part_line, worth
from tracker.say.maintenance.value.picture import marked_intervals, picture_sentence
from tracker.say.maintenance.value.task_value import (
    break_even_sentence,
    not_counted,
    together_sentence,
    value_lines,
    with_the_believed,
)
from tracker.say.maintenance.value.value_verdict import answer_in_short, value_verdict


def priced(every: float, instead: float, **costs: float) -> TaskValue:
    """The workshop worked out by hand, with other costs of a failure."""
    studies = hand_worked()
    kinds = []
    for one in studies.kinds:
        cost = costs.get(one.study.part_kind, one.cost.total)
        terms = (replace(one.cost.term("part"), amount=cost),)
        kinds.append(
            replace(
                one, cost=replace(one.cost, terms=terms), costs=np.full(len(one.costs), cost)
            )
        )  # fmt: skip
    return compare_all(replace(studies, kinds=tuple(kinds)), every, instead)


def without(value: TaskValue, *belief: str) -> TaskValue:
    """The same where of those kinds no failure was seen that could be used."""
    kinds = []
    for one in value.studies.kinds:
        fits = one.study.fits
        if one.study.part_kind in belief:
            fits = replace(fits, spread=0.0)
        kinds.append(replace(one, study=replace(one.study, fits=fits)))
    studies = replace(value.studies, kinds=tuple(kinds))
    return compare_all(studies, value.every_days, value.instead_of_days)


def test_the_break_even_comes_first_beside_what_is_counted_now() -> None:
    # 657.45 of work, 5.977 dampers and 0.5238 heads avoided; see the hand-worked saving. With 100
    # for a head 52.4 of it is earned, if belief is right: 101 a damper for the rest, else 110.
    said = value_verdict(priced(6, 60, damper=30.0, head=100.0))
    assert said.startswith(
        "Very likely no. Shake dampers, draw off air: every 6 days instead of every 60 days pays "
        "once one damper failure costs more than 110 €; counted now: 30 €. That leaves out "
        "failures of printhead, of which the log cannot tell: about 52 € a year is believed to "
        "be saved by them, and with that it pays once one damper failure costs more than 101 €. "
        "Known from the log, per printer and year: 6 fewer damper failures save about 180 €; the "
        "extra work costs about 660 €. Whatever the task prevents: all damper and printhead "
        "failures where it is done every 60 days cost about 310 € per printer and year (310 € to "
        "310 € in 8 of 10 cases), and the work between the two intervals costs 660 €. Prints "
        "spoiled without a failure are not in that. "
    )
    assert "under 1 % chance that it pays, about 430 € lost per printer and year" in said
    assert "The work is counted once: 660 € more per printer and year." in said


def test_less_work_pays_as_long_as_failures_are_cheap() -> None:
    less = priced(60, 6, damper=30.0, head=100.0)
    assert (
        "every 60 days instead of every 6 days pays as long as one damper failure costs less than "
        "110 €; counted now: 30 €."
    ) in break_even_sentence(less)
    assert (
        "about 52 € a year is believed to be lost by them, and with that it pays as long"
    ) in with_the_believed(less)
    assert with_the_believed(without(less, "head", "damper")) == "", "all of it is belief"
    assert "less per printer and year" in together_sentence(priced(60, 6))


def test_what_other_parts_pay_for_already_is_said_so() -> None:
    line = kind_line(*last(priced(6, 60, damper=200.0, head=500.0)))
    assert "All else as counted the change pays whatever one printhead failure costs" in line


def last(value: TaskValue) -> tuple[TaskValue, object]:
    return value, value.kinds[-1]


def test_every_kind_has_a_line_with_its_range_and_its_risk() -> None:
    value = compare_all(studied(), 7, 30)
    for one in value.kinds:
        assert re.match(
            r"(Damper|Printhead): [\d.]+ fewer failures per printer and year \([\d.]+ "
            r"(to|more to) [\d.]+( fewer)? in 8 of 10 cases\); the risk is 0\.\d+ times as high "
            r"\(95 % limits",
            kind_line(value, one),
        )
    back = compare_all(studied(), 30, 7)
    assert "more failures per printer and year" in kind_line(back, back.kinds[0])


def test_kinds_for_which_the_log_cannot_tell_are_named_with_the_rest_beside() -> None:
    value = without(priced(6, 60), "head")
    said = together_sentence(value)
    assert "The log cannot tell yet for printhead; left out: " in said
    # 179.3 saved by dampers less 657.5 of work.
    assert "about 480 € lost" in said.split("left out: ")[1]
    line = kind_line(value, value.kinds[1])
    assert "The log cannot tell yet: " in line
    assert "All else as counted" not in line


def test_where_there_is_only_belief_the_failures_to_avoid_are_said_instead() -> None:
    value = without(priced(6, 60), "head", "damper")
    # 657.45 / 500.
    assert break_even_sentence(value).endswith(
        "pays if it avoids 1.3 printhead failures per printer and year, at 500 € each."
    )
    assert together_sentence(value).endswith(
        "The log cannot tell yet for any of them: much of this is belief, and no saving can be "
        "promised."
    )
    back = without(priced(60, 6), "head", "damper")
    assert "pays if it brings no more than 1.3 printhead failures" in break_even_sentence(back)


def test_what_is_not_counted_is_said() -> None:
    value = compare_all(replace(studied(), not_watched=("cap",)), 7, 30)
    remarks = not_counted(value)
    assert any(remark.startswith("Not counted: drop-outs") for remark in remarks)
    assert any("a guess is taken to be off by 50 % or more" in remark for remark in remarks)
    assert "Capping station: protected too, but not watched long enough to be counted." in remarks
    along = "What one damper failure does to other parts is counted with those."
    full = value.kinds[0].effect.cost_of_failure
    assert (along in remarks) == any(term.name == "takes_along" for term in full.terms)


@pytest.mark.parametrize(("every", "instead"), [(7, 30), (30, 7)])
def test_the_lines_hold_the_best_interval_and_each_cost_term(every: float, instead: float) -> None:
    said = value_lines(compare_all(studied(), every, instead))
    assert any(line.startswith("Least cost: every ") for line in said)
    assert any("failures of all these parts are counted." in line for line in said)
    assert sum("failure with a spare on the shelf costs" in line for line in said) == 2


def test_the_answer_is_said_in_a_word_before_its_chance() -> None:
    value = compare_all(studied(), 7, 30)

    def word(chance: float, ends: tuple[float, float] = (-400.0, 400.0)) -> str:
        saving = Saving(0.0, *ends, chance)
        return together_sentence(replace(value, saving=saving)).split(":")[0]

    assert [word(chance) for chance in (0.03, 0.1, 0.5, 0.8, 0.97)] == [
        "Very likely no", "Probably no", "Too close to call", "Probably yes", "Very likely yes",
    ]  # fmt: skip
    # A quarter of an hour of work is worth more than a unit of money here.
    assert word(0.8, (-1.0, 1.0)) == "No difference that counts"
    assert together_sentence(without(priced(6, 60), "head", "damper")).startswith("Cannot tell yet")


def test_beside_the_answer_stands_its_chance_and_belief_is_called_so() -> None:
    told = priced(6, 60, damper=30.0, head=100.0)
    assert verdict.chance(told).startswith("Under 1 % chance that it pays, about 430 € lost per")
    nothing = without(priced(6, 60), "head", "damper")
    assert verdict.is_open(nothing)
    assert verdict.chance(nothing).startswith(
        "By belief, for the log tells of none of these parts: under 1 % chance that it pays, "
    )


def test_the_cost_of_a_failure_is_written_alike_wherever_it_stands() -> None:
    value = without(priced(6, 60, damper=4352.0), "damper", "head")
    assert "the damper: a failure costs 4 352 €" in verdict.reason(value)
    assert cost_label(value, value.kinds[0]).startswith("One damper failure: 4 352 €")
    assert "4 400 €" not in value_verdict(value)


def test_a_page_about_something_else_tells_the_same_verdict_or_nothing() -> None:
    value = compare_all(studied(), 7, 30)
    known = numbers.day(value.studies.as_of)
    assert answer_in_short(value) == f"Does it pay, as known on {known}? {value_verdict(value)}"
    assert answer_in_short(None) == ""


def test_what_a_kinds_failures_are_worth_is_told_without_the_work() -> None:
    value = priced(6, 60, damper=30.0, head=500.0)
    # 5.977 dampers at 30, 0.5238 heads at 500, all certain.
    assert worth(value, value.kinds[0]).startswith("180 € saved by that")
    assert worth(value, value.kinds[1]).startswith("260 € saved by that")
    back = priced(60, 6, damper=30.0, head=500.0)
    assert worth(back, back.kinds[0]).startswith("180 € lost by that")


def test_the_table_of_kinds_holds_failures_under_both_schedules() -> None:
    value = without(priced(6, 60, damper=30.0, head=500.0), "head")
    listing = kinds_listing(value)
    assert listing.heads[1:3] == ("every 60 days", "every 6 days")
    damper, head = listing.rows
    # 7.305 dampers a year every 60 days, 1.328 every 6.
    assert damper[:3] == ("Damper", "7.3", "1.3")
    assert damper[4] == "30 €"
    assert damper[5].endswith(": it can tell")
    assert head[5].endswith(": it cannot tell yet")


def test_failures_left_out_are_counted_in_the_same_words_wherever_they_are_told() -> None:
    value = priced(6, 60, damper=30.0, head=500.0)
    kinds = []
    for one in value.studies.kinds:
        study = replace(one.study, fits=replace(one.study.fits, failures_left_out=7))
        kinds.append(replace(one, study=study))
    value = compare_all(replace(value.studies, kinds=tuple(kinds)), 6, 60)
    for one, row in zip(value.kinds, kinds_listing(value).rows, strict=True):
        told = f"{one.effect.failures} usable of {one.effect.failures + 7} failures"
        assert row[5].startswith(told)
        for line in (kind_line(value, one), part_line(value, one)):
            assert "7 failures could not be used: before the first 35 days of the log" in line
            assert (told in line) != one.is_told


def test_the_picture_is_told_in_a_sentence_that_agrees_with_it() -> None:
    value = priced(6, 60, damper=30.0, head=500.0)
    stack = value.studies.cost_stack(6, 60)
    said = picture_sentence(value, stack)
    # Every 60 days: 6 · 365.25/300 · 30 + 365.25/400 · 500 + 12 · 365.25/60 = 748.8.
    assert "and 749 € every 60 days" in said
    assert value.not_told == ("head",)
    assert "Pale: printhead, of which the log cannot tell yet" in said
    assert "Pale" not in picture_sentence(without(value, "head", "damper"), stack)


@pytest.mark.parametrize(("sign", "more", "less"), [(-1, "more", "less"), (1, "less", "more")])
def test_what_is_expected_and_what_is_likely_are_told_apart_where_they_differ(
    sign: int, more: str, less: str
) -> None:
    value = priced(6, 60, damper=30.0, head=500.0)
    stack = value.studies.cost_stack(6, 60)

    def said(chance: float) -> str:
        saving = replace(value.saving, expected=40.0 * sign, chance_it_pays=chance)
        return picture_sentence(replace(value, saving=saving), stack)

    assert "Expected is the average" not in said(0.5 + 0.1 * sign)
    assert (
        f"by it every 6 days costs 40 € {more} than every 60 days, yet more likely than not it "
        f"costs {less} (60 %)."
    ) in said(0.5 - 0.1 * sign)


def test_intervals_that_make_no_real_difference_are_told() -> None:
    value = priced(6, 60, damper=30.0, head=500.0)
    stack = value.studies.cost_stack(6, 60)
    first, last = stack.alike(value.studies.least_cost.every_days)
    assert first < last
    assert f"No real difference from every {first:g} to every {last:g} days" in picture_sentence(
        value, stack
    )


def test_a_verdict_leaves_it_open_what_to_do_where_neither_side_is_likely() -> None:
    value = priced(6, 60)
    for chance, is_open in ((0.51, True), (0.9, False), (0.1, False)):
        saving = replace(value.saving, expected=50.0, p10=-900.0, p90=900.0, chance_it_pays=chance)
        assert verdict.is_open(replace(value, saving=saving)) == is_open


def test_the_marked_intervals_are_those_in_force_and_those_compared() -> None:
    value = compare_all(replace(studied(), now_days=(7.0, 15.0)), 7, 30)
    assert marked_intervals(value) == {
        "In force today: every 7 and 15 days": (7.0, 15.0),
        "Compared: every 7 days and every 30 days": (7.0, 30.0),
    }
    none = compare_all(replace(studied(), now_days=()), 7, 30)
    assert "In force today: none" in marked_intervals(none)


def test_work_that_costs_more_than_all_failures_cannot_pay_though_the_log_tells_nothing() -> None:
    # All failures at 60 days cost 219 for dampers and 91 for heads, the work 657.
    less = without(priced(6, 60, damper=30.0, head=100.0), "head", "damper")
    assert less.work_exceeds_all
    assert less.all_failures == pytest.approx((310.5,) * 3, rel=5e-3)
    said = value_verdict(less)
    assert said.startswith("Very likely no. ")
    assert "Whatever the task prevents: all damper and printhead failures" in said
    assert "belief, and no saving can be promised" not in said
    assert not verdict.is_open(less)
    # The other way round the work saved is worth more than all failures there can then be.
    saved = without(priced(60, 6, damper=30.0, head=100.0), "head", "damper")
    assert value_verdict(saved).startswith("Very likely yes. ")
    # A head of 500: all failures cost more than the work, and nothing is known again.
    more = without(priced(6, 60, head=500.0), "head", "damper")
    assert not more.work_exceeds_all
    assert value_verdict(more).startswith("Cannot tell yet. ")
