"""The page Maintenance, run without a browser on the demo and on small workshops."""

from __future__ import annotations

import html
from datetime import date
from functools import cache
from pathlib import Path

import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

from pages.frame import ROOT
from pages.sections.maintenance.effect import answers_at_once
from pages.sections.maintenance.kept import kept
from tests.app.conftest import find_chromium
from tracker.decisions.changed_along import changes_along
from tracker.decisions.due import due_list
from tracker.decisions.planned_change import planned_ages
from tracker.decisions.routine.effect import RoutineEffect, routine_effect
from tracker.intake.exchange import read_folder
from tracker.paper.routine_sheet import routine_sheet
from tracker.say import numbers
from tracker.say.maintenance.verdict import verdict
from tracker.store.connections import default_url, demo_url
from tracker.store.database import open_store
from tracker.workshop.records import Records

on_shared_demo = pytest.mark.usefixtures("shared_demo")
in_own_folder = pytest.mark.usefixtures("own_folder")


def maintenance(view: str | None = "Due") -> AppTest:
    """The page with that view chosen; None: as it opens."""
    page = AppTest.from_file(ROOT / "tracker" / "app.py", default_timeout=300)
    if view is not None:
        page.session_state["maintenance-view"] = view
    return page.switch_page(str(ROOT / "pages" / "maintenance.py")).run()


def answer(page: AppTest) -> str:
    """The page's first sentence."""
    return next(line for line in said(page).splitlines() if line.startswith("####"))


def plain(text: str) -> str:
    """The text with a space where a space must not break."""
    return text.replace("\N{NO-BREAK SPACE}", " ")


def said(page: AppTest) -> str:
    return plain("\n".join(text.value for text in page.markdown))


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
    assert f"{len(due)} tasks due" in answer(page)
    assert numbers.days(due["days_late"].max()) + " late" in answer(page)
    for row in due.itertuples():
        assert page.button(key=f"done-{row.printer}-{row.task}").label == "Done"
    assert "Switch off and pull the plug" in page.warning[0].value
    # Beside each task its own cautions, in short.
    assert sum("pull the plug first" in caption.value for caption in page.caption) == sum(
        "carriage" in keys for keys in due["cautions"]
    )


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
def test_the_page_opens_with_whether_the_routine_pays() -> None:
    page = maintenance(None)
    assert not page.exception
    views = page.button_group(key="maintenance-view")
    assert (views.value, views.options[1]) == ("Does it pay?", "Due")
    # The routine in force nearest the middle, and twice as often.
    assert "every 5 days instead of every 10 days" in answer(page)
    assert "chance that it pays" in answer(page)


def test_where_the_answer_takes_a_while_what_is_due_comes_first() -> None:
    records, _ = demo()
    assert answers_at_once(records)
    times = 60_000 // len(records.maintenance) + 1
    long_log = pd.concat([records.maintenance] * times, ignore_index=True)
    assert not answers_at_once(records.with_table("maintenance", long_log))


@in_own_folder
def test_where_nothing_was_ever_done_the_due_list_comes_first() -> None:
    small()
    page = maintenance(None)
    assert "No routine yet" in answer(page)
    assert page.button(key="routine-setup").label == "Set up the routine"


@on_shared_demo
def test_the_answer_comes_first_and_the_slider_moves_it() -> None:
    effect = demo_effect()
    page = maintenance("Does it pay?")
    assert not page.exception
    assert page.selectbox(key="effect-task-damper").value == "shake_dampers"
    page.number_input(key="effect-instead-shake_dampers").set_value(30)
    page.select_slider(key="effect-every-shake_dampers").set_value(7).run()
    assert not page.exception
    assert verdict(effect) in answer(page)
    assert f"Hazard ratio {numbers.figure(effect.hazard_ratio.estimate)}" in said(page)
    assert numbers.figure(effect.e_value.estimate) in said(page)
    assert len(page.get("plotly_chart")) == 1
    assert len(page.get("download_button")) == 1
    lags = next(f.value for f in page.dataframe if "Days left out" in f.value)
    assert lags["Days left out"].tolist() == [0, 3, 7, 14]
    page.select_slider(key="effect-every-shake_dampers").set_value(60).run()
    assert verdict(effect) not in answer(page)
    assert "every 60 days instead of every 30 days" in answer(page)


