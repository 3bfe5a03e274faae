"""The page Maintenance, run without a browser on the demo and on small workshops."""

from __future__ import annotations

import html
from datetime import date, datetime
from functools import cache

import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

from pages.sections.maintenance.kept import kept
from pages.shell.session import ROOT
from tests.app.conftest import as_read, unfolded
from tests.hands import by
from tracker.decisions.changed_along import changes_along
from tracker.decisions.due import due_list
from tracker.decisions.planned_change import planned_ages
from tracker.decisions.routine.task_studies import priced, studied_kinds
from tracker.decisions.routine.task_value import TaskValue, compare_all, task_value
from tracker.intake.exchange import read_folder
from tracker.paper.review import paper_html
from tracker.review.month import month_review
from tracker.say import numbers
from tracker.say.maintenance.value.costs import cost_label, work_label
from tracker.say.maintenance.value.kind_value import avoided, part_line, worth
from tracker.say.maintenance.value.task_value import break_even_sentence, together_sentence
from tracker.say.maintenance.value.value_verdict import (
    chance,
    headline,
    in_figures,
    reason,
    value_verdict,
)
from tracker.say.monthly.values import as_dict, lines
from tracker.store.connections import default_url, demo_url
from tracker.store.database import open_store
from tracker.workshop import vocabulary
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
def demo_value() -> TaskValue:
    return task_value(*demo(), "shake_dampers", 7, 30)


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
def test_the_page_opens_with_what_is_due_and_whether_the_routine_pays_is_beside_it() -> None:
    page = maintenance(None)
    assert not page.exception
    views = page.button_group(key="maintenance-view")
    assert (views.value, views.options[1]) == ("Due", "Does it pay?")
    assert "tasks due on" in answer(page)


@on_shared_demo
def test_the_first_task_asked_about_is_one_that_the_log_can_tell_of() -> None:
    page = maintenance("Does it pay?")
    # The task that the log can tell of, and the shortest of its routines against the longest.
    assert page.selectbox(key="effect-task").value == "shake_dampers"
    assert "every 7 days instead of every 30 days pays once one damper failure" in answer(page)
    assert "chance that it pays" in said(page)


@in_own_folder
def test_where_nothing_was_ever_done_the_due_list_comes_first() -> None:
    small()
    page = maintenance(None)
    assert "No routine yet" in answer(page)
    assert page.button(key="routine-setup").label == "Set up the routine"


@on_shared_demo
def test_the_break_even_comes_first_and_the_slider_moves_it() -> None:
    value = demo_value()
    page = maintenance("Does it pay?")
    assert not page.exception
    assert answer(page) == f"#### {headline(value)} [Change](#what-is-counted)"
    meanwhile = next(told for told in said(page).split("\n") if "Until that is clear" in told)
    assert meanwhile.startswith("**Until that is clear: every ")
    assert meanwhile.endswith("you may as well leave it as now, every 7 to 30 days.**")
    assert headline(value).endswith(break_even_sentence(value))
    assert reason(value) in said(page)
    # The chance stands beside the answer in a word, in no fold: as the command line tells it.
    assert chance(value) in said(page)
    assert chance(value)[0].upper() + chance(value)[1:-1] in value_verdict(value)
    assert in_figures(value) in said(page)
    assert len(page.get("plotly_chart")) == 1
    assert [file.key for file in page.get("download_button")].count("effect-sheet") == 1
    for one in value.kinds:
        label = vocabulary.part_label(one.part_kind)
        assert f"- **{label}** – {part_line(value, one)}" in said(page)
        assert f"{avoided(one)}; {worth(value, one)}." in part_line(value, one)
    page.select_slider(key="effect-every-shake_dampers").set_value(60).run()
    assert not page.exception
    moved = compare_all(value.studies, 60, 30)
    assert break_even_sentence(moved) in answer(page)
    assert break_even_sentence(value) not in answer(page)


