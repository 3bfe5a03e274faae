"""How often tasks were done and how much was printed, as the life model reads it: by hand."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import rows, workshop
from tests.forecast.test_life_history import told as told_on_the_last_day
from tracker.errors import UsageError
from tracker.forecast.exposure_tables import LaterLog, LogWindow
from tracker.forecast.life_history import LifeHistory, day_number, path_if
from tracker.forecast.routine_exposure import AREA, Exposure
from tracker.lives.exposure.table import DayTable
from tracker.models.life_model.whole import Parts, fit_life_model
from tracker.workshop.records import Records

BEGAN, LAST = date(2025, 1, 1), date(2025, 6, 30)
END = day_number(LAST) + 1


def log(*paces: tuple[str, str, str, str, int], why: str = "planned") -> pd.DataFrame:
    """A task done on a printer from a day to a day every so many days."""
    return pd.concat(
        pd.DataFrame({"printer": printer, "task": task, "why": why,
                      "done_on": pd.date_range(first, last, freq=f"{every}D")})
        for printer, task, first, last, every in paces
    )  # fmt: skip


def told(machines: int = 1, **tables: pd.DataFrame) -> LifeHistory:
    return told_on_the_last_day(workshop(machines, **tables))


def value(found: LifeHistory, exposure: Exposure, day: date, unit: int = 0) -> float:
    """What holds on that day, in actions per 30 days; NaN where unknown."""
    steps, column = found.history.exposures, found.exposures.index(exposure)
    own = np.nonzero((steps.unit == unit) & (steps.from_day <= day_number(day)))[0]
    last = own[np.argmax(steps.from_day[own])]
    return float(2 ** steps.value[last, column] - 0.5)


DAMPERS = Exposure("shake_dampers", "damper")
EVERY_THIRD = ("A", "shake_dampers", "2025-01-01", "2025-06-30", 3)


def test_a_task_has_an_exposure_for_each_kind_it_protects_and_acts_on_its_groups() -> None:
    found = told(maintenance=log(EVERY_THIRD))
    assert found.exposures == (DAMPERS, Exposure("shake_dampers", "head"))
    assert [group[:2] for group in found.groups] == [
        ("damper", "colour"), ("damper", "white"), ("head", ""), ("wiper", ""),
    ]  # fmt: skip
    assert found.history.exposures.acts.tolist() == [
        [True, True, False, False],
        [False, False, True, False],
    ]


def test_an_even_pace_is_one_step_and_what_goes_on_from_today() -> None:
    found = told(maintenance=log(EVERY_THIRD))
    steps = found.history.exposures
    assert steps.from_day.tolist() == [day_number(BEGAN), END]
    assert value(found, DAMPERS, date(2025, 3, 1)) == pytest.approx(10, abs=0.05)
    assert value(found, DAMPERS, LAST + timedelta(1)) == pytest.approx(10, abs=0.05)


def test_a_new_pace_is_reached_when_the_window_has_filled() -> None:
    slower = ("A", "shake_dampers", "2025-04-01", "2025-06-30", 15)
    found = told(maintenance=log((*EVERY_THIRD[:3], "2025-03-31", 3), slower))
    assert value(found, DAMPERS, date(2025, 3, 15)) == pytest.approx(10, abs=0.3)
    assert value(found, DAMPERS, date(2025, 6, 20)) == pytest.approx(2, abs=0.3)


def test_only_planned_actions_count_and_a_rare_task_is_no_exposure() -> None:
    called_for = log(("A", "shake_dampers", "2025-03-01", "2025-03-31", 1), why="symptom")
    found = told(maintenance=pd.concat([log(EVERY_THIRD), called_for]))
    assert value(found, DAMPERS, date(2025, 4, 1)) == pytest.approx(10, abs=0.05)
    assert (
        told(maintenance=log(("A", "shake_dampers", "2025-01-01", "2025-06-30", 30))).exposures
        == ()
    )
    # Nothing a nozzle check does makes a part last longer (common practice, no source).
    checks = log(("A", "nozzle_check", "2025-01-01", "2025-06-30", 1))
    assert told(maintenance=checks).exposures == ()


def test_before_the_first_whole_window_its_own_value_holds() -> None:
    # Every second day for the 35 days that a whole window looks back and to the end of that step
    # of half a month, then every sixth; nobody knows of the days before the log.
    found = told(
        maintenance=log(
            ("A", "shake_dampers", "2025-01-01", "2025-02-13", 2),
            ("A", "shake_dampers", "2025-02-14", "2025-06-30", 6),
        )
    )
    assert value(found, DAMPERS, date(2025, 1, 2)) == pytest.approx(15, abs=0.5)


def test_of_a_printer_that_came_this_month_nothing_is_known() -> None:
    both = rows("printer started_on channels", ("A", BEGAN, "C"), ("B", "2025-06-20", "C"))
    records = workshop(2, maintenance=log(EVERY_THIRD)).with_table("printers", both)
    found = told_on_the_last_day(records)
    assert np.isnan(value(found, DAMPERS, date(2025, 6, 25), unit=1))
    assert np.isnan(value(found, DAMPERS, LAST + timedelta(1), unit=1))


def test_after_the_last_entry_silence_is_no_neglect() -> None:
    found = told(maintenance=log((*EVERY_THIRD[:3], "2025-04-30", 3)))
    assert value(found, DAMPERS, LAST + timedelta(1)) == pytest.approx(10, abs=0.05)


def test_what_is_noted_part_by_part_is_one_time_of_doing_the_task() -> None:
    apart = pd.concat(log(EVERY_THIRD).assign(position=place) for place in ("C", "M", "W1"))
    assert value(told(maintenance=apart), DAMPERS, date(2025, 3, 1)) == pytest.approx(10, abs=0.05)


def test_printed_area_is_one_exposure_of_all_kinds() -> None:
    read = pd.date_range("2025-01-01", "2025-06-30", freq="7D")
    counters = pd.DataFrame(
        {"printer": "A", "read_on": read, "area_m2": 56.0 * np.arange(len(read))}
    )
    found = told(2, counters=counters)
    (area,) = found.exposures
    assert area == Exposure(AREA, "")
    assert found.history.exposures.acts.all()
    steps = found.history.exposures
    own = steps.unit == 0
    assert steps.value[own, 0] == pytest.approx(3.0)  # 8 m² a day
    assert np.isnan(steps.value[~own, 0]).all(), "nobody read the other printer's counter"


def test_what_if_a_task_were_done_more_often() -> None:
    found = told(maintenance=log((*EVERY_THIRD[:4], 6), ("A", "stir_ink", *EVERY_THIRD[2:])))
    path = path_if(found, {"shake_dampers": 30 / 8})
    assert path.from_day.tolist() == [END, END + 30]
    column = found.exposures.index(DAMPERS)
    before = 2 ** found.history.exposures.value[-1, column] - 0.5
    # The window still holds the old pace at first: half-way on the mean of both.
    rates = 2 ** path.value[:, column] - 0.5
    assert rates == pytest.approx([(before + 8) / 2, 8])
    other = found.exposures.index(Exposure("stir_ink", "damper"))
    assert (path.value[:, other] == found.history.exposures.value[-1, other]).all()
    every_day = path_if(found, {"shake_dampers": 1})
    assert 2 ** every_day.value[1, column] - 0.5 == pytest.approx(30 * found.working_share)


def test_a_task_of_which_nothing_is_known_is_refused_by_name() -> None:
    found = told(maintenance=log(EVERY_THIRD))
    with pytest.raises(UsageError, match=r"stir_ink: nothing .* give one of shake_"):
        path_if(found, {"stir_ink": 7})
    with pytest.raises(UsageError, match="every_days: 0"):
        path_if(found, {"shake_dampers": 0})


def test_the_path_moves_only_the_parts_that_the_task_protects() -> None:
    found = told(maintenance=log((*EVERY_THIRD[:4], 6)))
    draws = fit_life_model(found.history, 200, rng=np.random.default_rng(1))
    parts = Parts.of_lives(found.history.lives, np.nonzero(found.running)[0])
    path = path_if(found, {"shake_dampers": 2})
    moved = np.abs(draws.chances(parts, [60], path=path) - draws.chances(parts, [60])) > 1e-9
    kinds = np.array([found.groups[group][0] for group in parts.group])
    assert moved[:, kinds != "wiper"].all()
    assert not moved[:, kinds == "wiper"].any()


def test_without_records_of_tasks_or_area_there_is_no_exposure() -> None:
    assert told().exposures == ()


EVE = date(2025, 5, 31)
CLOSED = rows("began_on ended_on", ("2025-03-10", "2025-03-16"))


def seen_on_the_eve(records: Records, later: LaterLog | None = None) -> tuple[bool, DayTable]:
    """Whether the later log was counted from, and the table of a task on printer A."""
    known = records.known_at(EVE)
    printers, first = pd.Index(["A"]), int(day_number(BEGAN))
    window = LogWindow.of(known, EVE, printers, first, 2, later=later)
    return window.counted_later is not None, window.task(known, "shake_dampers")


def test_an_earlier_day_is_counted_from_a_later_log_that_tells_the_same_of_it() -> None:
    slower = ("A", "shake_dampers", "2025-05-21", "2025-06-30", 7)
    done = log((*EVERY_THIRD[:3], "2025-05-20", 3), slower)
    records = workshop(1, maintenance=done, closures=CLOSED)
    later = LaterLog(records.known_at(LAST), LAST)
    is_shared, found = seen_on_the_eve(records, later)
    assert is_shared
    assert np.array_equal(found, seen_on_the_eve(records)[1])
    last_entry_by_then = date(2025, 5, 28)
    assert found.shape == (1, (last_entry_by_then - BEGAN).days + 1)


def test_a_later_log_that_tells_of_other_closed_days_is_not_counted_from() -> None:
    records = workshop(1, maintenance=log(EVERY_THIRD), closures=CLOSED)
    more = pd.concat([CLOSED, rows("began_on ended_on", ("2025-05-05", "2025-05-11"))])
    other = workshop(1, maintenance=log(EVERY_THIRD), closures=more)
    is_shared, found = seen_on_the_eve(records, LaterLog(other.known_at(LAST), LAST))
    own = seen_on_the_eve(records)[1]
    assert not is_shared
    assert np.array_equal(found, own)
    assert not np.array_equal(own, seen_on_the_eve(other)[1])
