"""One question per kind of part: for how long has it been in, where nobody knows the day?"""

from __future__ import annotations

from collections.abc import Mapping

import streamlit as st

from tracker.say.ages import how_long
from tracker.workshop.age_guesses import AGE_GUESSES, NO_IDEA


def ask_ages(kinds: Mapping[str, int], key: str) -> dict[str, float | None]:
    """The rough age of each kind in days, None for no idea; ``kinds`` counts their parts."""
    guesses = {}
    for kind, pieces in kinds.items():
        answer = st.segmented_control(
            how_long(kind, pieces), list(AGE_GUESSES), default=NO_IDEA, required=True,
            key=f"{key}-age-{kind}",
        )  # fmt: skip
        guesses[kind] = AGE_GUESSES[answer or NO_IDEA]
    return guesses