@on_shared_demo
def test_the_reader_says_whether_a_spare_is_on_the_shelf() -> None:
    page = maintenance("Does it pay?")
    page.number_input(key="effect-instead-shake_dampers").set_value(30)
    page.select_slider(key="effect-every-shake_dampers").set_value(7)
    page.button_group(key="effect-spare").set_value("No").run()
    assert not page.exception
    without = demo_effect().without_spare
    assert f"{numbers.money(without.median)} saved per printer and year" in answer(page)
    assert "with no spare on the shelf costs" in said(page)
    page.button_group(key="effect-spare").set_value("Yes").run()
    assert f"{numbers.money(demo_effect().with_spare.median)} saved" in answer(page)


@on_shared_demo
def test_schedules_that_changed_are_compared_before_and_after() -> None:
    told = said(maintenance("Does it pay?"))
    # In the sample shaking changed on all four printers, on four days.
    for name in ("Window", "Yard", "Door", "Loft"):
        assert f"- {name}, from " in told
    assert "All changes together, each printer against itself" in told


@on_shared_demo
def test_a_task_whose_schedule_never_changed_says_so_quietly() -> None:
    page = maintenance("Does it pay?")
    page.selectbox(key="effect-task-damper").set_value("empty_waste").run()
    assert not page.exception
    assert "All changes together" not in said(page)
    assert any("no before and after" in caption.value for caption in page.caption)


def test_the_printed_sheet_holds_the_evidence_and_lets_no_markup_in() -> None:
    effect = demo_effect()
    page = plain(routine_sheet(effect, "<b>Ink & Co</b>", "EUR"))
    assert html.escape(verdict(effect)) in page
    assert "&lt;b&gt;Ink &amp; Co&lt;/b&gt;" in page
    assert "<b>" not in page
    curve = effect.least_cost().curve.set_index("every_days")
    for every in (7, 14, 30):
        assert f'<td class="n">{every}</td>' in page
        assert f'<td class="n">{numbers.money(curve.loc[every, "cost"])}</td>' in page
    for lag in (0, 3, 7, 14):
        assert f'<tr><td class="n">{lag}</td>' in page
    # A damper failure costs 93.56: part 8.45, work 13.00, recovery 9.42, spoiled 6.37, downtime
    # 41.12, cleans before it 9.94, a head taken along 5.27.
    assert effect.cost_of_failure.total == pytest.approx(93.56, abs=0.01)
    least = f"Least cost: every {effect.least_cost().every_days:g} days"
    for told in (
        "(E-value)", "(Cox)", "80 % power", "With a spare on the shelf",
        "Without a spare on the shelf", least, "Yard, from 2 Jun 2025",
        "changed with time too", "Switch off and pull the plug",
    ):  # fmt: skip
        assert told in page, told
    assert "http" not in page


def test_the_sheet_prints_on_one_page(tmp_path: Path) -> None:
    playwright = pytest.importorskip("playwright.sync_api")
    file = tmp_path / "sheet.html"
    file.write_text(routine_sheet(demo_effect(), "Ink & Co", "EUR"), encoding="utf-8")
    with playwright.sync_playwright() as running:
        browser = running.chromium.launch(
            executable_path=find_chromium(), args=["--no-sandbox", "--disable-gpu"]
        )
        page = browser.new_page()
        page.goto(file.as_uri())
        printed = page.pdf(format="A4")
        browser.close()
    assert printed.count(b"/Type /Page\n") == 1


