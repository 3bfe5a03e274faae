"""The review as one HTML file."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

from tests.review.workshop_by_hand import by_hand
from tracker.records.model import Records
from tracker.review.month import month_review
from tracker.review.paper import paper_html, write_paper

MARCH = date(2026, 3, 1)


def test_the_file_fetches_nothing_and_runs_nothing() -> None:
    page = paper_html(month_review(by_hand(), MARCH))
    assert not re.search(r"https?:|//[a-z]|@import|<script|<link|url\((?!#)", page)
    assert len(page.encode()) < 300_000


def test_the_same_review_gives_the_same_bytes(tmp_path: Path) -> None:
    first = write_paper(month_review(by_hand(), MARCH), tmp_path / "a.html").read_bytes()
    again = write_paper(month_review(by_hand(), MARCH), tmp_path / "b.html").read_bytes()
    assert first == again


def test_what_people_wrote_cannot_become_markup() -> None:
    evil = '<script>alert("x")</script>'
    page = paper_html(month_review(by_hand(supplier=evil, note=evil), MARCH))
    assert "<script" not in page
    assert page.count("&lt;script&gt;") >= 2
    assert "Test &amp; Co" in page


def test_ids_of_the_pictures_do_not_clash() -> None:
    ids = re.findall(r'\bid="([^"]+)"', paper_html(month_review(by_hand(), MARCH)))
    assert len(ids) == len(set(ids)) > 0


def test_every_reference_inside_the_pictures_has_its_target() -> None:
    page = paper_html(month_review(by_hand(), MARCH))
    ids = set(re.findall(r'\bid="([^"]+)"', page))
    wanted = set(re.findall(r'(?:href="#|url\(#)([^")]+)', page))
    assert wanted
    assert wanted <= ids


def test_a_month_without_event_and_an_empty_workshop_give_a_page() -> None:
    assert "no part failed" in paper_html(month_review(by_hand(), date(2026, 2, 1)))
    assert "Nothing was fitted" in paper_html(month_review(Records(), MARCH))
