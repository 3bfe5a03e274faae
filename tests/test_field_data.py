"""The whole main job on published field data: load, lives, curves, outlook, stock, review."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from tests.command import run
from tests.field_data import DAY_ZERO, write_fans, write_valve_seats
from tests.reference import reference_case, reference_data
from tracker.intake.exchange import read_folder
from tracker.lives.life_table import ages, life_table
from tracker.models.curves import kaplan_meier
from tracker.models.events import mean_cumulative_function
from tracker.store.database import open_store


def ask(*arguments: str) -> dict:
    """A command's JSON."""
    done = run(*arguments, "--json")
    assert done.returncode == 0, done.stderr
    answer: dict = json.loads(done.stdout)
    return answer


@pytest.fixture(scope="module")
def seats(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, date]:
    folder = tmp_path_factory.mktemp("seats")
    return folder, write_valve_seats(folder).date()


@pytest.fixture(scope="module")
def fans(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, date]:
    folder = tmp_path_factory.mktemp("fans")
    return folder, write_fans(folder).date()


def test_valve_seats_load_into_a_database_and_keep_both_same_day_changes(
    seats: tuple[Path, date], tmp_path: Path
) -> None:
    folder, last = seats
    with open_store(f"sqlite:///{tmp_path / 'seats.sqlite'}") as store:
        store.load(read_folder(folder), "valve seats")
        records = store.records()
    lives = life_table(records, last)
    assert (lives["outcome"] == "failed").sum() == 48
    assert len(lives) == 48 + 41
    # Two engines had two replacements on one day: half a day, never zero.
    assert (lives["age"] == 0.5).sum() == 2
    assert lives["counted"].all()


def test_valve_seat_replacements_have_the_published_mean_cumulative_function(
    seats: tuple[Path, date],
) -> None:
    folder, last = seats
    records = read_folder(folder)
    lives = life_table(records, last)
    start = records.printers.set_index("printer")["started_on"]
    end = (records.printers.set_index("printer")["retired_on"] - start).dt.days
    failed = lives[lives["outcome"] == "failed"]
    event_age = (failed["removed_on"] - failed["printer"].map(start)).dt.days
    mcf = mean_cumulative_function(failed["printer"], event_age, end.to_dict())
    expected = reference_case("D6a")["MCF"]  # Nelson (1995), R survival valveSeat
    for day, value in expected.items():
        upto = mcf.loc[mcf.index <= float(day), "mean_events"]
        assert upto.iloc[-1] == pytest.approx(value, rel=1e-6)


def test_valve_seats_get_the_whole_main_job(seats: tuple[Path, date]) -> None:
    folder, last = seats
    where = ("--data", str(folder), "--as-of", last.isoformat())
    life = ask("life", "--part", "valve_seat", *where)
    assert (life["failures"], life["lives"]) == (48, 89)
    assert life["shape_lower"] < life["shape"] < life["shape_upper"]
    assert ask("stock", *where)["kinds"][0]["part_kind"] == "valve_seat"
    # Seen in the middle of the log, engines run and each of them gets a forecast.
    middle = ("--data", str(folder), "--as-of", (DAY_ZERO.date()).replace(year=2021).isoformat())
    parts = ask("outlook", "--days", "30", *middle)["parts"]
    assert len(parts) == 41
    assert all(0 < part["chance_of_failure"] < 1 for part in parts)
    review = ask("review", "--month", "2020-12", *middle[:2])
    in_december = [
        time
        for time, status in reference_data("valveseat.csv")[["time", "status"]].to_numpy()
        if status == 1 and 335 <= time <= 365
    ]  # days 335 to 365 after 1 January 2020 are December 2020
    assert sum(row["this_month"] for row in review["failures"]) == len(in_december)


def test_fans_keep_their_published_curve_and_fit(fans: tuple[Path, date]) -> None:
    folder, last = fans
    records = read_folder(folder)
    lives = life_table(records, last)
    arrays = ages(lives)
    assert (len(arrays.age), int(arrays.failed.sum())) == (70, 12)
    curve = kaplan_meier(arrays.age, arrays.failed)
    data = reference_data("genfan.csv")
    whole = kaplan_meier((data["time"] / 24).round(), data["event"] == 1)
    assert np.allclose(curve["survival"].to_numpy(), whole["survival"].to_numpy())
    life = ask("life", "--part", "fan", "--data", str(folder), "--as-of", last.isoformat())
    published = reference_case("D1b")  # Nelson (1982); hours, here rounded to whole days
    assert life["shape"] == pytest.approx(published["shape"], rel=0.01)
    assert life["scale_days"] == pytest.approx(published["scale"] / 24, rel=0.01)
    assert life["families"][0]["family"] == published["AIC_rank"][0]


def test_fans_get_outlook_stock_and_review(fans: tuple[Path, date]) -> None:
    folder, last = fans
    where = ("--data", str(folder), "--as-of", last.isoformat())
    parts = ask("outlook", "--days", "90", *where)["parts"]
    assert len(parts) == 58
    stock = ask("stock", *where)["kinds"]
    fan = next(kind for kind in stock if kind["part_kind"] == "fan")
    assert fan["fitted"] == 58
    assert sum(fan["chance_of_need"]) == pytest.approx(1, abs=1e-6)
    # Every failure is dated the last day, so its month holds all twelve.
    review = ask("review", "--month", f"{last:%Y-%m}", *where)
    assert sum(row["this_month"] for row in review["failures"]) == 12
