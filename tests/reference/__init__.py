"""Published data sets and expected values, read in one place for every test."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pandas as pd

FOLDER = Path(__file__).parent


def reference_data(name: str) -> pd.DataFrame:
    """The open data set of that file name."""
    return pd.read_csv(FOLDER / name)


def reference_case(case_id: str) -> dict[str, Any]:
    """The expected values of a case: name → value (see ``expected.json`` for sources)."""
    cases = json.loads((FOLDER / "expected.json").read_text(encoding="utf-8"))["cases"]
    for case in cases:
        if case["id"] == case_id:
            return {name: entry["value"] for name, entry in case["expected"].items()}
    raise KeyError(case_id)
