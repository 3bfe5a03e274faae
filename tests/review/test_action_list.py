"""The list of a review: carried over, kept, proposed; each thing once, and as of a day."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import date
from types import SimpleNamespace

import pandas as pd
import pytest

from tests.review.workshop_by_hand import by_hand
from tracker.paper.review import paper_html
from tracker.review.action_list import MOST_ACTIONS, action_list, open_actions, people
from tracker.review.month import month_review
from tracker.review.proposals import (
    AskSupplier,
    ClaimWarranty,
    LookOver,
    OrderForShelf,
    Proposal,
    proposals,
)
from tracker.review.suspicion import Suspicion
from tracker.say.monthly import values
from tracker.say.monthly.actions import action_lines, marks, open_sentence, proposal_words, worded
from tracker.say.numbers import unbroken
from tracker.workshop.records import Records

FEBRUARY, MARCH, APRIL = date(2026, 2, 1), date(2026, 3, 1), date(2026, 4, 1)
MARCH_ENDS, APRIL_ENDS = date(2026, 3, 31), date(2026, 4, 30)
LATER = date(2026, 5, 9)
ORDER = OrderForShelf(SimpleNamespace(part_kind="damper", variant=""))
CLAIM = ClaimWarranty(
    SimpleNamespace(part_kind="wiper", printer="Ada", position="", failed_on=date(2026, 1, 9))
)
BATCH = AskSupplier(Suspicion("damper", "", "X", 14, 9, 1.0, 1e-6, 27, 3, 1, ("Ada",), ()))
TREND = LookOver("Ada")


def wrote(*rows: tuple[str, str, str, str, str, str]) -> Records:
    """Records with these actions: month, words, written on, done on, dropped on, made from."""
    names = ["month", "action", "written_on", "done_on", "dropped_on", "made_from"]
    table = pd.DataFrame(rows, columns=names)
    days = ["month", "written_on", "done_on", "dropped_on"]
    return Records.of(
        {"actions": table.assign(**{name: pd.to_datetime(table[name]) for name in days})}
    )


def march(records: Records, *given: Proposal, on: date = LATER) -> list[tuple[str, str]]:
    found = action_list(records, MARCH, MARCH_ENDS, on, given)
    return [(action.what or action.made_from, action.state) for action in found]


def april(records: Records, *given: Proposal, on: date = LATER) -> list[tuple[str, str]]:
    found = action_list(records, APRIL, APRIL_ENDS, on, given)
    return [(action.what or action.made_from, action.state) for action in found]


def test_what_earlier_reviews_left_open_comes_first_with_its_month() -> None:
    records = wrote(
        ("2026-03-01", "own", "2026-04-02", "", "", ""),
        ("2026-02-01", "february", "2026-03-02", "", "", ""),
        ("2026-01-01", "january", "2026-02-02", "", "", ""),
    )
    assert march(records, TREND) == [
        ("january", "open"), ("february", "open"), ("own", "open"), (TREND.made_from, "proposed"),
    ]  # fmt: skip
    first, _, own, _ = action_list(records, MARCH, MARCH_ENDS, LATER, [TREND])
    assert first.carried_over
    assert marks(first) == "from the January 2026 review"
    assert not own.carried_over


def test_what_was_done_before_the_month_is_not_carried_over_and_what_was_done_in_it_is_ticked() -> (
    None
):
    records = wrote(
        ("2026-01-01", "before", "2026-02-02", "2026-02-27", "", ""),
        ("2026-01-01", "in it", "2026-02-02", "2026-03-10", "", ""),
        ("2026-01-01", "after it", "2026-02-02", "2026-05-02", "", ""),
        ("2026-01-01", "open", "2026-02-02", "", "", ""),
        ("2026-01-01", "dropped", "2026-02-02", "", "2026-05-01", ""),
    )
    assert march(records) == [("open", "open"), ("in it", "done"), ("after it", "done")]
    # As it stood before May, the third was open and nothing dropped.
    assert march(records, on=date(2026, 4, 3)) == [
        ("after it", "open"), ("open", "open"), ("dropped", "open"), ("in it", "done"),
    ]  # fmt: skip


def test_nothing_is_listed_that_was_written_after_the_day_looked_from() -> None:
    records = wrote(("2026-03-01", "own", "2026-04-02", "2026-04-05", "", "order damper"))
    assert march(records, ORDER, on=MARCH_ENDS) == [(ORDER.made_from, "proposed")]
    assert march(records, ORDER, on=date(2026, 4, 4)) == [("own", "open")]
    assert march(records, ORDER) == [("own", "done")]


def test_an_action_added_to_an_older_review_later_does_not_enter_a_review_held_before() -> None:
    records = wrote(("2026-02-01", "late thought", "2026-04-20", "", "", ""))
    assert march(records) == []
    assert april(records) == [("late thought", "open")]


def test_a_proposal_does_not_stand_beside_what_was_made_of_it() -> None:
    edited = wrote(("2026-03-01", "Order 20 of them.", "2026-04-02", "", "", "order damper"))
    assert march(edited, ORDER, TREND) == [
        ("Order 20 of them.", "open"),
        (TREND.made_from, "proposed"),
    ]
    carried = wrote(("2026-02-01", "Order soon.", "2026-03-02", "", "", "order damper"))
    assert march(carried, ORDER) == [("Order soon.", "open")]
    done_since = wrote(
        ("2026-02-01", "Order soon.", "2026-03-02", "2026-04-03", "", "order damper")
    )
    assert march(done_since, ORDER) == [("Order soon.", "done")]


def test_a_dropped_proposal_is_gone_from_its_month_and_may_come_back_in_the_next() -> None:
    records = wrote(("2026-03-01", "Order.", "2026-04-02", "", "2026-04-02", "order damper"))
    assert march(records, ORDER) == []
    assert april(records, ORDER) == [(ORDER.made_from, "proposed")]


def test_what_was_done_lately_is_not_asked_for_again_at_once() -> None:
    # 14 days before 30 April is the 16th.
    for day, listed in (("2026-04-17", False), ("2026-04-16", True)):
        records = wrote(("2026-03-01", "Looked.", "2026-04-02", day, "", "stoppages Ada"))
        assert ((TREND.made_from, "proposed") in april(records, TREND)) is listed


def test_a_claim_and_a_question_about_a_batch_are_made_once() -> None:
    done = wrote(
        ("2026-01-01", "Claimed.", "2026-02-02", "2026-02-03", "", CLAIM.made_from),
        ("2026-01-01", "Asked.", "2026-02-02", "2026-02-03", "", BATCH.made_from),
    )
    assert march(done, BATCH, CLAIM) == []
    dropped = wrote(
        ("2026-01-01", "Claim.", "2026-02-02", "", "2026-02-03", CLAIM.made_from),
        ("2026-01-01", "Ask.", "2026-02-02", "", "2026-02-03", BATCH.made_from),
    )
    assert march(dropped, BATCH, CLAIM) == [(BATCH.made_from, "proposed")]


def test_one_month_gives_few_actions_and_dropping_one_does_not_bring_the_next() -> None:
    many = [LookOver(f"P{n}") for n in range(12)]
    names = [one.made_from for one in many]
    assert len(march(Records(), *many)) == MOST_ACTIONS
    dropped = wrote(("2026-03-01", "Do 0.", "2026-04-02", "", "2026-04-02", names[0]))
    assert [what for what, _ in march(dropped, *many)] == names[1:MOST_ACTIONS]
    done = wrote(("2026-03-01", "Do 0.", "2026-04-02", "2026-04-02", "", names[0]))
    assert len(march(done, *many)) == MOST_ACTIONS


def test_no_order_is_left_out_for_room() -> None:
    many = [OrderForShelf(SimpleNamespace(part_kind=f"kind {n}", variant="")) for n in range(12)]
    listed = [what for what, _ in march(Records(), BATCH, *many, LookOver("P1"))]
    assert listed == [BATCH.made_from, *(one.made_from for one in many)]


def test_the_months_own_actions_stand_in_the_order_given_to_them() -> None:
    records = wrote(*(("2026-03-01", name, "2026-04-02", "", "", "") for name in "abc"))
    table = records.actions.assign(place=[float("nan"), 2, 1])
    assert [what for what, _ in march(records.with_table("actions", table))] == ["c", "b", "a"]


def test_open_actions_are_told_in_one_sentence() -> None:
    one = wrote(("2026-03-01", "own", "2026-04-02", "2026-04-05", "", ""))
    assert open_sentence(open_actions(one, LATER)) == ""
    assert (
        open_sentence(open_actions(one, date(2026, 4, 2))) == "1 to-do of the March review is open."
    )
    two = wrote(
        ("2026-03-01", "own", "2026-04-02", "", "", ""),
        ("2026-02-01", "older", "2026-03-02", "", "", ""),
    )
    assert (
        open_sentence(open_actions(two, LATER)) == "2 to-dos of the reviews up to March are open."
    )


def test_the_review_tells_its_list_and_its_note_as_table_as_json_and_as_lines() -> None:
    records = by_hand()
    first = month_review(records, MARCH)
    proposal = first.proposals[0]
    proposed = proposal_words(proposal, first.currency).what
    rows = wrote(
        ("2026-02-01", "Buy gloves", "2026-03-02", "", "", ""),
        ("2026-03-01", "Do it otherwise.", "2026-04-02", "2026-04-05", "", proposal.made_from),
    ).actions.assign(assigned_to=["Ana", "Ben"])
    note = pd.DataFrame({"month": [pd.Timestamp(MARCH)], "note": ["Quiet.\nAna was away."],
                         "written_on": [pd.Timestamp("2026-04-02")]})  # fmt: skip
    records = records.with_table("actions", rows).with_table("review_notes", note)
    review = month_review(records, MARCH, as_of=LATER)
    table = values.tables(review)["actions"]
    assert table["what"].tolist()[:2] == ["Buy gloves", "Do it otherwise."]
    assert table["state"].tolist()[:2] == ["open", "done"]
    assert proposed not in table["what"].tolist()
    told = json.loads(json.dumps(values.as_dict(review), allow_nan=False))
    assert told["note"] == "Quiet.\nAna was away."
    assert told["actions"][1] == {
        "month": "2026-03-01", "what": "Do it otherwise.", "why": "", "state": "done",
        "assigned_to": "Ben", "done_on": "2026-04-05", "note": "",
    }  # fmt: skip
    said = action_lines(worded(review), review.note)
    assert said[0] == "  1. ☐ Buy gloves (from the February 2026 review · Ana)"
    assert said[1] == "  2. ☑ Do it otherwise. (Ben · done 5 Apr 2026)"
    assert said[-2:] == ["  Quiet.", "  Ana was away."]
    # Computed again as of the month's end, it is the review that nobody had written into yet.
    assert worded(month_review(records, MARCH))[1].what == proposed
    assert month_review(records, MARCH).note == ""


def test_the_figures_of_a_review_do_not_hang_on_its_list() -> None:
    records = by_hand()
    fresh = month_review(records, MARCH, as_of=LATER)
    listed = records.with_table(
        "actions", wrote(("2026-02-01", "Buy gloves", "2026-03-02", "", "", "")).actions
    )
    again = values.as_dict(month_review(listed, MARCH, as_of=LATER))
    assert {**again, "actions": None} == {**values.as_dict(fresh), "actions": None}
    assert values.as_dict(fresh.with_list(listed, LATER)) == again


def test_names_already_used_come_by_how_often() -> None:
    rows = wrote(*(("2026-03-01", name, "2026-04-02", "", "", "") for name in "abc"))
    records = rows.with_table("actions", rows.actions.assign(assigned_to=["Ben", "Ben", "Ana"]))
    assert people(records) == ["Ben", "Ana"]


@pytest.mark.parametrize("as_of", [None, LATER])
def test_an_empty_workshop_has_an_empty_list(as_of: date | None) -> None:
    review = month_review(Records(), MARCH, as_of=as_of)
    assert review.actions == ()
    assert values.tables(review)["actions"].empty


def test_the_printed_review_shows_boxes_names_the_day_done_and_the_note() -> None:
    records = by_hand()
    table = wrote(
        ("2026-02-01", "Buy <gloves>", "2026-03-02", "", "", ""),
        ("2026-03-01", "Look closer", "2026-04-02", "2026-04-05", "", ""),
    ).actions.assign(assigned_to=["Ana & Co", "Ben"])
    note = pd.DataFrame({"month": [pd.Timestamp(MARCH)], "note": ["Quiet <b>\nAna was away."],
                         "written_on": [pd.Timestamp("2026-04-02")]})  # fmt: skip
    records = records.with_table("actions", table).with_table("review_notes", note)
    page = paper_html(month_review(records, MARCH, as_of=LATER))
    first, *others, last = re.findall("[☐☑] [^<]*", page.split("To do next</h2>")[1])
    assert first.startswith("☐ Buy &lt;gloves&gt;"), "what is left over comes first"
    assert last.startswith("☑ Look closer"), "what is done comes last"
    assert all(other.startswith("☐") for other in others)
    assert "(from the February 2026 review · Ana &amp; Co)" in page
    assert unbroken("(Ben · done 5 Apr 2026)") in page
    assert "<p>Quiet &lt;b&gt; Ana was away.</p>" in page
    every = paper_html(month_review(records, MARCH, as_of=LATER), with_appendices=True)
    assert "<p>Quiet &lt;b&gt;<br>Ana was away.</p>" in every
    assert "Nothing beyond the usual routine" in paper_html(month_review(Records(), MARCH))


def test_many_heads_to_order_are_one_action_and_a_few_are_told_one_by_one() -> None:
    review = month_review(Records(), MARCH)
    dated = pd.DataFrame(
        {
            "part_kind": "head", "variant": "",
            "printer": [f"P{number}" for number in range(5)],
            "position": "H1",
            "order_by": [date(2026, 4, day) for day in range(1, 6)],
            "as_of": MARCH_ENDS, "spares": 0, "ordered_before": 0, "fitted": 5,
            "waiting": 0, "empty_since": pd.NaT,
            "risk_if_ordered_now": 0.02, "risk_if_waiting_30_days": 0.2,
            "risk_before_arrival": float("nan"), "late_comes": float("nan"),
            "late_comes_low": float("nan"), "late_comes_high": float("nan"), "dated_by_risk": False,
            "now_costs_more": 30.0, "later_costs_more": 40.0, "later_days": 30,
            "costs_alike_from": date(2026, 4, 1), "costs_alike_until": date(2026, 4, 9),
            "costs_alike_within": 6.0,
            "lead_days": 20, "lead_days_late": 40, "later_here_days": 50, "unit_cost": 600.0,
            "failures": 9, "life_guessed": True,
        }
    )  # fmt: skip
    rest = (review.kept, review.stoppage_trend, MARCH_ENDS)
    (one,) = proposals((), replace(review.ahead, order_dates=dated), *rest)
    said = proposal_words(one, "EUR")
    assert said.what == "Order 5 × printhead, the first by 1 Apr 2026, the last by 5 Apr 2026."
    assert said.why.startswith("For H1 of P0, H1 of P1, H1 of P2 and 2 more. No spare printheads ")
    assert said.why.endswith("Delivery usually takes 20 days, nine in ten come within 40 days.")
    assert one.made_from == "order head"
    few = proposals((), replace(review.ahead, order_dates=dated.head(2)), *rest)
    assert [act.made_from for act in few] == ["order head P0 H1", "order head P1 H1"]
    assert proposal_words(few[1], "EUR").what == "Order one printhead for H1 of P1 by 2 Apr 2026."
