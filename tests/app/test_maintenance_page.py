"""The page Maintenance, run without a browser on the demo and on small workshops."""

from __future__ import annotations

import html
from datetime import date
from functools import cache

import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

from pages.frame import ROOT
from pages.sections.routine_effect import usual_days
from pages.sections.routine_kept import kept
from pages.sections.routine_sheet import sheet
from tracker.decisions import wording
from tracker.decisions.due import due_list
from tracker.decisions.routine_value import RoutineEffect, routine_effect
from tracker.records.engines import default_url, demo_url
from tracker.records.exchange import read_folder
from tracker.records.model import Records
from tracker.records.store import open_store

on_shared_demo = pytest.mark.usefixtures("shared_demo")
in_own_folder = pytest.mark.usefixtures("own_folder")


def maintenance() -> AppTest:
    page = AppTest.from_file(ROOT / "tracker" / "app.py", default_timeout=60)
    return page.switch_page(str(ROOT / "pages" / "maintenance.py")).run()


def said(page: AppTest) -> str:
    return "\n".join(text.value for text in page.markdown)


@cache
def demo() -> tuple[Records, date]:
    records = read_folder(ROOT / "sample_data")
    day = records.last_day()
    assert day is not None
    return records, day


@cache
def demo_effect() -> RoutineEffect:
    return routine_effect(*demo(), "damper", "shake_dampers", 7, 30)


def small(**tables: pd.DataFrame) -> None:
    """An own workshop of one printer with two parts and these tables besides."""
    day = pd.Timestamp("2026-01-05")
    records = Records.of(
        {
            "printers": pd.DataFrame({"printer": ["A"], "started_on": [day], "channels": ["C W1"]}),
            "fittings": pd.DataFrame(
                {
                    "printer": ["A", "A"],
                    "part_kind": ["damper", "heat_lamp"],
                    "position": ["C", "lamp"],
                    "fitted_on": [day, day],
                }
            ),
        }
        | tables
    )
    with open_store(default_url()) as store:
        store.load(records, "by hand")


@on_shared_demo
def test_the_first_sentence_counts_what_is_due_in_the_demo() -> None:
    records, day = demo()
    due = due_list(records, day)
    due = due[due["days_late"] >= 0]
    page = maintenance()
    assert not page.exception
    answer = next(text.value for text in page.markdown if text.value.startswith("####"))
    assert f"{len(due)} tasks due" in answer
    assert wording.days(due["days_late"].max()) + " late" in answer
    for row in due.itertuples():
        assert page.button(key=f"done-{row.printer}-{row.task}").label == "Done"
    assert "Switch off and pull the plug" in page.warning[0].value


@in_own_folder
def test_one_tap_writes_the_task_down_and_undo_takes_it_back() -> None:
    records, day = demo()
    first = due_list(records, day).iloc[0]
    page = maintenance()
    key = f"done-{first['printer']}-{first['task']}"
    page.button(key=key).click().run()
    assert not page.exception
    with open_store(demo_url()) as store:
        log = store.records().maintenance
        assert len(log) == len(records.maintenance) + 1
        newest = log.iloc[-1]
        assert (newest["printer"], newest["task"]) == (first["printer"], first["task"])
        assert newest["why"] == "planned"
        assert key not in [button.key for button in page.button]
        page.button(key="undo-last").click().run()
        assert len(store.records().maintenance) == len(records.maintenance)


@on_shared_demo
def test_nothing_is_worked_out_before_it_is_asked_for() -> None:
    page = maintenance()
    assert page.selectbox(key="effect-task-damper").value == "shake_dampers"
    assert not page.get("plotly_chart")
    assert "per printer and year" not in said(page)