def test_a_sheet_without_enough_evidence_shows_no_cost_curve() -> None:
    effect = routine_effect(*demo(), "head", "flush_in_place", 30, 60)
    page = plain(routine_sheet(effect, "", "EUR"))
    assert "cannot tell yet" in page
    assert "What it is worth" not in page
    assert "a hidden cause would have to explain away (E-value 1)" in page


@on_shared_demo
def test_the_same_interval_twice_is_refused_in_words() -> None:
    page = maintenance("Does it pay?")
    page.select_slider(key="effect-every-shake_dampers").set_value(7)
    page.number_input(key="effect-instead-shake_dampers").set_value(7).run()
    assert not page.exception
    assert "give two different intervals" in page.info[-1].value


@on_shared_demo
def test_what_was_kept_is_counted_over_three_months() -> None:
    records, day = demo()
    table = kept(records, day)
    assert table["month"].unique().tolist() == [date(2026, m, 1) for m in (8, 9, 10)]
    assert (table["in_time"] + table["late"] + table["missed"] == table["due"]).all()
    page = maintenance("Was it kept?")
    assert f"of {table['due'].sum()} actions due since 1 Aug 2026" in answer(page)
    by_printer = next(f.value for f in page.dataframe if f.value.index.name == "Printer")
    assert sorted(by_printer.index) == ["Door", "Loft", "Window", "Yard"]
    assert by_printer.columns.tolist() == ["Together", "Aug 2026", "Sep 2026", "Oct 2026"]
    own = table[(table["printer"] == "Door") & (table["month"] == date(2026, 9, 1))]
    share = own["in_time"].sum() / own["due"].sum()
    assert by_printer.loc["Door", "Sep 2026"] == numbers.chance(share)
    by_task = next(f.value for f in page.dataframe if f.value.index.name == "Task")
    assert by_task.loc["Flush the head in place", "Oct 2026"] == "all"


@on_shared_demo
def test_both_answers_on_planned_changes_stand_on_the_page() -> None:
    page = maintenance("Change by plan?")
    assert not page.exception
    ages = planned_ages(*demo()).by_group
    best = ages.loc[ages["per_year"].idxmax()]
    assert (best["part_kind"], best["group"]) == ("damper", "white")
    assert "most for the damper (white)" in plain(answer(page))
    ends = [numbers.money(abs(best[name])) for name in ("per_year_p10", "per_year_p90")]
    saved = f"about {numbers.money(best['per_year'])} per place and year"
    spread = f"(80 % range {ends[0]} to {ends[1]} saved;"
    assert f"{saved} {spread}" in plain(answer(page))
    assert f"{saved} {spread}" in plain(said(page))
    kept = next(text.value for text in page.markdown if "Run to failure" in text.value)
    assert "1\N{NO-BREAK SPACE}% at any age" in kept, "no line ends between a number and its unit"
    large, small = changes_along(*demo())
    assert {(along.part_kind, along.with_kind) for along in (large, small)} == {("damper", "head")}
    assert (large.with_variant, large.pieces) == ("eight-channel head", 8)
    assert (small.with_variant, small.pieces) == ("six-channel head", 6)
    told = said(page)
    assert (
        "If a printhead, six-channel head, had to be changed today, putting in 6 new dampers"
        in told
    )
    for along in (large, small):
        assert numbers.money(abs(along.saving)) in told
    # Only where it saves no money by itself is harm to the new head to be assumed.
    harm = [c.value for c in page.caption if "Common practice is always to change them" in c.value]
    assert len(harm) == sum(along.saving <= 0 for along in (large, small))


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
    assert "No routine yet" in answer(maintenance())
    assert "No routine yet" in answer(maintenance("Was it kept?"))
    assert not maintenance("Change by plan?").exception
    page = maintenance("Does it pay?")
    for kind in ("damper", "heat_lamp"):
        page.button_group(key="effect-kind").set_value(kind).run()
        assert not page.exception
        assert "cannot tell yet" in answer(page)
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


