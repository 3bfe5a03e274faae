"""What the day asks for: orders and the printers at a glance, or the work at the printers."""

from __future__ import annotations

from pages import frame
from pages.sections.records import kept_backups
from pages.shell import seat, session, sites
from tracker.language import _


def show(place: session.Workshop) -> None:
    """The answer in one sentence, then the view of whoever is at this device."""
    told = frame.heading(_("Today"))
    sites.choose(place)
    # Only now: the first page of all would stay blank meanwhile; and of one seat only, for the
    # owner's sections bring the models along.
    from pages.sections.today import downtime
    from tracker.decisions.due import due_list
    from tracker.say.today import answer

    due = sites.of_site(place, session.ask(due_list))
    due = due[due["days_late"] >= 0] if len(due) else due
    stopped = downtime.standing(place)["printer"].nunique()  # one may stand for two reasons
    if seat.seat() == seat.TECHNICIAN:
        from pages.sections.today import first_forecast, technician

        told(answer(place.as_of, stopped, None, len(due)))
        technician.show(place, due)
        first_forecast.show(place)
    else:

        def said(orders: int | None) -> None:
            told(answer(place.as_of, stopped, orders, len(due)))

        if frame.just_opened():
            said(None)  # the models are brought along, and of a fleet the orders take a while
        from pages.sections.today import owner

        owner.show(place, due, said)
    seat.offer_other()
    kept_backups.tell_last(place)


place = session.workshop()
if place.records.printers.empty:
    from pages.sections.start import steps

    steps.show(place, "today")
else:
    show(place)