@on_shared_demo
def test_every_cost_is_one_tap_away_with_its_terms_and_fields() -> None:
    page = maintenance("Does it pay?")
    lids = [plain(expander.label) for expander in page.expander]
    assert lids[:3] == [
        *(cost_label(demo_value(), one) for one in demo_value().kinds),
        work_label(demo_value()),
    ]
    assert lids[3:7] == [
        "What is not counted, and how sure the costs are",
        "How sure is that? The figures, part by part",
        "Can the log be believed?",
        "The evidence, one part at a time",
    ]
    for expander, one in zip(page.expander, demo_value().kinds, strict=False):
        terms = expander.dataframe[0].value
        assert plain(terms["Amount"].iloc[-1]) == numbers.money(one.cost.total)
        assert len(terms) == len(one.cost.terms) + 1
        assert "Work to change it (h)" in [field.label for field in expander.text_input]


@in_own_folder
def test_a_cost_changed_on_the_page_moves_the_break_even_and_is_undone() -> None:
    page = maintenance("Does it pay?")
    before = answer(page)
    page.text_input(key="cost-damper-unit_cost")  # the price is that of the workshop's own orders
    page.text_input(key="cost-damper-hours_to_change").set_value("1.5")
    page.expander[0].button[0].click().run()
    assert not page.exception
    assert "counted now: 88 €" in before
    # An hour more of work at 26 an hour, the setting of the demo.
    assert "counted now: 114 €" in answer(page)
    page.button(key="undo-last").click().run()
    assert answer(page) == before


@on_shared_demo
def test_the_reader_says_whether_a_spare_is_on_the_shelf() -> None:
    page = maintenance("Does it pay?")
    # In the demo a head was on the shelf for most of the year, though none is at the end.
    assert page.toggle(key="cost-spare-head").value is True
    page.toggle(key="cost-spare-head").set_value(False).run()
    assert not page.exception
    found = studied_kinds(*demo(), "shake_dampers")
    without = compare_all(priced(found, spares={"head": False}), 7, 30)
    assert not without.kinds[1].cost.spare_on_shelf
    assert without.kinds[1].cost.total > demo_value().kinds[1].cost.total
    assert break_even_sentence(without) in answer(page)
    assert reason(without) in said(page)
    assert in_figures(without) in said(page)
    assert together_sentence(without) != together_sentence(demo_value())


@on_shared_demo
def test_one_part_alone_is_looked_at_below_with_its_check_and_its_lags() -> None:
    page = unfolded(maintenance("Does it pay?"))
    effect = demo_value().kinds[0].effect
    assert f"Hazard ratio {numbers.figure(effect.hazard_ratio.estimate)}" in said(page)
    assert numbers.figure(effect.e_value.estimate) in said(page)
    lags = next(f.value for f in page.dataframe if "Days left out" in f.value)
    assert lags["Days left out"].tolist() == [0, 3, 7, 14]
    # What is said of one kind's money does not hold where all kinds are counted.
    assert "failures are counted in money" not in said(page)
    page.button_group(key="effect-kind-shake_dampers").set_value("pump").run()
    assert not page.exception
    assert "pump failures are counted in money" in said(page)


@on_shared_demo
def test_schedules_that_changed_are_compared_before_and_after() -> None:
    told = said(unfolded(maintenance("Does it pay?")))
    # In the sample shaking changed on all four printers, on four days.
    for name in ("Window", "Yard", "Door", "Loft"):
        assert f"- {name}, from " in told
    assert "All changes together, each printer against itself" in told


@on_shared_demo
def test_a_task_that_protects_no_part_known_is_told_of_one_part_at_a_time() -> None:
    page = maintenance("Does it pay?")
    page.selectbox(key="effect-task").set_value("empty_waste").run()
    page = unfolded(page)
    assert not page.exception
    assert "Empty the waste tank: cannot tell yet." in answer(page)
    assert "No part kind is known" in page.info[-1].value
    assert "Empty the waste tank: every 4 days instead of every 7 days" in said(page)
    assert "All changes together" not in said(page)
    assert any("no before and after" in caption.value for caption in page.caption)