@in_own_folder
def test_a_figure_of_what_a_failure_costs_is_corrected_where_it_is_shown() -> None:
    small()
    page = maintenance("What a failure costs")
    assert not page.exception
    fields = [str(field.key) for field in page.text_input if "cost-damper-" in str(field.key)]
    assert fields[:2] == ["cost-damper-unit_cost", "cost-damper-hours_to_change"], "as on a phone"
    assert "A damper failure with a spare on the shelf costs about" in answer(page)
    table = page.dataframe[0].value
    work = table.set_index("What")["From"].to_dict()["Work to change it"]
    assert work == "guess (common practice, no source)"
    page.text_input(key="cost-damper-hours_to_change").set_value("0,8")
    page.text_input(key="cost-set-damper-taken_over_share").set_value("40 %")
    next(b for b in page.button if b.label == "Save these figures").click().run()
    assert not page.exception
    table = page.dataframe[0].value.set_index("What")
    # 0.8 h at the default 25 an hour.
    assert plain(table["Amount"].to_dict()["Work to change it"]) == "20 €"
    assert table["From"].to_dict()["Work to change it"] == "your parts catalogue"
    with open_store(default_url()) as store:
        assert store.records().number("taken_over_share") == 0.4
    page.button(key="undo-last").click().run()
    with open_store(default_url()) as store:
        assert store.records().parts.empty
        assert store.records().number("taken_over_share") == 0


def silent_fortnight() -> None:
    """Stirred until 30 September and again from 15 October."""
    done = [f"2026-{day}" for day in ("09-28", "09-29", "09-30", "10-15", "10-16", "10-17")]
    log = {"printer": "A", "task": "stir_ink", "why": "planned", "done_on": pd.to_datetime(done)}
    small(maintenance=pd.DataFrame(log))


def today_page() -> AppTest:
    return AppTest.from_file(ROOT / "tracker" / "app.py", default_timeout=300).run()


@in_own_folder
def test_a_silent_stretch_is_asked_about_on_today_and_one_tap_closes_it() -> None:
    silent_fortnight()
    page = today_page()
    question = "Nothing was written down from 1 to 14 Oct 2026: were you closed?"
    assert question in said(page)
    page.button(key="gap-closed-2026-10-01").click().run()
    assert not page.exception
    assert question not in said(page)
    with open_store(default_url()) as store:
        assert len(store.records().closures) == 1
    page.button(key="undo-last").click().run()
    assert question in said(page)


@in_own_folder
def test_we_worked_is_remembered_and_not_asked_again() -> None:
    silent_fortnight()
    page = today_page()
    page.button(key="gap-worked-2026-10-01").click().run()
    assert not page.exception
    assert "were you closed?" not in said(page)
    with open_store(default_url()) as store:
        assert store.records().closures.empty
        assert "2026-10-01/2026-10-14" in store.records().setting("worked_through")


@in_own_folder
def test_closed_days_are_entered_changed_and_removed_on_the_page() -> None:
    small()
    page = maintenance("Closed days")
    page.date_input(key="closed-from-new").set_value(date(2026, 12, 24))
    page.date_input(key="closed-to-new").set_value(date(2027, 1, 3))
    page.button(key="closed-save").click().run()
    assert not page.exception
    assert "Next closed from 24 Dec 2026 to 3 Jan 2027." in answer(page)
    with open_store(default_url()) as store:
        (row_id,) = store.records().closures.index
    page.date_input(key=f"closed-to-{row_id}").set_value(date(2027, 1, 10))
    page.button(key=f"closed-save-{row_id}").click().run()
    assert "to 10 Jan 2027" in answer(page)
    page.button(key=f"closed-remove-{row_id}").click().run()
    assert not page.exception
    assert "No closed days lie ahead" in answer(page)
