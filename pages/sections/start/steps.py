"""The way in: four short steps from nothing to a first forecast, written down as one change."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import streamlit as st

from pages import frame
from pages.sections.start import ages, prices, printers, routine, said
from pages.shell import acting, entry, links, session, telling
from pages.shell.time_zone import machines_zone
from tracker.language import N_, _
from tracker.say import numbers
from tracker.sharing.roles import MANAGE
from tracker.store import acts


@dataclass(frozen=True)
class Step:
    """A step: what it asks, its fields, and what keeps from going on ("" where nothing does)."""

    asks: str
    show: Callable[[session.Workshop], None]
    problem: Callable[[], str]


STEPS = (
    Step(
        N_("Which printers do you have?"),
        printers.show,
        lambda: next(iter(printers.problems(printers.named()).values()), ""),
    ),
    Step(N_("For how long have the parts been in?"), ages.show, lambda: ""),
    Step(
        N_("What do parts cost, and how fast do they come?"),
        prices.show,
        lambda: prices.problem(printers.named()),
    ),
    Step(N_("What do you do regularly?"), routine.show, routine.problem),
)


def show(place: session.Workshop, page: str) -> None:
    """The step that is open, on that page, and the way back and forward."""
    said.restore(page)
    at = _open_step()
    step = STEPS[at]
    frame.headline(_("Start my workshop"), _(step.asks))
    st.progress((at + 1) / len(STEPS), _("Step {at} of {count}", at=at + 1, count=len(STEPS)))
    if at == 0 and not place.is_demo and entry.may_manage():
        _offer_demo()
    if at == 0 and st.button(
        _("Load the spreadsheets I have instead"), key="begin-load", icon=":material/upload_file:"
    ):
        st.session_state["records-wanted"] = "Load files"
        links.go("records")
    step.show(place)
    said.keep()
    last = at == len(STEPS) - 1
    if _goes_on(last=last) and not step.problem():
        if last:
            _write(place)
        else:
            _go(at + 1)
    if at and st.button(_("Back"), width="stretch", key="begin-back"):
        _go(at - 1)


def _offer_demo() -> None:
    """The demo was left for an empty workshop: it is there still, one tap away."""
    st.caption(
        _(
            "The demo workshop stays as it was: go back to it here, or later on the page Records "
            "under Save copies."
        )
    )
    if st.button(_("Back to the demo workshop"), key="begin-demo", icon=":material/arrow_back:"):
        frame.show_demo()
        links.go("today")


def _goes_on(*, last: bool) -> bool:
    key = "begin-next"
    if not last:
        return st.button(_("Continue"), type="primary", width="stretch", key=key)
    label = _("Write it down and show my first forecast")
    return acting.button(label, role=MANAGE, type="primary", width="stretch", key=key)


def _open_step() -> int:
    text = said.answer("step", "0")
    return min(int(text), len(STEPS) - 1) if text.isdecimal() else 0


def _go(step: int) -> None:
    said.put("step", str(step))
    said.move()
    st.rerun()


def _write(place: session.Workshop) -> None:
    """Everything as one change; whatever cannot be is told, and nothing is written."""
    with telling.errors_in_words():
        named = printers.named()
        new = [
            acts.NewPrinter(
                printer.name, place.as_of, head_type=printer.layout.head_type,
                channels=printer.layout.channels, heads=printer.layout.heads,
                usual_parts="unknown", age_guess_days=ages.guesses(number, printer),
            )
            for number, printer in enumerate(named)
        ]  # fmt: skip
        first = acts.FirstRecords(
            new, prices.figures(named), prices.currency(), routine.tasks(), machines_zone()
        )
        batch = acts.begin_workshop(place.store, first, place.as_of)
        said.finish()
        with_them = numbers.count(len(new), "printer", "printers")
        sentence = _("Your workshop has begun with {printers}.", printers=with_them)
        telling.recorded(sentence, batch, page="today")
