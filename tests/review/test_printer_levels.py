"""A printer that is harder on its parts than the others is named from part failures."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest

from tests.bench import drift_study
from tests.bench.life_model_study import World
from tests.decisions.workshops import rows, setting
from tracker.forecast.fitted_lives import fit_lives
from tracker.review.printer_levels import printer_levels
from tracker.say.monthly.findings import printers_sentence
from tracker.say.numbers import figure
from tracker.workshop.records import Records

BEGAN, LAST = pd.Timestamp("2024-01-01"), date(2026, 6, 30)


def lived(scales: dict[str, float], seed: int = 1) -> Records:
    """Three kinds of parts in four places each, Weibull lives of shape 1.8 and these scales."""
    rng = np.random.default_rng(seed)
    lines = []
    for printer, scale in scales.items():
        for place in range(12):
            day, end = 0.0, (pd.Timestamp(LAST) - BEGAN).days
            while day < end:
                out = day + max(1, round(scale * rng.weibull(1.8)))
                came = BEGAN + pd.Timedelta(days=day)
                gone = BEGAN + pd.Timedelta(days=out) if out <= end else None
                why = "failed" if gone is not None else ""
                lines.append((printer, f"kind {place % 3}", f"place {place}", came, gone, why))
                day = out
    return Records.of(
        {
            "printers": rows("printer started_on", *[(name, BEGAN) for name in scales]),
            "fittings": rows(
                "printer part_kind position fitted_on removed_on removal_reason", *lines
            ),
            "settings": setting(log_began_on="2024-01-01"),
        }
    )


def test_a_printer_whose_parts_last_half_as_long_is_named_with_its_factor() -> None:
    table = printer_levels(fit_lives(lived({"A": 200, "B": 100, "C": 200, "D": 200}), LAST))
    row = table.set_index("printer").loc["B"]
    assert table["printer"].iloc[0] == "B"
    assert table["harder"].tolist() == [True, False, False, False]
    # Half the scale is 2^1.8 = 3.5 times the hazard at the same age.
    assert row["lower"] < 2**1.8 < row["upper"]
    assert row["lower"] > 1.25
    told = printers_sentence(table)
    assert told.startswith("B is harder on its parts than the other printers: they fail there ")
    assert f"{row['failures']} failures so far" in told


def test_printers_that_are_alike_are_not_named() -> None:
    table = printer_levels(fit_lives(lived({"A": 150, "B": 150, "C": 150}), LAST))
    assert not table["harder"].any()
    told = printers_sentence(table)
    assert told.startswith("No printer is harder on its parts")
    most = table.loc[table["upper"].idxmax()]
    assert most["upper"] > 1.25
    hides = f"in {most['printer']} parts may fail up to {figure(most['upper'])} times as often"
    assert f"With {table['failures'].sum()} failures of all kinds" in told
    assert hides in told
    assert "can still hide" not in printers_sentence(table.assign(upper=1.2)), "nothing worth it"


def test_one_printer_has_no_other_to_be_compared_with() -> None:
    table = printer_levels(fit_lives(lived({"A": 150}), LAST))
    assert table.empty
    assert printers_sentence(table) == ""


@pytest.mark.parametrize("number", range(2))
def test_a_change_of_all_lives_names_no_printer(number: int) -> None:
    world: World = drift_study.CHANGED[0]
    last = drift_study.review_days(world)[-1]
    table = printer_levels(fit_lives(drift_study.simulated(world, number), last))
    assert not table["harder"].any()
