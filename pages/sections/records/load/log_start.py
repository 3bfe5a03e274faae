"""History from before the log's first day: since when is every failure written down?

From that day on the models learn how long parts last; what failed before it teaches them nothing.
"""

from __future__ import annotations

from datetime import date

import pandas as pd
import streamlit as st

from pages.forms.fields import any_day
from pages.shell import session
from pages.shell.words import marked, plain
from tracker.forecast.log_quality.earlier_history import kept_alike
from tracker.language import N_, _
from tracker.say import numbers
from tracker.workshop.records import Records

_FIRST = N_("Since {day}, the first in the files")
_STAYS = N_("Since {day}, as your log says now")
_OTHER = N_("Since another day")
_ALIKE = N_(
    "{changes} of the files lie before {began}, the first day of your log, about as close "
    "together as those after it. The models learn from failures since the day you say."
)
_FEWER = N_(
    "{changes} of the files lie before {began}, the first day of your log, and are rarer than "
    "those after it: some may not have been written down. The models learn from failures since "
    "the day you say."
)


def ask(workshop: session.Workshop, loaded: Records, first: date) -> date | None:
    """The earlier first day of the log that a person says; None: it stays.

    ``first``: of the history in the files. Asked where that brings parts that came out before the
    log began; proposed where they lie about as close together as in the log.
    """
    known = workshop.records
    began, removed = known.log_began_on, loaded.fittings["removed_on"]
    if began is None or not (earlier := int((removed < pd.Timestamp(began)).sum())):
        return None
    both = pd.concat([known.fittings, loaded.fittings], ignore_index=True)
    alike = kept_alike(both, first, began, workshop.as_of)
    days = {_FIRST: numbers.day(first), _STAYS: numbers.day(began), _OTHER: ""}
    answer = st.pills(
        _("Since which day is every failure written down?"),
        list(days),
        default=_FIRST if alike else _STAYS,
        required=True,
        format_func=lambda said: plain(_(said, day=days[said])),
        key=f"load-log-{first}",
    )
    changes = numbers.count(earlier, "part change", "part changes")
    told = _(_ALIKE if alike else _FEWER, changes=changes, began=numbers.day(began))
    st.caption(marked(told))
    if answer != _OTHER:
        return first if answer == _FIRST else None
    return any_day(_("Every failure is written down since"), first, f"load-log-day-{first}")
