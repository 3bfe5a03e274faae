"""One printer beside the others: how long parts last in it, how often it stops."""

from __future__ import annotations

from datetime import date, timedelta

import pandas as pd
import pytest

from tests.decisions.workshops import rows
from tracker.review.printer_levels import printer_level
from tracker.workshop.records import Records

BEGAN, TODAY = date(2024, 1, 1), date(2026, 6, 30)
Life = tuple[str, str, str, str, str | None, str]


def lived(printer: str, position: str, days: int) -> list[Life]:
    """Wipers in one place that each fail at that age, one after the other."""
    found: list[Life] = []
    day = BEGAN
    while day + timedelta(days=days) <= TODAY:
        out = day + timedelta(days=days)
        found.append((printer, "wiper", position, str(day), str(out), "failed"))
        day = out
    return [*found, (printer, "wiper", position, str(day), None, "")]


def workshop(**days: int) -> Records:
    names = "printer part_kind position fitted_on removed_on removal_reason"
    lives = [row for name, age in days.items() for place in "AB" for row in lived(name, place, age)]
    return Records.of(
        {
            "printers": rows("printer started_on channels", *((n, str(BEGAN), "K") for n in days)),
            "fittings": rows(names, *lives),
        }
    )


def test_parts_that_live_half_as_long_are_told_to() -> None:
    records = workshop(Left=60, Middle=120, Right=120)
    level = printer_level(records, TODAY, "Left")
    assert level.lives is not None
    assert level.lives.level == 0.8
    # Half as long, a little pulled towards the others; the limits leave out 1.
    assert 0.4 < level.lives.estimate < 0.75
    assert level.lives.upper < 1
    # 911 days hold fifteen lives of sixty days, in two places.
    assert level.failures == 30


def test_alike_printers_are_told_alike() -> None:
    level = printer_level(workshop(Left=90, Right=90), TODAY, "Left")
    assert level.lives is not None
    assert level.lives.lower < 1 < level.lives.upper
    assert level.stoppages is None


def test_a_printer_alone_has_no_level() -> None:
    level = printer_level(workshop(Left=90), TODAY, "Left")
    assert level.lives is None
    assert level.stoppages is None


def test_the_rate_of_stoppages_is_that_of_open_days() -> None:
    stops = [("Left", f"2026-0{month}-05 09:00") for month in range(1, 7)]
    stops += [("Right", "2026-01-07 09:00"), ("Right", "2024-01-05 08:00")]
    frame = pd.DataFrame(stops, columns=["printer", "began_at"])
    frame["began_at"] = pd.to_datetime(frame["began_at"])
    frame["ended_at"] = frame["began_at"] + pd.Timedelta(hours=2)
    closed = rows("began_on ended_on printer", ("2026-02-01", "2026-05-13", "Right"))
    records = workshop(Left=90, Right=90)
    records = records.with_table("stoppages", frame).with_table("closures", closed)
    level = printer_level(records, TODAY, "Left").stoppages
    assert level is not None
    # Of the last 365 days Right was closed on 102: one stoppage on 263 days, six on 365.
    assert level.here == 6
    assert level.usual == pytest.approx(365 / 263)
    assert level.ratio.estimate == pytest.approx(6 / 365 * 263)
    # Clopper & Pearson's limits of six in seven at 80 %: the shares s at which six or more of seven
    # have a chance of 10 % (7 s^6 - 6 s^7), and all but the seventh one of 10 % (1 - s^7).
    low, high = (
        ratio * 365 / 263 / (1 + ratio * 365 / 263)
        for ratio in (level.ratio.lower, level.ratio.upper)
    )
    assert 7 * low**6 - 6 * low**7 == pytest.approx(0.1)
    assert 1 - high**7 == pytest.approx(0.1)
