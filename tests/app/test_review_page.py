"""The list of the page Monthly review: kept, changed, given to someone, ticked off, undone."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

from pages.sections.review.month_files import tables_zipped
from tests.app.conftest import unfolded, words_of
from tests.review.workshop_by_hand import by_hand
from tracker.review.action_list import ListedAction
from tracker.review.month import month_review
from tracker.say.monthly import tables
from tracker.say.monthly.actions import worded
from tracker.say.monthly.answer import headline
from tracker.say.numbers import unbroken
from tracker.store import acts
from tracker.store.connections import default_url
from tracker.store.database import open_store
from tracker.workshop.records import Records

# The log by hand ends on 31 March 2026; it is looked at in the first days of April.
TODAY, MARCH, FEBRUARY = date(2026, 4, 3), date(2026, 3, 1), date(2026, 2, 1)


@pytest.fixture(autouse=True)
def first_days_of_april(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TRACKER_TODAY", TODAY.isoformat())
    with open_store(default_url()) as store:
        store.load(by_hand(), "by hand")
        acts.write_action(
            store, FEBRUARY, acts.NewAction("Buy gloves", assigned_to="Ana"), date(2026, 3, 2)
        )


def written() -> Records:
    with open_store(default_url()) as store:
        return store.records()


def rows() -> pd.DataFrame:
    return written().actions.set_index("action")


def proposals() -> list[str]:
    review = month_review(written(), MARCH, as_of=TODAY)
    return [action.what for action in worded(review) if action.state == "proposed"]


def first_proposal() -> ListedAction:
    """The first one in its words."""
    review = month_review(written(), MARCH, as_of=TODAY)
    return next(action for action in worded(review) if action.state == "proposed")


def key_of(act: str) -> str:
    """The key of an action's buttons: its record's number."""
    actions = written().actions
    return f"review-{actions.index[actions['action'] == act][0]}"


@pytest.fixture
def review(app: Callable[..., AppTest]) -> AppTest:
    at = app("review")
    assert at.selectbox(key="review-month").value == MARCH
    return at


def press(at: AppTest, key: str) -> AppTest:
    at.button(key=key).click().run()
    assert not at.exception, [problem.message for problem in at.exception]
    return at


def test_the_page_begins_with_what_was_carried_over_and_what_the_figures_propose(
    review: AppTest,
) -> None:
    said = words_of(review)
    assert said.index("Buy gloves") < min(
        said.replace("\\", "").index(unbroken(what)) for what in proposals()
    )
    assert "from the February 2026 review · Ana" in said
    assert len(proposals()) >= 2
    for what in proposals():
        assert unbroken(what).replace(".", "") in said.replace("\\", "").replace(".", "")


def test_one_tap_keeps_all_proposals_and_undo_takes_them_back(review: AppTest) -> None:
    wanted = proposals()
    press(review, "review-keep")
    kept = rows()
    assert kept.index.tolist() == ["Buy gloves", *wanted]
    assert set(kept.loc[wanted, "month"]) == {pd.Timestamp(MARCH)}
    assert set(kept.loc[wanted, "written_on"]) == {pd.Timestamp(TODAY)}
    assert "review-keep" not in [button.key for button in review.button]
    press(review, "undo-last")
    assert rows().index.tolist() == ["Buy gloves"]
    assert review.button(key="review-keep")


def test_one_tap_ticks_off_and_another_takes_the_tick_away(review: AppTest) -> None:
    key = key_of("Buy gloves")
    press(review, f"{key}-done")
    assert rows().loc["Buy gloves", "done_on"] == pd.Timestamp(TODAY)
    assert unbroken("done 3 Apr 2026") in words_of(review)
    press(review, f"{key}-reopen")
    assert pd.isna(rows().loc["Buy gloves", "done_on"])
    press(review, "undo-last")
    assert rows().loc["Buy gloves", "done_on"] == pd.Timestamp(TODAY)


def test_a_proposal_is_changed_and_given_to_someone_and_not_proposed_again(
    review: AppTest,
) -> None:
    first = first_proposal()
    key = f"review-{first.made_from}"
    press(review, f"{key}-change")
    review.text_area(key=f"{key}-what").set_value("Order it next week")
    review.selectbox(key=f"{key}-person").set_value("Ana")
    review.text_input(key=f"{key}-note").set_value("by post")
    press(review, f"{key}-save")
    row = rows().loc["Order it next week"]
    assert (row["assigned_to"], row["note"], row["made_from"]) == (
        "Ana",
        "by post",
        first.made_from,
    )
    assert row["reason"] == first.why
    assert first.what not in proposals()
    said = words_of(review)
    assert "Order it next week" in said
    assert unbroken(first.what).rstrip(".") not in said.replace("\\", "")


def test_a_written_action_is_changed_and_moved_up(review: AppTest) -> None:
    press(review, "review-keep")
    _, first, second, *_ = rows().index
    key = key_of(second)
    press(review, f"{key}-change")
    press(review, f"{key}-up")
    assert rows().loc[[second, first], "place"].tolist() == [1, 2]
    key = key_of("Buy gloves")
    press(review, f"{key}-change")
    review.text_area(key=f"{key}-what").set_value("Buy blue gloves")
    press(review, f"{key}-save")
    assert "Buy blue gloves" in rows().index
    press(review, "undo-last")
    assert "Buy gloves" in rows().index


def test_what_is_not_needed_leaves_the_list_and_undo_brings_it_back(review: AppTest) -> None:
    first = first_proposal()
    press(review, f"review-{first.made_from}-drop")
    assert rows().loc[first.what, "dropped_on"] == pd.Timestamp(TODAY)
    assert first.what not in proposals()
    press(review, "undo-last")
    assert first.what in proposals()
    press(review, f"{key_of('Buy gloves')}-drop")
    assert f"{key_of('Buy gloves')}-done" not in [button.key for button in review.button]


def test_an_action_of_ones_own_is_added_and_an_empty_one_is_refused_in_words(
    review: AppTest,
) -> None:
    review.text_input(key="review-add-why-2026-03").set_value("It squeaks.")
    press(review, "review-add-go")
    assert "has no words; write what is to be done" in review.error[0].value
    assert review.text_input(key="review-add-why-2026-03").value == "It squeaks.", "nothing is lost"
    review.text_input(key="review-add-what-2026-03").set_value("Oil the hinge [left]")
    review.selectbox(key="review-add-person-2026-03").set_value("Ana")
    press(review, "review-add-go")
    row = rows().loc["Oil the hinge [left]"]
    assert (row["reason"], row["assigned_to"], row["made_from"]) == ("It squeaks.", "Ana", "")
    assert review.text_input(key="review-add-what-2026-03").value == ""
    review.text_input(key="review-add-what-2026-03").set_value("oil the hinge [left]")
    press(review, "review-add-go")
    assert "is on the list of March 2026 already" in review.error[0].value


def test_a_note_is_saved_changed_undone_and_printed(review: AppTest) -> None:
    field = next(area for area in review.text_area if "remembered" in area.label)
    assert "**Note:**" not in words_of(review)
    assert review.button(key="review-note-save").disabled
    field.set_value("Ana was away.\nTwo fairs.").run()
    press(review, "review-note-save")
    assert written().review_notes["note"].tolist() == ["Ana was away.\nTwo fairs."]
    assert "**Note:** Ana was away." in words_of(review)
    press(review, "undo-last")
    assert written().review_notes.empty
    field = next(area for area in review.text_area if "remembered" in area.label)
    assert field.value == ""


def test_proposals_of_a_long_past_review_are_shown_but_not_kept(
    folder: Path, monkeypatch: pytest.MonkeyPatch, app: Callable[..., AppTest]
) -> None:
    monkeypatch.setenv("TRACKER_TODAY", "2026-08-10")
    at = app("review")
    at.selectbox(key="review-month").set_value(MARCH).run()
    keys = [button.key for button in at.button]
    assert "review-keep" not in keys
    assert f"{key_of('Buy gloves')}-done" in keys
    assert any("Proposed then, not written down" in box.label for box in at.expander)


def test_the_first_page_tells_of_open_actions_and_leads_to_them(
    app: Callable[..., AppTest],
) -> None:
    at = app()
    assert "1 to-do of the February review is open." in words_of(at)
    at.button(key="today-actions").click().run()
    assert not at.exception
    assert at.title[0].value == "Monthly review"
    assert "Buy gloves" in words_of(at)
    with open_store(default_url()) as store:
        acts.finish_action(store, int(store.records().actions.index[0]), TODAY)
    assert "review is open" not in words_of(app("today"))


def test_the_zipped_tables_hold_the_list_and_run_no_formula(review: AppTest) -> None:
    with open_store(default_url()) as store:
        acts.write_action(store, MARCH, acts.NewAction("=1+1", assigned_to="Ana"), TODAY)
    made = month_review(written(), MARCH, as_of=TODAY)
    with zipfile.ZipFile(io.BytesIO(tables_zipped(made))) as archive:
        listed = pd.read_csv(archive.open("actions.csv"))
    assert listed["what"].tolist()[:2] == ["Buy gloves", "'=1+1"]
    assert listed["state"].tolist()[:2] == ["open", "open"]


def test_the_page_has_the_tables_of_the_printed_one_in_the_same_words(review: AppTest) -> None:
    shown = [
        (tuple(frame.value.columns), [tuple(row) for row in frame.value.to_numpy()])
        for frame in unfolded(review).dataframe
    ]
    march = month_review(written(), MARCH, as_of=TODAY)
    for listing in (
        tables.failures(march.happened.events),
        tables.by_cause(march.happened.causes),
        tables.expectation(march.expected),
        tables.hours(march.happened.hours),
        tables.need(march.ahead.need),
        tables.orders(march.ahead.order_dates, march.ahead.orders, march.currency),
        tables.claims(march.ahead.claims),
    ):
        assert listing.rows
        heads = tuple(head or " " for head in listing.heads)
        rows = [tuple(unbroken(cell) for cell in row) for row in listing.rows]
        assert (heads, rows) in shown


def test_the_answer_stands_first_and_everything_else_is_folded_away(review: AppTest) -> None:
    march = month_review(written(), MARCH, as_of=TODAY)
    answer = review.main.markdown[0].value.replace("\\", "")
    assert unbroken(headline(march)) in answer.replace("\\", "")
    assert not review.header[1:], "below To do next nothing has a heading: it opens on tap"
    assert [box.label for box in review.expander][-7:] == [
        "What failed, one by one",
        "Was that unusual?",
        "Hours and money",
        "Routine kept",
        "Is a printer worse than the others, or getting worse?",
        "The next months",
        "Key figures, and how all this was worked out",
    ]
    assert not review.dataframe, "nothing is worked out before a fold is opened"
    unfolded(review)
    assert all(frame.value is not None for box in review.expander for frame in box.dataframe)
    inside = sum(len(box.dataframe) for box in review.expander)
    assert inside == len(review.dataframe) > 0, "no table stands outside a fold"


def test_of_many_to_dos_the_first_four_stand_and_the_others_open_on_tap(review: AppTest) -> None:
    for number in range(6):
        with open_store(default_url()) as store:
            acts.write_action(store, MARCH, acts.NewAction(f"Write {number}"), TODAY)
    review.run()
    (more,) = [box for box in review.expander if box.label.startswith("The other ")]
    assert not [part for part in more.markdown if "Buy gloves" in part.value]
    assert [part for part in more.markdown if "Write 5" in part.value]


def why(at: AppTest) -> list[str]:
    return sorted(str(b.key) for b in at.button if str(b.key).startswith("why-"))


def test_what_came_out_untold_is_asked_in_its_month_and_one_tap_tells_it(
    app: Callable[..., AppTest], review: AppTest
) -> None:
    assert not why(review)
    ada, march = acts.PartPosition("Ada", "wiper", "wiper"), date(2026, 3, 27)
    with open_store(default_url()) as store:
        acts.change_part(store, ada, acts.Removal(march, "unknown"))
    at = app("review")
    fitting = written().fittings.query("removal_reason == 'unknown'").index[0]
    assert "Nobody wrote down why 1 part came out (1 of them in March 2026)" in words_of(at)
    assert "1 more part came out, and nobody wrote down why." in words_of(at)
    assert f"why-failed-{fitting}" in why(at)
    press(at, f"why-failed-{fitting}")
    assert written().fittings.loc[fitting, "removal_reason"] == "failed"
    assert not why(at)
    press(at, "undo-last")
    assert written().fittings.loc[fitting, "removal_reason"] == "unknown"


def test_all_that_came_out_untold_can_be_told_at_once(app: Callable[..., AppTest]) -> None:
    with open_store(default_url()) as store:
        for printer in ("Ada", "Bob"):
            wiper = acts.PartPosition(printer, "wiper", "wiper")
            acts.change_part(store, wiper, acts.Removal(date(2026, 3, 27), "unknown"))
    at = app("review")
    press(at, "why-planned-all")
    assert not why(at)
    fittings = written().fittings
    assert (
        fittings["removed_on"].eq("2026-03-27") & fittings["removal_reason"].eq("planned")
    ).sum() == 2
