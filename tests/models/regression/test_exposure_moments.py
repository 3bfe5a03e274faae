"""Exposures' means, covariances and what of one the others leave over."""

from __future__ import annotations

import numpy as np
import pytest

from tracker.models.regression.exposure_moments import ExposureMoments


def _columns(rows: int) -> tuple[dict[str, np.ndarray], np.ndarray]:
    rng = np.random.default_rng(20261129)
    first, noise = rng.normal(size=(2, rows))
    columns = {
        "first": first.astype(np.float32),
        "second": 2 * first + 0.5 * noise + 100,
        "still": np.full(rows, 7.1),
        "twin": 3 - first.astype(np.float32),
    }
    return columns, rng.choice([0.5, 3.0, 7.0], rows)


def test_rows_count_as_long_as_they_last() -> None:
    columns, days = _columns(40_000)  # more than one block of rows
    found = ExposureMoments.of(columns, days)
    table = np.array(list(columns.values()), dtype=np.float64)
    assert found.mean == pytest.approx(np.average(table, axis=1, weights=days))
    # numpy's own weighted covariance, of all rows at once.
    told = np.cov(table, aweights=days, ddof=0)
    assert found.covariance == pytest.approx(told, rel=1e-9, abs=1e-12)
    assert found.correlation[0, 1] == pytest.approx(told[0, 1] / np.sqrt(told[0, 0] * told[1, 1]))
    assert (found.least[3], found.largest[3]) == (table[3].min(), table[3].max())


def test_what_never_changes_explains_nothing_and_is_explained_by_nothing() -> None:
    found = ExposureMoments.of(*_columns(1000))
    assert found.changes.tolist() == [True, True, False, True]
    assert found.unexplained("first", ("still",)) == 1
    assert found.unexplained("still", ("first",)) == 1


def test_what_others_leave_over_is_the_rest_of_a_regression() -> None:
    columns, days = _columns(2000)
    found = ExposureMoments.of(columns, days)
    root = np.sqrt(days)
    design = np.column_stack([np.ones(len(days)), columns["first"]]) * root[:, None]
    _, rest, *_ = np.linalg.lstsq(design, columns["second"] * root, rcond=None)
    share = float(rest[0]) / days.sum() / found.covariance[1, 1]
    assert found.unexplained("second", ("first",)) == pytest.approx(share)
    # A twin of what is there already adds nothing.
    assert found.unexplained("second", ("first", "twin")) == pytest.approx(share)
    assert found.unexplained("twin", ("first",)) < 1e-9
