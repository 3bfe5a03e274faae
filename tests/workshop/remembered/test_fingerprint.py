"""Two values have one fingerprint only where everything in them is equal."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
import pytest

from tracker.workshop.remembered.fingerprint import fingerprint

VALUES = (
    None, 0, 0.0, "", "0", (), [], {}, (0,), ((0,),), ("ab",), ("a", "b"), {"a": 1}, {"a": 2},
    frozenset({1}), frozenset({1, 2}), np.zeros(3), np.zeros((3, 1)), np.zeros(3, np.int64),
    np.array(["a", "b"], dtype=object), np.array(["ab"], dtype=object),
    pd.Series([1.0]), pd.Series([1.0], index=[1]), pd.Series([1.0], name="a"),
    pd.DataFrame({"a": [1.0]}), pd.DataFrame({"b": [1.0]}), pd.Index([1.0]),
    pd.Timestamp("2026-01-01"), pd.NaT,
)  # fmt: skip


def test_different_values_have_different_fingerprints() -> None:
    assert len({fingerprint(value) for value in VALUES}) == len(VALUES)


def test_a_long_column_is_looked_at_whole() -> None:
    long = pd.Series(np.arange(1000))
    assert fingerprint(long) == fingerprint(long.copy())
    assert fingerprint(long) != fingerprint(long.where(long != 500, 0))


def test_what_may_differ_unseen_has_none() -> None:
    class Plain:
        pass

    with pytest.raises(TypeError, match="Plain"):
        fingerprint((1, Plain()))


def test_dataclasses_are_told_by_their_fields_and_kind() -> None:
    @dataclass
    class One:
        at: int

    @dataclass
    class Other:
        at: int

    assert fingerprint(One(1)) == fingerprint(One(1))
    assert len({fingerprint(each) for each in (One(1), One(2), Other(1))}) == 3
