"""Warranty claims that wait for somebody, with how each stands."""

from __future__ import annotations

from typing import Any

import streamlit as st

from pages.forms.fields import number_in
from pages.forms.together import as_read
from pages.sections import paging
from pages.shell import acting, links, session, telling
from pages.shell.words import plain
from tracker.decisions.warranty import claims_open
from tracker.language import _
from tracker.say import numbers
from tracker.say.warranty import CLAIM_LABELS, claim_line
from tracker.store import acts
from tracker.workshop.contract import FITTINGS

_NEXT: dict[str, tuple[acts.ClaimState, ...]] = {
    "": ("sent", "credited", "refused"),
    "sent": ("credited", "refused"),
}


def show(place: session.Workshop) -> None:
    """Each claim to send or to be answered; nothing where there is none."""
    rows = session.ask(claims_open)
    if rows.empty:
        return
    title = _("Claims open: {count}", count=numbers.count(len(rows), "part", "parts"))
    with st.expander(title, expanded=links.wanted("show") == links.CLAIMS):
        for row in paging.page_of(rows, "claims", per_page=5).itertuples():
            _line(place, row)


def _line(place: session.Workshop, row: Any) -> None:
    text, answer = st.columns([3, 1], vertical_alignment="center")
    text.markdown(plain(claim_line(row, place.currency)))
    with answer.popover(_("How it stands"), width="stretch"):
        now = place.records.fittings.loc[row.Index, ["claim", "claim_amount"]].to_dict()
        form = as_read.opened(f"claim-{row.Index}", now)
        key = form.key
        state = st.segmented_control(
            _("The claim is"),
            _NEXT[row.claim],
            format_func=lambda state: _(CLAIM_LABELS[state]),
            default=_NEXT[row.claim][0],
            required=True,
            key=f"{key}-state",
        )
        amount = st.text_input(
            _("Amount ({currency})", currency=plain(place.currency)), key=f"{key}-amount"
        )
        form.drawn()
        with telling.errors_in_words():
            if (
                form.goes(acting.button(_("Write it down"), type="primary", key=f"{key}-save"))
                and state
            ):
                credited = number_in(amount, FITTINGS.column("claim_amount"), _("Amount"))
                said = form.typed({"claim": state, "claim_amount": credited})
                with form.saving():
                    batch = acts.claim_part(
                        place.store,
                        int(row.Index),
                        said["claim"],
                        amount=said["claim_amount"],
                        as_read=form.read,
                    )
                form.saved(f"{_(CLAIM_LABELS[state])}.", batch)