@on_shared_demo
def test_today_and_the_review_tell_the_same_verdict() -> None:
    page = today_page()
    assert "Does it pay" not in said(page)
    page.toggle(key="today-pays").set_value(True).run()
    assert not page.exception
    records, day = demo()
    in_short = f"Does it pay, as known on {numbers.day(day)}? {value_verdict(demo_value())}"
    assert in_short in said(page)
    review = month_review(records, day, day)  # as the page, from that day on
    assert as_dict(review)["does_it_pay"] == in_short
    for told in (paper_html(review, with_appendices=True), "\n".join(lines(review))):
        assert value_verdict(demo_value()) in plain(html.unescape(told))


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
    page = maintenance("Replace on schedule?")
    assert not page.exception
    ages = planned_ages(*demo()).by_group
    best = ages.loc[ages["per_year"].idxmax()]
    assert (best["part_kind"], best["group"]) == ("damper", "white")
    assert "most for the damper (white)" in plain(answer(page))
    ends = [numbers.about_money(abs(best[name])) for name in ("per_year_p10", "per_year_p90")]
    saved = f"about {numbers.about_money(best['per_year'])} per place and year"
    spread = f"({ends[0]} to {ends[1]} saved in 8 of 10 cases;"
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
        "If a printhead (six-channel head) had to be changed today, putting in 6 new dampers"
        in told
    )
    for along in (large, small):
        assert numbers.about_money(abs(along.saving)) in told
    # Only where it saves no money by itself is harm to the new head to be assumed.
    harm = [c.value for c in page.caption if "Common practice is always to change them" in c.value]
    assert len(harm) == sum(along.saving <= 0 for along in (large, small))


@in_own_folder
def test_an_empty_workshop_is_told_the_next_step() -> None:
    with open_store(default_url()):
        pass
    page = maintenance()
    assert not page.exception
    assert "Say which printers you have" in page.info[0].value


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
    assert not maintenance("Replace on schedule?").exception
    page = unfolded(maintenance("Does it pay?"))
    for kind in ("damper", "heat_lamp"):
        page.button_group(key="effect-kind-shake_dampers").set_value(kind).run()
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
    assert "One damper failure with a spare on the shelf costs about" in answer(page)
    table = page.dataframe[0].value
    work = table.set_index("What")["From"].to_dict()["Work to change it"]
    assert work == "guess (common practice, no source)"
    next(b for b in page.button if b.label == "Save these figures").click().run()
    (told,) = [one.value for one in page.success]
    assert "Nothing was different, so nothing was changed." in told
    for figure, typed in (("hours_to_change", "0,8"), ("taken_over_share", "40 %")):
        (field,) = [one for one in page.text_input if str(one.key).endswith(f"-{figure}")]
        field.set_value(typed)
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


def silent_fortnight(**tables: pd.DataFrame) -> None:
    """Stirred until 30 September and again from 15 October."""
    done = [f"2026-{day}" for day in ("09-28", "09-29", "09-30", "10-15", "10-16", "10-17")]
    log = {"printer": "A", "task": "stir_ink", "why": "planned", "done_on": pd.to_datetime(done)}
    small(maintenance=pd.DataFrame(log), **tables)


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


def closed_a_year_ago() -> str:
    """A fortnight in winter, and the question about it on the last day written down."""
    days = {"began_on": [pd.Timestamp("2025-12-22")], "ended_on": [pd.Timestamp("2026-01-02")]}
    silent_fortnight(closures=pd.DataFrame(days))
    return "Closed a year ago from 22 Dec 2025 to 2 Jan 2026: the whole workshop. Again from 21"


@in_own_folder
def test_what_was_closed_a_year_ago_is_asked_about_and_one_tap_closes_it_again() -> None:
    question = closed_a_year_ago()
    page = today_page()
    assert question in said(page)
    page.button(key="again-yes-2026-12-21-2027-01-01").click().run()
    assert not page.exception
    assert question not in said(page)
    with open_store(default_url()) as store:
        assert list(store.records().closures["began_on"].dt.year) == [2025, 2026]
    page.button(key="undo-last").click().run()
    assert question in said(page)
    page.button(key="again-other-2026-12-21-2027-01-01").click().run()
    assert question in said(page)
    assert page.button(key="closed-save")


