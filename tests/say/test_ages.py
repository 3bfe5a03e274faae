"""What was assumed of a part of unknown age is told with its days."""

from __future__ import annotations

import pandas as pd
import pytest

from tracker.say.ages import age_assumed, ages_assumed, ages_left_unknown
from tracker.workshop.variants import PartType


def told(guess: float | None, low: float, high: float) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "part_kind": "damper", "variant": "", "position": ["W1", "K"], "printer": "Ada",
            "age_days": None, "age_guess_days": guess, "age_p10": low, "age_p90": high,
        }
    )  # fmt: skip


@pytest.mark.parametrize(
    ("guess", "expected"),
    [
        (None, "age not known: taken as a part in regular service, about 40 to 85 days now"),
        (21.0, "age not known: guessed at about 21 days when the log began, about 40 to 85 days"),
        (0.0, "age not known: taken as new when the log began, about 40 to 85 days now"),
    ],
)
def test_the_words_say_what_was_assumed(guess: float | None, expected: str) -> None:
    row = next(told(guess, 40, 85).itertuples())
    assert age_assumed(row).startswith(expected)


def test_parts_of_which_the_same_was_assumed_share_a_sentence() -> None:
    assert ages_assumed(told(None, 40, 85)) == [
        "Damper W1 of Ada, Damper K of Ada: age not known: taken as a part in regular service, "
        "about 40 to 85 days now."
    ]


def test_parts_nobody_told_the_age_of_are_counted_with_the_way_to_tell_it() -> None:
    parts = {PartType("head", "six-channel head"): 1, PartType("damper"): 6}
    assert ages_left_unknown(parts, "new, weeks, no idea") == (
        "The age of 1 printhead (six-channel head) and 6 dampers is not known: they are taken as "
        "parts in regular service when the log began; to say more, load again with "
        '--age "head, six-channel head=…" and the like (new, weeks, no idea).'
    )
