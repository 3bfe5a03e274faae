"""What else waits for the owner: one line each, with one button that leads there."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import NamedTuple

import pandas as pd
import streamlit as st

from pages.sections.maintenance import closed_days
from pages.sections.today import downtime, rows
from pages.shell import links, session
from pages.shell.words import marked, plain
from tracker.decisions.ordering.orders import open_orders
from tracker.decisions.warranty import warranty_ending
from tracker.forecast.drift import drift
from tracker.language import N_, _
from tracker.review.untold_reasons import untold_reasons
from tracker.say import numbers
from tracker.say import today as say
from tracker.say.drift import drift_line
from tracker.say.entering.names import waiting
from tracker.say.monthly.untold import many_untold
from tracker.say.warranty import reminder
from tracker.workshop.names import Likeness, alike
from tracker.workshop.records import Records

SITES_SHOWN = 4


class AlsoLine(NamedTuple):
    """A sentence (markdown, stored words escaped), its button, and what a tap does."""

    said: str
    label: str
    key: str
    on_tap: Callable[[], None]


def show(place: session.Workshop, due: pd.DataFrame) -> None:
    """The lines that there are today; nothing where there are none."""
    found = [*_tasks(place, due), *_orders(), *_findings(place)]
    if found or len(downtime.waiting(place)):
        st.header(_("Also"), anchor=False)
    with st.container(gap="xsmall"):
        downtime.show_empty(place)
        for line in found:
            if rows.line(line.said, line.label, line.key):
                line.on_tap()
    closed_days.ask(place)


def _tasks(place: session.Workshop, due: pd.DataFrame) -> list[AlsoLine]:
    """The tasks due, site by site."""
    if due.empty:
        if not place.records.routines.empty:
            return []
        return [
            AlsoLine(
                _("No routine yet: say which task is due how often, and Today tells what is due."),
                _("Set up the routine"),
                "today-routine",
                _to_routines,
            )
        ]
    printers = place.records.printers
    sites = due["printer"].map(dict(zip(printers["printer"], printers["site"], strict=True)))
    if sites.nunique() == 1:
        groups = [("", due)]
    else:
        groups = [(str(site) or _("No site"), some) for site, some in due.groupby(sites)]
    if len(groups) > SITES_SHOWN:
        groups = [("", due)]
    return [
        AlsoLine(
            plain(say.tasks_due(some, site)), _("See the tasks"), f"today-due-{number}", _to_due
        )
        for number, (site, some) in enumerate(groups)
    ]


def _orders() -> list[AlsoLine]:
    found = []
    if late := say.late_orders(session.ask(_open_now)):
        found.append(
            AlsoLine(
                plain(late), _("Say what arrived"), "today-arrived", lambda: links.go("spares")
            )
        )
    ending = session.ask(warranty_ending)
    if len(ending):
        said = marked(reminder(next(ending.itertuples())))
        if len(ending) > 1:
            more = numbers.count(len(ending) - 1, "more claim", "more claims")
            said += " " + _("And {more}.", more=more)
        found.append(AlsoLine(said, _("Write down the claim"), "today-claims", links.go_claims))
    return found


def _findings(place: session.Workshop) -> list[AlsoLine]:
    """What changed, what was resolved and not done yet, what can be read now."""
    found = []
    if changed := session.ask(drift):
        found.append(
            AlsoLine(
                plain(drift_line(changed)),
                _("What changed then"),
                "today-drift",
                lambda: links.go("lives"),
            )
        )
    untold = len(session.ask(untold_reasons))
    if said := many_untold(untold, int(place.records.fittings["removed_on"].notna().sum())):
        found.append(
            AlsoLine(plain(said), _("Say why"), "today-untold", lambda: links.go("review"))
        )
    if written_apart := session.ask(_written_apart):
        found.append(
            AlsoLine(
                plain(waiting(written_apart)),
                _("Make them one"),
                "today-names",
                lambda: links.go_settings(N_("Names")),
            )
        )
    # Most workshops have begun no list and no experiment, and wait for nothing of theirs.
    if len(place.records.actions):
        found += _to_dos(place)
    if len(place.records.experiments):
        found += _to_read(place)
    return found


def _to_dos(place: session.Workshop) -> list[AlsoLine]:
    from tracker.review.action_list import open_actions
    from tracker.say.monthly.actions import open_sentence

    still_open = open_sentence(open_actions(place.records, place.as_of))
    if not still_open:
        return []
    month: date = place.records.actions["month"].max().date()
    label = _("See the to-dos")
    return [AlsoLine(plain(still_open), label, "today-actions", lambda: _to_review(month))]


def _to_read(place: session.Workshop) -> list[AlsoLine]:
    from tracker.say.maintenance.experiment import reminders
    from tracker.workshop.experiments import experiments

    return [
        AlsoLine(marked(said), _("Read it"), f"today-experiment-{number}", _to_experiments)
        for number, said in enumerate(reminders(experiments(place.records), place.as_of))
    ]


def _open_now(records: Records, as_of: date) -> pd.DataFrame:
    return open_orders(records.known_at(as_of), as_of)


def _written_apart(records: Records, as_of: date) -> list[Likeness]:
    return [found for found in alike(records, answers_only=True) if found.sure]


def _to_due() -> None:
    st.session_state["maintenance-view"] = "Due"
    links.go("maintenance")


def _to_experiments() -> None:
    st.session_state["maintenance-view"] = "Try it out"
    links.go("maintenance")


def _to_review(month: date) -> None:
    st.session_state["review-wanted"] = month
    links.go("review")


def _to_routines() -> None:
    links.go_settings("Routines")
