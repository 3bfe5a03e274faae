"""Every page, with the demo, with an empty workshop, with three records, with a kind of its own."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.app.conftest import ROOT, at_the_printers, unfolded, words_of
from tracker.store import acts
from tracker.store.connections import default_url
from tracker.store.database import open_store

PAGES = (
    "today", "log", "printer", "lives", "spares", "maintenance", "review", "records", "start"
)  # fmt: skip


@pytest.mark.parametrize("page", PAGES)
def test_a_page_of_the_demo_says_so_and_shows_no_error(
    on_demo: Callable[..., AppTest], page: str
) -> None:
    at = on_demo(page)
    said = words_of(at)
    assert "Demo workshop – invented data" in said
    assert not at.error
    assert at.button(key="start-own")


@pytest.mark.parametrize("page", PAGES)
def test_a_page_of_an_empty_workshop_teaches_the_next_step(
    app: Callable[..., AppTest], folder: Path, page: str
) -> None:
    open_store(default_url()).close()
    at = app(page)
    assert not at.error
    assert "Demo workshop" not in words_of(at)
    assert words_of(at).strip()
    assert at.info or at.button or at.text_input or at.file_uploader


@pytest.mark.parametrize("page", PAGES)
def test_a_page_works_with_one_printer_and_three_records(
    app: Callable[..., AppTest], folder: Path, page: str
) -> None:
    with open_store(default_url()) as store:
        store.add("printers", {"printer": "Only", "started_on": "2026-09-01", "channels": "K W1"})
        for kind, position in (("head", "H1"), ("flux_valve", "left")):
            store.add(
                "fittings",
                {
                    "printer": "Only", "part_kind": kind, "position": position,
                    "fitted_on": "2026-09-01",
                },
            )  # fmt: skip
    at = app(page)
    assert not at.error, [error.value for error in at.error]


def test_the_first_page_says_what_is_due_what_to_order_and_what_to_watch(
    on_demo: Callable[..., AppTest],
) -> None:
    at = on_demo()
    answer = next(m.value for m in at.markdown if "due" in m.value and "to place" in m.value)
    assert "30\N{NO-BREAK SPACE}Oct 2026" in answer, "no line ends between the day and its month"
    assert "Likeliest to fail next" in words_of(at)


def test_a_change_of_lives_is_said_on_the_first_page_on_part_lives_and_in_the_review(
    on_demo: Callable[..., AppTest],
) -> None:
    # The demo's own story: dampers shaken half as often on one printer from September 2025 on.
    at = on_demo()
    assert "Since about August 2025 parts last " in words_of(at)
    at.button(key="today-drift").click().run()
    at.session_state["review-wanted"] = date(2026, 10, 1)
    for page in ("lives", "review"):
        at = unfolded(on_demo(page))
        (said,) = [w.value for w in at.warning if w.value.startswith("Since about August 2025")]
        assert "on Door began" in said


def test_starting_ones_own_workshop_leaves_the_demo_and_offers_two_ways(
    app: Callable[..., AppTest], folder: Path
) -> None:
    at = app()
    at.button(key="start-own").click().run()
    assert (folder / "workshop.sqlite").exists()
    assert "Demo workshop" not in words_of(at)
    labels = [button.label for button in at.button]
    assert "Load the spreadsheets I have instead" in labels
    assert at.text_input(key="begin-0-name").label == "Name of the printer, as you call it"
    assert "Continue" in labels


def test_a_printer_that_stands_still_comes_first_and_runs_again_with_one_tap(
    app: Callable[..., AppTest], folder: Path
) -> None:
    with open_store(default_url()) as store:
        acts.add_printer(store, acts.NewPrinter("Loft", date(2026, 1, 5), channels="K"))
        acts.begin_stoppage(
            store, acts.Stoppage("Loft", datetime(2026, 10, 30, 8, 0), cause="no vacuum")
        )
        at = app()
        said = words_of(at)
        assert ": 1 printer stands still, " in said
        order = in_reading_order(at)
        stands = next(n for n, each in enumerate(order) if "**Loft** stands still since" in each)
        assert stands < order.index("It runs again") < order.index("Set up the routine")
        at.button(key=f"runs-{store.records().stoppages.index[0]}").click().run()
        assert not at.error
        assert store.records().stoppages["ended_at"].notna().all()
        assert "stands still" not in words_of(at)


def test_a_task_done_stays_in_its_line_so_that_nothing_moves_under_the_finger(
    app: Callable[..., AppTest], folder: Path
) -> None:
    with open_store(default_url()) as store:
        for name in ("A", "B"):
            acts.add_printer(store, acts.NewPrinter(name, date(2026, 1, 5), channels="K"))
        for task in ("stir_ink", "wipe_encoder"):
            store.add("routines", {"task": task, "every_days": 7, "starts_on": "2026-10-31"})

    def lines(at: AppTest) -> list[str]:
        keys = [str(button.key) for button in at.button]
        return [key.partition("-")[2] for key in keys if key.startswith(("done-", "was-"))]

    at = at_the_printers(app())
    before = lines(at)
    assert len(before) == 6  # two tasks and "All done" for each printer
    at.button(key="done-A-stir_ink").click().run()
    at.button(key="done-A-wipe_encoder").click().run()
    assert lines(at) == before
    assert at.button(key="was-A-stir_ink").disabled
    assert "**A** – all done" in words_of(at)


def in_reading_order(at: AppTest) -> list[str]:
    """What stands on the page from top to bottom: the words, and the buttons by their labels."""
    return [
        str(element.label if element.type == "button" else element.value)
        for element in at.main
        if element.type in ("button", "caption", "markdown", "warning")
    ]


def test_no_button_of_the_first_page_stands_above_the_caution_of_what_it_says_is_done(
    app: Callable[..., AppTest], folder: Path
) -> None:
    with open_store(default_url()) as store:
        acts.add_printer(store, acts.NewPrinter("Ada", date(2026, 1, 5), channels="K"))
        for task in ("flush_in_place", "wipe_encoder"):
            store.add("routines", {"task": task, "every_days": 7, "starts_on": "2026-10-31"})
    order = in_reading_order(at_the_printers(app()))
    cautions = [at for at, words in enumerate(order) if words.startswith("⚠️")]
    done = [at for at, words in enumerate(order) if words.startswith("Done on Ada: ")]
    assert len(cautions) == len(done) == 2
    assert order.index("All done on Ada") > max(cautions)
    assert all(caution < button for caution, button in zip(cautions, done, strict=True))


@pytest.mark.usefixtures("shared_demo")
def test_the_answer_of_part_lives_stands_above_what_changed() -> None:
    page = AppTest.from_file(str(ROOT / "tracker" / "app.py"), default_timeout=300)
    shown = in_reading_order(page.switch_page(str(ROOT / "pages" / "lives.py")).run())
    order = [words.replace("\\", "") for words in shown]
    answer = next(at for at, words in enumerate(order) if words.startswith("#### Printhead: "))
    changed = next(at for at, words in enumerate(order) if words.startswith("Since about "))
    assert answer < changed
