"""A printer runs again: the part changed for it is asked about and goes in with the same tap."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.app.conftest import unfolded, words_of
from tests.app.test_log_page import choose, fill, of_place
from tests.copied import Copies
from tracker.store import acts
from tracker.store.connections import default_url
from tracker.store.database import Store

BEGAN = datetime(2026, 10, 30, 8)
W1 = acts.PartPosition("Ada", "damper", "W1")


@pytest.fixture
def own(folder: Path, copies: Copies) -> Store:
    return copies.opened(default_url(), fill)


def stands(store: Store, cause: str = "", *, broke: acts.PartPosition | None = None) -> int:
    """Ada stands since 30 October; where a part broke, it came out and its place is empty."""
    change = None
    if broke is not None:
        change = acts.PartChange(broke, acts.Removal(BEGAN.date(), "failed"), None)
    stop = acts.Stoppage("Ada", BEGAN, cause=cause)
    acts.something_broke(store, acts.Breakdown("Ada", BEGAN.date(), change, stop))
    return int(store.records().stoppages.index[-1])


def tapped_on_today(app: Callable[..., AppTest], row: int) -> AppTest:
    return app().button(key=f"runs-{row}").click().run()


def dampers(store: Store) -> list[tuple[str, str]]:
    rows = store.records().fittings.query("position == 'W1'")
    return list(zip(rows["fitted_on"].dt.date.astype(str), rows["removal_reason"], strict=True))


def test_the_place_left_empty_is_filled_with_the_tap_that_says_it_runs(
    app: Callable[..., AppTest], own: Store
) -> None:
    row = stands(own, broke=W1)
    at = tapped_on_today(app, row)
    assert own.records().stoppages["ended_at"].isna().all(), "asked first"
    assert "1 left on the shelf after this." in words_of(at)
    before = len(own.changes(100))
    at.button(key=f"stop-close-{row}").click().run()
    assert not at.error
    assert len(own.changes(100)) == before + 1
    records = own.records()
    assert dampers(own) == [("2026-01-05", "failed"), ("2026-10-31", "")]
    assert records.stoppages["ended_at"].notna().all()
    assert records.stock["quantity"].sum() == 1
    assert "Ada runs again; Damper W1 of Ada is new." in words_of(at)


def test_a_part_that_is_still_in_comes_out_on_the_day_it_stopped(
    app: Callable[..., AppTest], own: Store
) -> None:
    row = stands(own, "part failed")
    at = tapped_on_today(app, row)
    choose(at, f"stop-went-{row}-kind", "damper")
    choose(at, f"stop-went-{row}-position-damper", "W1")
    at.checkbox(key=f"stop-went-{row}-shelf").set_value(False).run()
    at.button(key=f"stop-close-{row}").click().run()
    out = own.records().fittings.query("position == 'W1'").iloc[0]
    assert (out.removal_reason, out.removed_on.date()) == ("failed", BEGAN.date())
    assert dampers(own)[-1] == ("2026-10-31", "")
    assert own.records().stock["quantity"].sum() == 2
    assert own.records().stoppages["part_kind"].tolist() == ["damper"]


@pytest.mark.parametrize("cause", ["software or computer", "film jam: torn edge"])
def test_a_cause_that_is_no_part_s_ends_with_one_tap(
    app: Callable[..., AppTest], own: Store, cause: str
) -> None:
    at = tapped_on_today(app, stands(own, cause))
    assert own.records().stoppages["ended_at"].notna().all()
    assert "Ada runs again since" in words_of(at)


def test_a_struck_head_is_proposed_and_is_an_accident(
    app: Callable[..., AppTest], own: Store
) -> None:
    row = stands(own, "head strike")
    at = tapped_on_today(app, row)
    assert at.session_state[f"stop-went-{row}-kind"] == "head"
    at.button(key=f"stop-close-{row}").click().run()
    heads = own.records().fittings.query("part_kind == 'head'")
    assert heads["removal_reason"].tolist() == ["accident", ""]


def test_a_part_changed_meanwhile_is_not_asked_about_again(
    app: Callable[..., AppTest], own: Store
) -> None:
    row = stands(own, "part failed")
    acts.change_part(own, W1, acts.Removal(date(2026, 10, 31), "failed"))
    tapped_on_today(app, row)
    assert len(dampers(own)) == 2
    assert own.records().stoppages["ended_at"].notna().all()


def test_the_log_page_lists_the_shelf(app: Callable[..., AppTest], own: Store) -> None:
    acts.place_order(own, acts.Order("wiper", 2, date(2026, 10, 1)))
    acts.move_stock(own, acts.Movement("damper", date(2026, 10, 2), 3, "received"))
    at = app("log")
    at.session_state["fold-log-shelf"] = True
    at.run()
    table = next(t.value for t in unfolded(at).dataframe if "Pieces" in t.value)
    assert table.set_index("Part")[["Pieces", "Counted", "On order"]].to_dict("index") == {
        "Printhead": {"Pieces": "not counted yet", "Counted": "never", "On order": 0},
        "Damper": {"Pieces": "5", "Counted": "6 Jan 2026", "On order": 0},
        "Wiper blade": {"Pieces": "not counted yet", "Counted": "never", "On order": 2},
    }


@pytest.mark.parametrize("form", ["Something broke", "Part change", "Stoppage"])
def test_after_a_struck_head_the_next_steps_stand_there_and_lead_to_the_nozzle_check(
    app: Callable[..., AppTest], own: Store, form: str
) -> None:
    at = app("log")
    choose(at, "log-what", form)
    if form == "Something broke":
        choose(at, "broke-kind", "head")
        offered = next(g for g in at.button_group if g.key == of_place("broke-mode", "head", "H1"))
        assert "head strike" in [*offered.options][:2]
        choose(at, of_place("broke-mode", "head", "H1"), "head strike")
        choose(at, "broke-stood", "It never stood still")
        at.button(key="broke-save").click().run()
    elif form == "Part change":
        choose(at, "part-kind", "head")
        choose(at, of_place("part-reason", "head", "H1"), "accident")
        at.button(key="part-save").click().run()
    else:
        choose(at, "stop-cause", "head strike")
        at.button(key="stop-save").click().run()
    assert not at.error
    said = words_of(at)
    assert "Before Ada prints again" in said
    assert "pull the plug before moving the carriage" in said
    assert "the maker's instructions come before anything this tool says" in said
    reasons = own.records().fittings["removal_reason"].tolist()
    assert ("accident" in reasons) == (form != "Stoppage")
    at.button(key="struck-check").click().run()
    assert at.session_state["log-what"] == "Nozzle check"


def test_after_any_other_entry_no_steps_stand_there(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("log")
    choose(at, "part-kind", "head")
    at.button(key="part-save").click().run()
    assert "prints again" not in words_of(at)
