"""How lives end, in the words of the workshop, also where hardly anything failed."""

from __future__ import annotations

import re
from datetime import date
from itertools import pairwise

import pandas as pd
import pytest

from tests.decisions.workshops import rows, workshop
from tracker.forecast.life_summary import life_summary
from tracker.say.lives.summary import (
    life_sentence,
    may_have_failed,
    meaning,
    why_left_out,
    why_no_curve,
)
from tracker.workshop.records import Records

AS_OF = date(2025, 6, 30)


def with_wipers(*ends: tuple[str, str, str]) -> Records:
    """One printer whose wipers were fitted, removed and why."""
    fitted = [("A", "wiper", "wiper", *end) for end in ends]
    names = "printer part_kind position fitted_on removed_on removal_reason"
    return workshop(1).with_table("fittings", rows(names, *fitted))


@pytest.mark.parametrize(
    ("ends", "told"),
    [
        ([], "none seen yet"),
        ([("2025-01-01", "", "")], "the one watched has not"),
        (
            [("2025-01-01", "2025-03-01", "failed"), ("2025-03-01", "", "")],
            "1 failure in 2 lives",
        ),
    ],
)
def test_too_few_failures_are_told_without_a_word_of_the_program(
    ends: list[tuple[str, str, str]], told: str
) -> None:
    summary = life_summary(with_wipers(*ends), AS_OF, "wiper")
    assert summary.basis == "belief"
    assert (
        why_no_curve(summary.failures, summary.lives)
        == f"A curve of their own needs two failures; so far: {told}."
    )
    assert f"; {told}. Too few failures" in life_sentence(summary)
    for text in (why_no_curve(summary.failures, summary.lives), life_sentence(summary)):
        assert not re.search(
            r"[a-z]_[a-z]|[a-z]\.[A-Za-z]|[a-z][A-Z]|\bno (failures|lives)\b", text
        )


def test_a_failure_that_cannot_be_used_is_counted_beside_those_that_are_and_why() -> None:
    ends = [("", "2025-03-01", "failed"), ("2025-03-01", "2025-05-01", "failed")]
    summary = life_summary(with_wipers(*ends, ("2025-05-01", "", "")), AS_OF, "wiper")
    assert "; 1 usable of 2 failures in 2 lives. Too few" in life_sentence(summary)
    assert why_left_out(summary) == "1 failure could not be used: fitting day unknown."
    known = life_summary(with_wipers(*ends[1:]), AS_OF, "wiper")
    assert (why_left_out(known), known.failures_left_out) == ("", 0)


def test_failures_that_fix_no_curve_are_not_called_too_few() -> None:
    assert "5 failures were seen, but at ages that do not fix a curve" in why_no_curve(5, 9)


def test_parts_that_wear_out_are_not_promised_that_a_planned_change_pays() -> None:
    months = [(f"2025-{m:02d}-01", f"2025-{m + 1:02d}-01", "failed") for m in range(1, 6)]
    summary = life_summary(with_wipers(*months), AS_OF, "wiper")
    assert meaning(summary).startswith("They wear out: the older, the likelier to fail.")
    assert "Whether replacing them on schedule pays hangs on the money" in meaning(summary)
    assert "can pay" not in life_sentence(summary)


def test_two_failures_of_like_age_show_no_wear_though_the_usual_limits_say_so() -> None:
    ends = [("2025-01-01", "2025-03-01", "failed"), ("2025-03-01", "2025-05-05", "failed")]
    summary = life_summary(with_wipers(*ends), AS_OF, "wiper")
    assert summary.failures == 2
    assert summary.shape_lower > 1, "likelihood-ratio limits (Meeker & Escobar, 1998)"
    assert summary.shape_few[0] < 1
    assert summary.reading == "cannot tell"
    assert meaning(summary) == (
        "Too few failures to tell wear from chance: with so few, the limits of the shape are too "
        "narrow."
    )


def test_ends_that_may_have_been_failures_are_said_to_bend_the_lives() -> None:
    days = pd.date_range("2025-01-01", periods=9, freq="19D").strftime("%Y-%m-%d")

    def told(*reasons: str) -> str:
        ends = [*zip(days, days[1:], reasons, strict=False), (days[-1], "", "")]
        return may_have_failed(life_summary(with_wipers(*ends), AS_OF, "wiper"))

    failed = ["failed"] * 3
    assert told(*failed, *["unknown"] * 5).startswith("Why 5 of the 8 parts came out nobody")
    assert told(*failed, *["unknown"] * 4, "failed") == ""
    # All at one age: that is a practice, which the forecasts know of.
    assert told(*failed, *["planned"] * 5) == ""
    uneven = [pd.Timestamp("2025-01-01") + pd.Timedelta(days=6 * n * n) for n in range(6)]
    ends = [(str(a.date()), str(b.date()), "planned") for a, b in pairwise(uneven)]
    by_eye = may_have_failed(life_summary(with_wipers(*ends), AS_OF, "wiper"))
    assert by_eye.startswith("5 of the 5 parts that came out were changed by plan, at no steady")
