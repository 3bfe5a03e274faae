"""Points of the normal law: right, and written down once in the whole program."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from scipy.special import ndtr

from tracker.models.normal import NORMAL_90, NORMAL_975

SOURCES = sorted((Path(__file__).parents[2] / "tracker").rglob("*.py"))


def test_so_much_of_the_normal_law_lies_below_each_point() -> None:
    assert ndtr([NORMAL_90, NORMAL_975]) == pytest.approx([0.9, 0.975], abs=1e-15)


def test_no_other_file_writes_these_points_down_again() -> None:
    wrote = [
        path.name
        for path in SOURCES
        if re.search(r"\b(1\.28[12]|1\.95996|ndtri\(0\.9)", path.read_text("utf-8"))
    ]
    assert wrote == ["normal.py"]
