"""Do lives end by days or by printed area? Told where the log can tell."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import rows, workshop
from tracker.forecast.life_scale import scale_finding
from tracker.say.lives.summary import days_or_area
from tracker.workshop.records import Records

TODAY = date(2025, 6, 1)


def worn_by_area() -> Records:
    """Wipers that last about 600 m², whatever the days, at printers that print 2 to 20 a day."""
    began = pd.Timestamp("2024-01-01")
    fittings, readings = [], []
    for printer, per_day in {"A": 2, "B": 5, "C": 10, "D": 20}.items():
        fitted, number = began, 0
        while fitted < pd.Timestamp(TODAY):
            lasts = (560 + 40 * (number % 3)) / per_day
            removed = fitted + pd.Timedelta(days=round(lasts))
            gone = removed < pd.Timestamp(TODAY)
            fittings.append(
                (printer, "wiper", "wiper", fitted, removed if gone else None,
                 "failed" if gone else "")
            )  # fmt: skip
            fitted, number = removed, number + 1
        days = pd.date_range(began, TODAY, freq="7D")
        readings += [(printer, day, per_day * (day - began).days) for day in days]
    names = "printer part_kind position fitted_on removed_on removal_reason"
    return Records.of(
        {
            "printers": rows("printer started_on", *((name, began) for name in "ABCD")),
            "fittings": rows(names, *fittings),
            "counters": rows("printer read_on area_m2", *readings),
        }
    )


def test_lives_that_end_by_area_are_told_from_those_that_end_by_days() -> None:
    assert scale_finding(worn_by_area(), TODAY, "wiper").favours == "area"


def test_lives_that_cannot_tell_say_why() -> None:
    finding = scale_finding(workshop(), TODAY, "wiper")
    assert (finding.favours, finding.choice) == ("cannot tell", None)
    assert "no failures have both an age in days and counter readings" in days_or_area(finding)


def standing_now_and_then(seed: int, shape: float) -> Records:
    """Dampers that age by days at six printers that stand for two to five months at times."""
    rng = np.random.default_rng(seed)
    began, span = pd.Timestamp("2022-12-14"), 900
    fittings: list[tuple[object, ...]] = []
    readings = []
    for printer in "ABCDEF":
        printed = np.where(np.arange(span) % 7 < 5, 8 * rng.lognormal(0, 0.3, span), 0.0)
        day = int(rng.integers(30, 200))
        while day < span:
            stands = int(rng.integers(60, 150))
            printed[day : day + stands] = 0
            day += stands + int(rng.integers(100, 220))
        total = np.concatenate([[0.0], np.cumsum(printed)])
        readings += [
            (printer, began + pd.Timedelta(days=day), total[day]) for day in range(0, span, 7)
        ]
        for channel in ("C", "M", "Y", "K", "W1", "W2"):
            fitted = 0
            while fitted < span:
                out = fitted + max(1, int(np.ceil(200 * rng.weibull(shape))))
                gone = out < span
                ends = (began + pd.Timedelta(days=out), "failed") if gone else (None, "")
                start = began + pd.Timedelta(days=fitted)
                fittings.append((printer, "damper", channel, start, *ends))
                fitted = out
    return Records.of(
        {
            "printers": rows("printer started_on", *((name, began) for name in "ABCDEF")),
            "fittings": rows(
                "printer part_kind position fitted_on removed_on removal_reason", *fittings
            ),
            "counters": rows("printer read_on area_m2", *readings),
        }
    )


@pytest.mark.parametrize("shape", [1.2, 2.5])
def test_what_fails_while_a_printer_stands_did_not_fail_by_area(shape: float) -> None:
    for seed in range(3):
        finding = scale_finding(standing_now_and_then(seed, shape), TODAY, "damper")
        assert finding.favours == "days"
        assert finding.choice is not None
        assert finding.choice.days.failures == finding.failures  # none is left out
