"""Answers that rest on few rows or columns of a long log make no frame of all of it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pandas as pd
import pytest

from tracker.decisions.due import adherence, due_ahead
from tracker.decisions.routine.whole_routine.drop_outs import drop_outs
from tracker.decisions.routine.whole_routine.logged_times import LoggedTimes
from tracker.decisions.routine.whole_routine.practice import printers_at_work
from tracker.intake.exchange import read_folder
from tracker.lives.life_table import life_table
from tracker.lives.printer_history import printer_history
from tracker.review.action_list import people
from tracker.review.period import is_silent, period_of
from tracker.store.connections import file_url
from tracker.store.database import open_store
from tracker.workshop.empty_positions import empty_positions
from tracker.workshop.records import Records

DAY = date(2026, 4, 20)  # rows come after it


def nozzles(known: Records) -> tuple[int, float]:
    found = drop_outs(known, DAY, life_table(known, DAY), ["head_clean"], 0)
    assert found is not None
    return found.counted, found.minutes


ANSWERS: dict[str, Callable[[Records], object]] = {
    "who did it": people,
    "the page of a printer": lambda known: (
        printer_history(known, DAY, known.printers["printer"].iloc[0]).work
    ),
    "how often by the log": lambda known: (
        LoggedTimes.of(known, DAY, printers_at_work(known, DAY)).per_day
    ),
    "nozzles that dropped out": nozzles,
    "what was kept": lambda known: adherence(known, DAY.replace(day=1), DAY),
    "what is due": lambda known: due_ahead(known, DAY, 40),
    "a silent month": lambda known: is_silent(known, period_of(known, DAY, None)),
    "places that wait": lambda known: empty_positions(known, DAY),
}


@pytest.fixture(scope="module")
def read() -> Records:
    return read_folder(Path("sample_data"))


@pytest.fixture(scope="module")
def kept(read: Records, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("shop") / "workshop.sqlite"
    with open_store(file_url(path)) as store:
        store.load(read, "log")
    return path


@pytest.mark.parametrize("asked", ANSWERS)
def test_the_answer_is_that_of_the_frame_which_nobody_makes(
    asked: str, read: Records, kept: Path
) -> None:
    with open_store(file_url(kept)) as store:
        written = store.records()
    found = ANSWERS[asked](written.known_at(DAY))
    expected = ANSWERS[asked](read.known_at(DAY))
    if isinstance(expected, pd.DataFrame):
        assert len(expected) or asked == "places that wait"
        pd.testing.assert_frame_equal(
            pd.DataFrame(found).reset_index(drop=True), expected.reset_index(drop=True)
        )
    else:
        assert found == expected
    assert vars(written.coded_table("maintenance"))["_frame"] is None
