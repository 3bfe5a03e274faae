"""An estimate and its range are written alike, so that none stands outside of the other."""

from __future__ import annotations

import re
from functools import partial

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.app.test_maintenance_page import demo_value
from tracker.say import numbers
from tracker.say.maintenance.value.costs import cost_label

AMOUNTS = st.floats(0.01, 1e6)


def written(text: str) -> list[float]:
    """The amounts in a text, in the order they stand there."""
    plain = re.sub(r"(?<=\d) (?=\d{3})", "", text)
    return [float(found) for found in re.findall(r"\d+(?:\.\d+)?(?= €)", plain)]


@given(st.tuples(AMOUNTS, AMOUNTS, AMOUNTS))
def test_what_lies_within_its_range_is_written_within_it(three: tuple[float, ...]) -> None:
    low, estimate, high = sorted(three)
    for say in (numbers.money, numbers.about_money, partial(numbers.about_money, digits=3)):
        told = numbers.within(estimate, low, high, say)
        assert "mean" not in told
        amount, *limits = written(told.replace("8 of 10", ""))
        if limits:
            assert limits[0] <= amount <= limits[1], told


@given(st.tuples(AMOUNTS, AMOUNTS, AMOUNTS))
def test_a_mean_outside_its_range_is_called_one(three: tuple[float, ...]) -> None:
    low, high, estimate = sorted(three)
    told = numbers.within(estimate, low, high, numbers.money)
    amount, *limits = written(told.replace("8 of 10", ""))
    if limits:
        assert ("lift the mean" in told) == (amount > limits[1])


@pytest.mark.slow
def test_what_a_failure_is_counted_with_stands_within_its_range() -> None:
    value = demo_value()
    for one in value.kinds:
        amount, low, high = written(cost_label(value, one).replace("8 of 10", ""))
        assert low <= amount <= high
