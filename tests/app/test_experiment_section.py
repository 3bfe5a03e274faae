"""The section about experiments: proposed, begun, followed and ended without a browser."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.app.conftest import ROOT, at_the_printers, forget, look_at, words_of
from tests.bench.experiment_study import LAST_DAY, asked, lived_through
from tracker.store import acts
from tracker.store.connections import default_url
from tracker.store.database import open_store
from tracker.workshop.experiments import experiments
from tracker.workshop.records import Records


def section() -> None:
    """The section alone, as a page would show it."""

    from pages import frame
    from pages.sections.maintenance import experiment
    from pages.shell import session, telling

    frame.begin("experiment")
    with telling.errors_in_words():
        experiment.show(session.workshop())


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The simulated workshop as one's own, on the last day of its log."""
    look_at(tmp_path, monkeypatch)
    monkeypatch.setenv("TRACKER_TODAY", str(LAST_DAY))
    with open_store(default_url()) as store:
        store.load(asked()[0], "simulated")
    yield
    forget()


def shown() -> AppTest:
    page = AppTest.from_function(section, default_timeout=300).run()
    assert not page.exception, [problem.message for problem in page.exception]
    return page


def tap(page: AppTest, key: str) -> AppTest:
    page.button(key=key).click().run()
    assert not page.exception, [problem.message for problem in page.exception]
    return page


def written() -> Records:
    with open_store(default_url()) as store:
        return store.records()


def plain(page: AppTest) -> str:
    return words_of(page).replace("\N{NO-BREAK SPACE}", " ")


@pytest.mark.usefixtures("own")
def test_a_proposal_is_read_begun_and_ended() -> None:
    page = shown()
    assert "#### No experiment is running." in plain(page)
    page.number_input(key="experiment-every-shake_dampers").set_value(7).run()
    page.number_input(key="experiment-instead-shake_dampers").set_value(30).run()
    tap(page, "experiment-propose")
    text = plain(page)
    assert "worth finding out. Try both on 4 printers for " in text
    assert "Look once, when" in text
    assert "the maker, the warranty or the local rules" in text
    tap(page, "experiment-begin")
    (one,) = experiments(written())
    assert one.starts_on == LAST_DAY + timedelta(days=1)
    assert one.note.startswith("Planned to tell a ratio of 0.47 with ")
    assert f"begins on {one.starts_on.day} " in plain(page)
    tap(page, f"experiment-end-{one.name}")
    assert experiments(written()) == ()
    assert "the old routine holds again" in plain(page)


@pytest.mark.usefixtures("own")
def test_before_the_look_no_count_by_interval_is_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    plan = asked()[2].experiment
    with open_store(default_url()) as store:
        acts.start_experiment(store, plan)
    monkeypatch.setenv("TRACKER_TODAY", str(plan.starts_on + timedelta(days=30)))
    page = shown()
    assert "nothing is compared before the look" in plain(page)
    assert not any("Failures" in table.value.columns for table in page.dataframe)
    assert any("first" in table.value.columns for table in page.dataframe)


@pytest.mark.usefixtures("own")
def test_a_first_day_that_is_past_is_refused_in_a_sentence() -> None:
    page = shown()
    page.number_input(key="experiment-every-shake_dampers").set_value(7).run()
    page.number_input(key="experiment-instead-shake_dampers").set_value(30).run()
    tap(page, "experiment-propose")
    page.date_input(key="experiment-from").set_value(date(2024, 1, 2)).run()
    tap(page, "experiment-begin")
    assert "First day: 2024-01-02 is past" in plain(page)
    assert experiments(written()) == ()


@pytest.mark.usefixtures("own")
def test_today_says_which_printer_is_on_which_schedule_and_when_to_read(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    plan = asked()[2].experiment
    with open_store(default_url()) as store:
        acts.start_experiment(store, plan)
    assert plan.look_on is not None
    monkeypatch.setenv("TRACKER_TODAY", str(plan.look_on + timedelta(days=2)))
    page = AppTest.from_file(str(ROOT / "tracker" / "app.py"), default_timeout=300).run()
    assert not page.exception, [problem.message for problem in page.exception]
    told = plain(page).replace("\\", "")
    assert f"**{plan.name}**: its look was due when" in told
    at_the_printers(page)
    labels = [button.label for button in page.button if "for the experiment" in button.label]
    assert len(labels) == 4
    assert sum("every 7 days for the experiment, until " in label for label in labels) == 2
    assert sum("every 30 days for the experiment, until " in label for label in labels) == 2


@pytest.mark.usefixtures("own_folder")
def test_at_its_end_the_counts_of_both_intervals_are_shown(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    plan = asked()[2].experiment
    with open_store(default_url()) as store:
        store.load(lived_through(-0.6, plan, 1003), "lived through")
    monkeypatch.setenv("TRACKER_TODAY", str(plan.ends_on + timedelta(days=1)))
    page = shown()
    assert "Fewer damper failures every 7 days" in plain(page)
    (counts,) = [table.value for table in page.dataframe if "Failures" in table.value.columns]
    assert counts["Part"].tolist() == ["Damper", "Damper", "Printhead", "Printhead"]


@pytest.mark.usefixtures("own_folder")
def test_without_a_part_the_next_step_is_shown() -> None:
    with open_store(default_url()) as store:
        acts.add_printer(store, acts.NewPrinter("P1", date(2026, 1, 5)))
    page = shown()
    assert "Log the parts in your printers first" in plain(page)