@on_shared_demo
def test_the_verdict_of_the_asked_schedules_comes_with_its_evidence() -> None:
    effect = demo_effect()
    page = maintenance()
    page.number_input(key="effect-every-shake_dampers").set_value(7)
    page.number_input(key="effect-instead-shake_dampers").set_value(30)
    page.button(key="effect-go").click().run()
    assert not page.exception
    assert effect.verdict in said(page)
    assert f"**Hazard ratio {wording.figure(effect.hazard_ratio)}**" in said(page)
    assert wording.figure(effect.e_value.estimate) in said(page)
    assert len(page.get("plotly_chart")) == 1
    assert len(page.get("download_button")) == 1
    lags = next(f.value for f in page.dataframe if "Days left out" in f.value)
    assert lags["Days left out"].tolist() == [0, 3, 7, 14]


def test_the_printed_sheet_says_the_verdict_and_lets_no_markup_in() -> None:
    effect = demo_effect()
    least = effect.least_cost((7.0, 30.0))
    page = sheet(effect, least, "<b>Ink & Co</b>", "EUR")
    assert html.escape(effect.verdict) in page
    assert "&lt;b&gt;Ink &amp; Co&lt;/b&gt;" in page
    assert "<b>" not in page
    for row in least.curve.itertuples():
        assert f"<td>{wording.money(row.cost)}</td>" in page
    assert "Switch off and pull the plug" in page
    assert "http" not in page


@on_shared_demo
def test_the_same_interval_twice_is_refused_in_words() -> None:
    page = maintenance()
    page.number_input(key="effect-every-shake_dampers").set_value(9)
    page.number_input(key="effect-instead-shake_dampers").set_value(9)
    page.button(key="effect-go").click().run()
    assert not page.exception
    assert "give two different intervals" in page.error[0].value


@on_shared_demo
def test_what_was_kept_is_counted_over_three_months() -> None:
    records, day = demo()
    table = kept(records, day)
    assert table["month"].unique().tolist() == [date(2026, m, 1) for m in (8, 9, 10)]
    assert (table["in_time"] + table["late"] + table["missed"] == table["due"]).all()
    text = said(maintenance())
    assert f"of {table['due'].sum()} actions due since 1 Aug 2026" in text


def test_the_present_interval_is_that_of_the_routines_in_force() -> None:
    records, day = demo()
    # In force on that day in the sample: 7, 30, 10 and 21 days; their middle.
    assert usual_days(records, day, "shake_dampers") == 15.5
    # At the start: 15, 15, 30 and 7 days.
    assert usual_days(records, date(2024, 6, 1), "shake_dampers") == 15
    assert usual_days(Records(), day, "shake_dampers") == 15
    assert usual_days(Records(), day, "own_task") == 14


@in_own_folder
def test_an_empty_workshop_is_told_the_next_step() -> None:
    with open_store(default_url()):
        pass
    page = maintenance()
    assert not page.exception
    assert "Add your first printer" in page.info[0].value


@in_own_folder
def test_three_records_give_an_honest_answer_and_no_picture() -> None:
    small(
        maintenance=pd.DataFrame(
            {
                "printer": ["A"],
                "done_on": [pd.Timestamp("2026-02-02")],
                "task": ["shake_dampers"],
                "why": ["planned"],
            }
        )
    )
    page = maintenance()
    assert not page.exception
    assert "No routine yet" in said(page)
    for kind in ("damper", "heat_lamp"):
        page.button_group(key="effect-kind").set_value(kind).run()
        page.button(key="effect-go").click().run()
        assert not page.exception
        told = said(page) + " ".join(info.value for info in page.info).lower()
        assert "cannot tell yet" in told.lower()
        assert not page.get("plotly_chart")


@in_own_folder
def test_a_part_kind_and_a_task_of_ones_own_are_taken() -> None:
    small(
        routines=pd.DataFrame({"task": ["dust_the_lamp"], "every_days": [10.0]}),
    )
    page = maintenance()
    assert not page.exception
    assert not page.error
    assert page.button(key="done-A-dust_the_lamp").label == "Done"
    page.button(key="done-A-dust_the_lamp").click().run()
    assert "nothing is due; next comes dust the lamp on A, 10 Nov 2026" in said(page)
