"""The review as one HTML file."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import pandas as pd
from playwright.sync_api import Browser

from tests.review.workshop_by_hand import by_hand
from tracker import __version__
from tracker.charts.added_up import added_up_picture
from tracker.charts.screen import on_screen
from tracker.forecast.drift import Drift, LogChange
from tracker.paper.blocks import table
from tracker.paper.review import MOST_FAILURES, MOST_TO_DO, paper_html, write_paper
from tracker.paper.review_appendices import shortened
from tracker.paper.svg import svg
from tracker.review.action_list import ListedAction
from tracker.review.corrected import Corrections
from tracker.review.month import MonthReview, month_review
from tracker.say.listing import Listing
from tracker.say.monthly import tables
from tracker.say.numbers import unbroken
from tracker.workshop.records import Records

MARCH = date(2026, 3, 1)


def test_the_file_fetches_nothing_and_runs_nothing() -> None:
    page = paper_html(month_review(by_hand(), MARCH), with_appendices=True)
    assert not re.search(r"https?:|//[a-z]|@import|<script|<link|url\((?!#)", page)
    assert len(page.encode()) < 300_000


def test_the_same_review_gives_the_same_bytes(tmp_path: Path) -> None:
    first = write_paper(month_review(by_hand(), MARCH), tmp_path / "a.html").read_bytes()
    again = write_paper(month_review(by_hand(), MARCH), tmp_path / "b.html").read_bytes()
    assert first == again


def test_what_people_wrote_cannot_become_markup() -> None:
    evil = '<script>alert("x")</script>'
    review = month_review(by_hand(supplier=evil, note=evil), MARCH)
    page = paper_html(review, with_appendices=True)
    assert "<script" not in page
    assert page.count("&lt;script&gt;") >= 2
    assert "Test &amp; Co" in page


def test_a_change_of_lives_stands_among_what_is_unusual() -> None:
    review = month_review(by_hand(), MARCH)
    assert review.drift is None, "three months of two printers tell no change"
    assert "Since about" not in paper_html(review)
    lot = LogChange("ink_lot", "white <7>", "", date(2025, 9, 4))
    changed = replace(
        review, drift=Drift(date(2026, 3, 31), date(2025, 9, 1), 0.5, 0.4, 0.7, 0.99, (lot,))
    )
    said = "Since about September 2025 parts last half as long as before; what is"
    assert said in paper_html(changed)
    page = paper_html(changed, with_appendices=True)
    section = page.split("Was that unusual?</h2>")[1].split("<h2")[0]
    assert "parts last half as long as before" in section
    assert "ink lot white &lt;7&gt; was opened" in section


def test_ids_of_the_pictures_do_not_clash() -> None:
    page = paper_html(month_review(by_hand(), MARCH), with_appendices=True)
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids)) > 0


def test_every_reference_inside_the_pictures_has_its_target() -> None:
    page = paper_html(month_review(by_hand(), MARCH), with_appendices=True)
    ids = set(re.findall(r'\bid="([^"]+)"', page))
    wanted = set(re.findall(r'(?:href="#|url\(#)([^")]+)', page))
    assert wanted
    assert wanted <= ids


def test_a_month_without_event_and_an_empty_workshop_give_a_page() -> None:
    assert "No part failed" in paper_html(month_review(by_hand(), date(2026, 2, 1)))
    assert "Nothing known before the month" in paper_html(month_review(Records(), MARCH))


def test_the_page_says_what_was_corrected_since_and_only_then() -> None:
    since = Corrections(MARCH, date(2026, 4, 5), {("stoppages", "added"): 1}, {}, {}, ())
    page = paper_html(month_review(by_hand(), MARCH, corrections=since))
    assert unbroken("after 5 Apr 2026: 1 record of March 2026 (1 stoppage added).") in page
    assert "Corrected since" not in paper_html(month_review(by_hand(), MARCH))


def test_every_printed_page_carries_workshop_month_day_and_version() -> None:
    page = paper_html(month_review(by_hand(), MARCH))
    footer = re.findall(r'@bottom-left \{ content: "([^"]*)"', page)
    assert len(footer) == 1
    told = re.sub(r"\\([0-9a-f]{6})", lambda found: chr(int(found[1], 16)), footer[0])
    assert (
        told
        == f"Test & Co · Review of March 2026 · as known on 31 Mar 2026 · version {__version__}"
    )


def test_a_workshops_name_cannot_leave_the_style_it_is_written_into() -> None:
    records = by_hand()
    evil = 'A"; } </style><script>x</script> \\'
    renamed = records.settings.assign(
        value=records.settings["value"].where(records.settings["name"] != "workshop", evil)
    )
    page = paper_html(month_review(records.with_table("settings", renamed), MARCH))
    usual = paper_html(month_review(records, MARCH))
    assert page.count("</style>") == usual.count("</style>")
    assert "<script" not in page


def test_long_lists_are_cut_and_say_so() -> None:
    figures = pd.DataFrame(
        {"this_month": range(30), "month_before": 1.0, "mean_before": 1.0},
        index=[f"P{number:02d}" for number in range(30)],
    )
    page = table(tables.hours(shortened(figures, 12)))
    # The twelve largest, 18 … 29, stand; 0 … 17 add up to 153.
    assert "<td>P18</td>" in page
    assert "<td>P17</td>" not in page
    assert '<td>18 others together</td><td class="n">153.0</td>' in page
    page = table(Listing(("Day", "What"), tuple((f"{n}", "x") for n in range(30))), 16)
    assert page.count("<tr>") == 1 + 16
    assert "And 14 more; all of them are in the CSV tables." in page


def test_no_number_is_torn_from_its_unit() -> None:
    page = paper_html(month_review(by_hand(), MARCH), with_appendices=True)
    words = re.sub(r"<style>.*?</style>|<svg.*?</svg>", "", page, flags=re.DOTALL)
    words = re.sub(r"<[^>]+>", "\n", words)
    assert "%" in words
    assert "€" in words
    assert not re.search(r"\d [%€]", words)


def test_the_pictures_on_paper_and_on_the_screen_draw_the_same_lines() -> None:
    review = month_review(by_hand(), MARCH)
    picture = added_up_picture(review.stoppage_trend)
    figure = on_screen(picture)
    names = [trace.name for trace in figure.data if trace.showlegend is not False]
    drawn = svg(picture)
    assert names == ["mean of all printers, 95 % sure of the mean", "Ada", "Bob"]
    assert all(name in drawn for name in names)
    assert figure.layout.xaxis.title.text in drawn
    assert figure.layout.yaxis.title.text in drawn


def crowded() -> MonthReview:
    """A review in which everything is long: names, notes, to-dos and the kinds of part."""
    review = month_review(by_hand(note="Left to dry over the fair. " * 9), MARCH)
    kinds = review.expected[review.expected["what"] == "part_kind"].iloc[:1]
    many = [kinds.assign(variant=f"head of the {n}th sort, wide", observed=n) for n in range(14)]
    events = pd.concat([review.happened.events] * 9, ignore_index=True)
    happened = replace(
        review.happened,
        events=events.assign(variant="eight-channel head of the second sort", mode="cracked " * 4),
        untold=112,
    )
    acts = [
        ListedAction(
            MARCH, "Ask the supplier about every part of that lot " * 6, "Nobody knows it " * 30,
            "open", "Ana-Maria of the night shift",
        )
        for _ in range(20)
    ]  # fmt: skip
    return replace(
        review, is_demo=True, happened=happened, actions=tuple(acts), note="Much to tell. " * 90,
        expected=pd.concat([review.expected, *many], ignore_index=True),
        drift=Drift(date(2026, 3, 31), date(2025, 9, 1), 0.5, 0.4, 0.7, 0.99, ()),
        corrections=Corrections(MARCH, date(2026, 4, 5), {("stoppages", "added"): 1}, {}, {}, ()),
    )  # fmt: skip


def test_the_review_prints_on_one_sheet_and_the_appendices_on_more(
    chromium: Browser, tmp_path: Path
) -> None:
    page = chromium.new_page()

    def sheets(review: MonthReview, *, with_appendices: bool = False) -> int:
        file = write_paper(review, tmp_path / "r.html", with_appendices=with_appendices)
        page.goto(file.as_uri())
        printed: bytes = page.pdf(format="A4")
        return printed.count(b"/Type /Page\n")

    usual = month_review(by_hand(), MARCH)
    assert sheets(usual) == 1
    assert sheets(usual, with_appendices=True) > 1
    assert sheets(crowded()) == 1


def test_a_list_cut_on_the_sheet_leaves_out_what_costs_least() -> None:
    fittings = by_hand().fittings
    wipers = fittings[fittings["removed_on"].dt.month == 3].iloc[[0] * MOST_FAILURES].copy()
    wipers["printer"] = [f"P{number}" for number in range(MOST_FAILURES)]
    wipers["removed_on"] = pd.Timestamp(
        "2026-03-05"
    )  # all before the head, which struck on the 24th
    records = by_hand().with_table("fittings", pd.concat([fittings, wipers], ignore_index=True))
    review = month_review(records, MARCH)
    assert len(review.happened.events) > MOST_FAILURES
    sheet = paper_html(review).split("To do next")[0]
    assert "head strike" in sheet


def test_what_people_wrote_down_hides_no_order_of_the_sheet() -> None:
    review = month_review(by_hand(), MARCH)
    written = [ListedAction(MARCH, f"Buy gloves {n}", "", "open") for n in range(9)]
    done = [ListedAction(MARCH, f"Sweep {n}", "", "done") for n in range(3)]
    (proposal, *_others) = review.proposals
    proposed = ListedAction(MARCH, "", "", "proposed", proposal=proposal)
    page = paper_html(replace(review, actions=(*written, *done, proposed)))
    assert page.count("☐ ") == MOST_TO_DO
    assert page.count("☐ Buy gloves") == MOST_TO_DO - 1, "the last place is the proposal's"
    assert "Sweep" not in page
    assert f"And {13 - MOST_TO_DO} more; all of them stand in the appendices." in page


def test_what_the_one_sheet_has_no_room_for_stands_in_the_appendices() -> None:
    page = paper_html(crowded())
    assert page.count("☐ Ask the supplier") == MOST_TO_DO
    assert f"And {20 - MOST_TO_DO} more; all of them stand in the appendices." in page
    every = paper_html(crowded(), with_appendices=True)
    assert every.count("☐ Ask the supplier") == MOST_TO_DO + 20
    assert "Much to tell. " * 80 in every
    assert "How this was worked out" not in page
    assert "How this was worked out" in every
