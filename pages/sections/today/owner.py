"""Today for whoever runs the workshop: what to order, the printers, the month, what else waits."""

from __future__ import annotations

from collections.abc import Callable

import pandas as pd

from pages.sections.today import also, board, downtime, first_forecast, month, orders
from pages.shell import seat, session, telling
from tracker.say.spares.order_lines import OrderLine


def show(place: session.Workshop, due: pd.DataFrame, answer: Callable[[int | None], None]) -> None:
    """One section after the other, each failing alone.

    ``answer`` is told how many orders there are to place; None where that could not be found.
    """
    lines: list[OrderLine] | None = None
    seat.ask_once()  # whoever works at the printers waits for no forecast
    with telling.errors_in_words():
        lines = orders.wanted(place)
    answer(None if lines is None else sum(line.is_due for line in lines))
    for show_section in (first_forecast.show, downtime.show_standing):
        with telling.errors_in_words():
            show_section(place)
    with telling.errors_in_words():
        if lines is not None:
            orders.show(place, lines)
    for show_section in (board.show, month.show, month.does_it_pay):
        with telling.errors_in_words():
            show_section(place)
    with telling.errors_in_words():
        also.show(place, due)
