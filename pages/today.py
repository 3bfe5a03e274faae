"""What the day asks for: orders and the printers at a glance, or the work at the printers."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.sections.start import steps
from pages.sections.today import (
    also,
    board,
    downtime,
    first_forecast,
    month,
    orders,
    technician,
)
from pages.shell import seat
from tracker.decisions.due import due_list
from tracker.language import _
from tracker.say.today import OrderLine, answer


def show(place: frame.Workshop) -> None:
    """The answer in one sentence, then the view of whoever is at this device; each section fails
    alone.
    """
    due = frame.ask(due_list)
    due = due[due["days_late"] >= 0] if len(due) else due
    stopped = downtime.standing(place.records)["printer"].nunique()  # one may stand for two reasons
    if seat.seat() == seat.TECHNICIAN:
        frame.headline(_("Today"), answer(place.as_of, stopped, None, len(due)))
        first_forecast.show(place)
        technician.show(place, due)
    else:
        top = st.container()
        lines: list[OrderLine] | None = None
        with frame.errors_in_words():
            lines = orders.wanted(place)
        with top:
            to_place = None if lines is None else sum(line.is_due for line in lines)
            frame.headline(_("Today"), answer(place.as_of, stopped, to_place, len(due)))
        seat.ask_once()
        for show_section in (first_forecast.show, downtime.show_standing):
            with frame.errors_in_words():
                show_section(place)
        with frame.errors_in_words():
            if lines is not None:
                orders.show(place, lines)
        for show_section in (board.show, month.show, month.does_it_pay):
            with frame.errors_in_words():
                show_section(place)
        with frame.errors_in_words():
            also.show(place, due)
    seat.offer_other()


place = frame.workshop()
if place.records.printers.empty:
    steps.show(place, "today")
else:
    show(place)
