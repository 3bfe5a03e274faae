"""What the day asks for: orders and the printers at a glance, or the work at the printers."""

from __future__ import annotations

from pages import frame
from pages.sections.records import kept_backups
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
from tracker.say.today import answer


def show(place: frame.Workshop) -> None:
    """The answer in one sentence, then the view of whoever is at this device."""
    due = frame.ask(due_list)
    due = due[due["days_late"] >= 0] if len(due) else due
    stopped = downtime.standing(place.records)["printer"].nunique()  # one may stand for two reasons
    if seat.seat() == seat.TECHNICIAN:
        frame.headline(_("Today"), answer(place.as_of, stopped, None, len(due)))
        first_forecast.show(place)
        technician.show(place, due)
    else:
        lines = orders.wanted(place)
        to_place = sum(line.is_due for line in lines)
        frame.headline(_("Today"), answer(place.as_of, stopped, to_place, len(due)))
        seat.ask_once()
        first_forecast.show(place)
        downtime.show_standing(place)
        orders.show(place, lines)
        board.show(place)
        month.show(place)
        month.does_it_pay(place)
        also.show(place, due)
    seat.offer_other()
    kept_backups.tell_last(place)


place = frame.workshop()
if place.records.printers.empty:
    steps.show(place, "today")
else:
    show(place)
