"""What rows of changing exposure cannot tell, said in words."""

from __future__ import annotations

from tests.models.regression.test_cox import weekly
from tracker.models.regression import guard_warnings


def test_one_failure_concludes_nothing() -> None:
    rows = weekly(12, seed=46)
    first = rows["failed"] & (rows["failed"].cumsum() == 1)
    told = guard_warnings(rows.assign(failed=first), ["x_0"])
    assert any("One failure only" in sentence for sentence in told)
    assert guard_warnings(rows.assign(failed=False), ["x_0"]) == ()


def test_an_exposure_that_never_changes_is_said_to_rest_on_the_belief() -> None:
    rows = weekly(40, seed=61).assign(still=3.0)
    told = guard_warnings(rows, ["x_0", "still"])
    assert any(sentence.startswith("still does not change") for sentence in told)
    assert not any(sentence.startswith("x_0") for sentence in told)


def test_of_two_exposures_that_go_together_only_the_sum_is_told_and_that_is_said() -> None:
    rows = weekly(60, seed=62)
    rows["twin"] = 2 * rows["x_0"] + 1
    told = guard_warnings(rows, ["x_0", "twin"])
    assert any(sentence.startswith("twin goes together with") for sentence in told)


def test_an_exposure_that_parts_the_failures_from_the_rest_is_named() -> None:
    rows = weekly(40, seed=63)
    told = guard_warnings(rows.assign(marker=rows["failed"].astype(float)), ["x_0", "marker"])
    assert any("marker" in sentence and "one side" in sentence for sentence in told)
