"""Why did these parts come out? One tap for each that nobody told of, and it can be undone."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd
import streamlit as st

from pages.shell import acting, session, telling
from pages.shell.words import plain
from tracker.language import N_, _
from tracker.review.month import MonthReview
from tracker.review.untold_reasons import untold_reasons
from tracker.say import numbers
from tracker.say.monthly import untold as say
from tracker.sharing.roles import MANAGE
from tracker.store import acts

_SHOWN = 4
_OF_ALL = {"failed": N_("All {count} failed"), "planned": N_("All {count} were planned")}


def show(place: session.Workshop, review: MonthReview) -> None:
    """Open where some came out that month, folded where only earlier ones are untold, else none."""
    untold = session.ask(untold_reasons)
    untold = untold[untold["removed_on"] <= pd.Timestamp(review.as_of)]
    if untold.empty:
        return
    title = say.untold_question(len(untold))
    if (untold["removed_on"] >= pd.Timestamp(review.month)).any():
        st.header(title, anchor=False)
        _ask(place, review, untold)
    else:
        with st.expander(title):
            _ask(place, review, untold)


def _ask(place: session.Workshop, review: MonthReview, untold: pd.DataFrame) -> None:
    """The latest ones to be settled one by one, and what can be said of all."""
    st.markdown(plain(say.untold_sentence(untold, review.month)))
    for row in untold.head(_SHOWN).itertuples():
        with st.container(border=True):
            st.markdown(plain(say.untold_line(row)))
            _answers(place, [row.Index], say.ANSWERS, f"{row.Index}")
    if (more := len(untold) - _SHOWN) > 0:
        st.caption(_("And {count} more; they follow as these are settled.", count=more))
    if len(untold) > 1:
        _answers(place, untold.index.tolist(), _OF_ALL, "all")


def _answers(
    place: session.Workshop, fittings: Sequence[int], labels: dict[str, str], key: str
) -> None:
    with st.container(horizontal=True, gap="small"):
        for reason, label in labels.items():
            said = _(label, count=numbers.decimal(len(fittings)))
            if acting.button(said, role=MANAGE, key=f"why-{reason}-{key}"):
                _write(place, fittings, reason)


def _write(place: session.Workshop, fittings: Sequence[int], reason: str) -> None:
    with telling.errors_in_words():
        batch = acts.say_why(place.store, fittings, reason)
        parts = numbers.count(len(fittings), "part", "parts")
        telling.recorded(
            _("{parts}: {reason}.", parts=parts, reason=_(say.ANSWERS[reason]).lower()), batch
        )
