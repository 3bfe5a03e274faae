"""One question per type of part: for how long has it been in, where nobody knows the day?"""

from __future__ import annotations

from collections.abc import Mapping

import streamlit as st

from tracker.say.ages import how_long
from tracker.workshop.age_guesses import AGE_GUESSES, NO_IDEA
from tracker.workshop.variants import PartType
from tracker.workshop.vocabulary import said


def ask_ages(parts: Mapping[PartType, int], key: str) -> dict[PartType, float | None]:
    """The rough age of each type in days, None for no idea; ``parts`` counts those of each."""
    guesses = {}
    for part, pieces in parts.items():
        answer = st.segmented_control(
            how_long(part, pieces), list(AGE_GUESSES), default=NO_IDEA, required=True,
            format_func=said,
            key=age_key(key, part),
        )  # fmt: skip
        guesses[part] = AGE_GUESSES[answer or NO_IDEA]
    return guesses


def age_key(key: str, part: PartType) -> str:
    """The key of the field of one type."""
    return "-".join(filter(None, (key, "age", *part)))
