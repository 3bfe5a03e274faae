"""Today for whoever runs the workshop: what to order, the printers, the month, what else waits."""

from __future__ import annotations

from collections.abc import Callable

import pandas as pd

from pages import frame
from pages.sections.today import also, board, downtime, first_forecast, month, orders
from pages.shell import seat


def show(place: frame.Workshop, due: pd.DataFrame, answer: Callable[[int], None]) -> None:
    """One section after the other; ``answer`` is told how many orders there are to place."""
    lines = orders.wanted(place)
    answer(sum(line.is_due for line in lines))
    seat.ask_once()
    first_forecast.show(place)
    downtime.show_standing(place)
    orders.show(place, lines)
    board.show(place)
    month.show(place)
    month.does_it_pay(place)
    also.show(place, due)
