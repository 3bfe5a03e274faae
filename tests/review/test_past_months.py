"""A past month computed again from a real database: the same figures, or told what was changed."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest

from tests.hands import by
from tracker.intake.exchange import read_folder
from tracker.review.corrected import corrected_since
from tracker.review.month import month_review
from tracker.say.monthly.values import as_dict
from tracker.store.database import Store, open_store

SAMPLE = Path(__file__).parents[2] / "sample_data"
FEBRUARY, MAY = date(2026, 2, 1), date(2026, 5, 1)
# When each review is made, and what was known by then.
MADE_ON = {
    FEBRUARY: (datetime(2026, 3, 1, 18), date(2026, 2, 28)),
    MAY: (datetime(2026, 6, 1, 18), date(2026, 5, 31)),
}


def review_of(store: Store, month: date) -> dict[str, Any]:
    since = corrected_since(store, month)
    return as_dict(month_review(store.records(), month, corrections=since))


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Store, dict[date, Any]]]:
    """The demonstration workshop written down as it went, its reviews made in their time."""
    demo = read_folder(SAMPLE)
    place = tmp_path_factory.mktemp("kept") / "workshop.sqlite"
    with open_store(f"sqlite:///{place}") as store:
        first_made = {}
        for month, (made_on, known) in MADE_ON.items():
            by(store, now=made_on).load(demo.known_at(known), f"sheets up to {known}")
            first_made[month] = review_of(store, month)
        by(store, now=datetime(2026, 11, 1, 18)).load(demo, "sheets up to October")
        yield store, first_made


def test_a_past_month_gives_the_same_review_whatever_was_written_down_later(
    kept: tuple[Store, dict[date, Any]],
) -> None:
    store, first_made = kept
    for month in MADE_ON:
        again = review_of(store, month)
        assert again["corrected"] == ""
        assert again == first_made[month]
    named = {
        month: [(row["supplier"], row["batch"]) for row in first_made[month]["suspicions"]]
        for month in MADE_ON
    }
    assert named[FEBRUARY] == [("Millbrook Supply", "Da-M77")]


def test_a_past_month_says_what_was_corrected_since(
    kept: tuple[Store, dict[date, Any]],
) -> None:
    store, first_made = kept
    fittings = store.records().fittings
    out = fittings[fittings["removed_on"].dt.to_period("M").eq("2026-05")]
    worn = out[out["removal_reason"] == "failed"].index[0]
    done = by(store, now=datetime(2026, 11, 3)).correct(
        "fittings", int(worn), {"removal_reason": "accident"}
    )
    may = review_of(store, MAY)
    assert "1 record of May 2026 (1 part change corrected)" in may["corrected"]
    assert may != first_made[MAY]
    # February knew nothing of it then, and knows nothing of it now.
    assert review_of(store, FEBRUARY) == first_made[FEBRUARY]
    assert done.batch is not None
    by(store, now=datetime(2026, 11, 4)).undo(done.batch)
    assert review_of(store, MAY) == first_made[MAY]
