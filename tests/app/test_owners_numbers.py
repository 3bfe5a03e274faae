"""One truth in all places: what Today, Spares, Part lives and the review tell of the same thing."""

from __future__ import annotations

import re

import pytest
from streamlit.testing.v1 import AppTest

from tests.app.conftest import ROOT, words_of
from tracker.intake.exchange import read_folder

pytestmark = pytest.mark.usefixtures("shared_demo")


def app(name: str) -> AppTest:
    """A page of the demo."""
    page = AppTest.from_file(str(ROOT / "tracker" / "app.py"), default_timeout=600).run()
    if name != "today":
        page.switch_page(str(ROOT / "pages" / f"{name}.py")).run()
    assert not page.exception, [problem.message for problem in page.exception]
    assert not page.error
    return page


def told(page: AppTest) -> str:
    return words_of(page).replace("\N{NO-BREAK SPACE}", " ").replace("\\", "")


def found(pattern: str, text: str) -> str:
    (one,) = set(re.findall(pattern, text))
    return str(one)


def test_today_part_lives_and_review_tell_one_change_of_lives() -> None:
    since = r"Since about \w+ \d{4} parts last \d+ % less long than before"
    today = found(since, told(app("today")))
    review = told(app("review"))
    assert {found(since, told(app("lives"))), found(since, review)} == {today}
    assert "Nothing unusual" not in review, "the line above must not say otherwise"


def test_today_and_review_tell_the_same_month_beside_the_same_usual() -> None:
    today, review = app("today"), told(app("review"))
    failures, hours, money = (figure.value.replace("\N{NO-BREAK SPACE}", " ").replace("\\", "")
                              for figure in today.metric[:3])  # fmt: skip
    assert f"{failures} parts failed; " in review
    assert f"In all the month cost {money} (" in review
    assert f"; this month {failures}, {hours} and {money}." in review
    usual = [found(r"usually (.+)", caption.value.replace("\N{NO-BREAK SPACE}", " "))
             for caption in today.caption if "usually " in caption.value]  # fmt: skip
    assert f": {usual[0]} failures, {usual[1]} and {usual[2]};" in review


def test_today_and_review_count_the_same_open_to_dos() -> None:
    number = found(r"(\d+) to-dos of the reviews up to September are open", told(app("today")))
    review = app("review")
    text = told(review)
    assert f"{number} to-dos are open." in text
    more = found(r"as known on 30 Sep 2026, propose (\d+) more", text)
    assert review.button(key="review-keep").label == f"Keep these {more} to-dos"
    done = [one for one in review.button if str(one.key).endswith("-done")]
    assert len(done) == int(number) + int(more)


def test_orders_that_have_moved_on_are_told_with_the_answer_of_spares() -> None:
    spares, review = app("spares"), app("review")
    (answer,) = [text.value.removeprefix("#### ") for text in spares.markdown
                 if text.value.startswith("#### ")]  # fmt: skip
    moved = next(text.value for text in review.markdown if "have moved on since" in text.value)
    assert moved.replace("\\", "").endswith(f"since. {answer}".replace("\\", ""))
    assert "those of 30 Sep 2026" in moved.replace("\N{NO-BREAK SPACE}", " ")
    review.button(key="review-spares").click().run()
    assert review.title[0].value == "Spares"


def test_a_supplier_with_one_bad_lot_is_told_of_but_not_advised_against() -> None:
    lives = app("lives")
    lives.button_group(key="lives-view").set_value("Suppliers and lots compared").run()
    worse, failed = re.findall(
        r"parts from ([\w ]+) fail sooner: (\d+) failed where about", told(lives)
    )[0]
    lot, rest = re.findall(
        r"that includes damper lot [\w-]+ \((\d+) failed.+?and without it (\d+) where [\d.]+ is "
        r"usual: no difference beyond chance, so beware of the lot",
        told(lives),
    )[0]
    assert int(lot) + int(rest) == int(failed)
    spares = told(app("spares"))
    assert worse in spares
    assert "whose parts fail sooner" not in spares


def test_a_heads_chances_say_of_what_and_over_which_days() -> None:
    page = app("spares")
    today, spares = told(app("today")), told(page)
    risk = (
        r"six-channel head\)\*\* – .+?"
        r"[Cc]hance of running out before it is here: ((?:under )?\d+ % if ordered now "
        r"\(within \d+ days\)\. If ordered 30 days later \(within \d+ days\): \d+ %)"
    )
    assert found(risk, today) == re.findall(risk, spares, re.S)[0]
    bars = page.get("plotly_chart")[0].proto.spec
    assert "six-channel" not in bars, "a head is ordered by date: its chance is told once"
    short = r"(\d+ % chance of running short within \d+ days)"
    assert re.findall(short, today)[0] in spares


def test_each_count_of_failures_says_which_it_counts() -> None:
    lives, spares = app("lives"), app("spares")
    lives.session_state["lives-view"] = "How sure is that?"
    said = {"Part lives": told(lives.run())}
    for view in ("What is needed", "Order dates"):
        spares.session_state["spares-view"] = view
        said[view] = told(spares.run())
    which = {
        "Part lives": r"(\d+) failures \(of all types, accidents left out\) so far",
        "What is needed": r"(\d+) failures \(of all types, accidents included\) so far",
        "Order dates": r"(\d+) failures \(of its type, accidents left out\) so far",
    }
    counts = {view: int(found(pattern, said[view])) for view, pattern in which.items()}
    heads = read_folder(ROOT / "sample_data").fittings.query("part_kind == 'head'")
    out = heads["removal_reason"].value_counts()
    assert counts["Part lives"] == out["failed"]
    assert counts["What is needed"] == out["failed"] + out["accident"]
    assert 0 < counts["Order dates"] < counts["Part lives"]