@in_own_folder
def test_open_then_is_remembered_and_not_asked_again() -> None:
    question = closed_a_year_ago()
    page = today_page()
    page.button(key="again-no-2026-12-21-2027-01-01").click().run()
    assert not page.exception
    assert question not in said(page)
    with open_store(default_url()) as store:
        assert len(store.records().closures) == 1
        assert store.records().setting("open_again") == "2026-12-21/2027-01-01"


@on_shared_demo
def test_the_weekdays_of_the_routine_stand_below_with_the_way_to_set_them() -> None:
    page = maintenance("Due")
    told = "Tasks fall due from Monday to Friday: by the log, work is done on these days."
    assert told in [caption.value for caption in page.caption]
    page.button(key="due-weekdays").click().run()
    assert not page.exception
    assert "set-weekdays_worked" in [field.key for field in page.selectbox]


@in_own_folder
def test_closed_days_are_entered_changed_and_removed_on_the_page() -> None:
    small()
    page = maintenance("Closed days")
    page.date_input(key="closed-new-from").set_value(date(2026, 12, 24))
    page.date_input(key="closed-new-to").set_value(date(2027, 1, 3))
    page.button(key="closed-save").click().run()
    assert not page.exception
    assert "Next closed from 24 Dec 2026 to 3 Jan 2027." in answer(page)
    with open_store(default_url()) as store:
        (row_id,) = store.records().closures.index
    page.date_input(key=f"closed-{row_id}-to").set_value(date(2027, 1, 10))
    page.button(key=f"closed-save-{row_id}").click().run()
    assert "to 10 Jan 2027" in answer(page)
    page.button(key=f"closed-remove-{row_id}").click().run()
    assert not page.exception
    assert "No closed days lie ahead" in answer(page)


@in_own_folder
def test_a_supplier_is_shut_by_a_choice_and_the_workshop_stays_open() -> None:
    small()
    with open_store(default_url()) as store:
        bought = {"part_kind": "head", "quantity": 1, "ordered_on": date(2026, 9, 1)}
        by(store, now=datetime(2026, 11, 2, 9)).add(
            "orders", {**bought, "supplier": "Quay *Printheads*"}
        )
    page = maintenance("Closed days")
    page.date_input(key="closed-new-from").set_value(date(2026, 12, 24))
    page.date_input(key="closed-new-to").set_value(date(2027, 1, 3))
    page.selectbox(key="closed-new-where").set_value("supplier:Quay *Printheads*")
    page.button(key="closed-save").click().run()
    assert not page.exception
    assert "No closed days lie ahead" in answer(page)
    with open_store(default_url()) as store:
        assert store.records().closures["supplier"].tolist() == ["Quay *Printheads*"]
    assert as_read(page.expander[-1].label).endswith("supplier Quay *Printheads*")


@on_shared_demo
def test_where_the_log_cannot_tell_one_tap_leads_to_trying_both_intervals() -> None:
    page = maintenance("Does it pay?")
    page.select_slider(key="effect-every-shake_dampers").set_value(14).run()
    page.button(key="effect-try").click().run()
    assert not page.exception
    assert page.button_group(key="maintenance-view").value == "Try it out"
    assert page.selectbox(key="experiment-task").value == "shake_dampers"
    assert page.number_input(key="experiment-every-shake_dampers").value == 14
    assert page.number_input(key="experiment-instead-shake_dampers").value == 30


@on_shared_demo
def test_every_statistical_word_of_the_answer_is_explained_on_tap() -> None:
    page = maintenance("Does it pay?")
    figures = next(text for text in page.markdown if "chance that it pays, about" in text.value)
    assert "**Chance that it pays**: " in figures.help
    assert "**80 % range**: the truth is expected to lie in it four times out of five." in (
        figures.help
    )
