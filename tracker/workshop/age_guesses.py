"""How long has a part been in, where nobody wrote down the day? Answers a person can give.

The days behind the answers are common practice, no source; what they stand for is spread widely
(``lives.unknown_age``).
"""

from __future__ import annotations

from datetime import date

import pandas as pd

from tracker.language import N_
from tracker.workshop.records import Records
from tracker.workshop.working_days import first_of

# What is written down on the day it happens: the first of these days is the log's.
_WORK = (
    ("maintenance", "done_on"),
    ("counters", "read_on"),
    ("nozzle_checks", "checked_on"),
    ("stoppages", "began_at"),
)
_WRITTEN = (("fittings", "fitted_on"), ("fittings", "removed_on"), *_WORK)

# Fitting days may be known of a time when nothing was logged yet; what is noted as it happens not.
_BESIDE_PARTS = (*_WORK, ("conditions", "noted_on"))
_NOTED = (("fittings", "removed_on"), *_BESIDE_PARTS)

_KNOWN_LATER = pd.Timedelta(days=60)

NO_IDEA = N_("No idea")
AGE_GUESSES: dict[str, float | None] = {
    N_("New"): 0.0,
    N_("Weeks"): 21.0,
    N_("Months"): 120.0,
    N_("About a year"): 365.0,
    NO_IDEA: None,
}
"""The answers to "in there for how long?", each with its days; None: the age stays unknown."""


def of_unknown_age(fittings: pd.DataFrame) -> pd.Series:
    """True for each part that is in, without a fitting day and without a guess of its age."""
    still_in = fittings["removed_on"].isna()
    return still_in & fittings["fitted_on"].isna() & fittings["age_guess_days"].isna()


def log_first_day(known: Records) -> date | None:
    """The day the log began: as stated, else the first on which anything was written down.

    Where work or counters were noted before the first part came out, and fitting days alone reach
    back _KNOWN_LATER further, these were written down later, and the log began with that note.
    """
    if known.log_began_on is not None:
        return known.log_began_on
    first, noted = first_of(known, _WRITTEN), first_entry(known)
    if first is None or noted is None:
        return None if first is None else first.date()
    of_work = first_of(known, _BESIDE_PARTS)
    began = of_work is not None and of_work.normalize() <= noted and noted - first > _KNOWN_LATER
    return (noted if began else first).date()


def guesses_as_of(known: Records, began: date) -> pd.Series:
    """Guesses of ages as of the log's first day or, where the printer came later, of that, as they
    are if the log began on that other day: days by fitting, of those only that change.

    A part is as old as it was said to be, whichever day is called the first. Below 0: it went in
    after that day.
    """
    fittings, was = known.fittings, log_first_day(known)
    guessed = fittings[fittings["fitted_on"].isna() & fittings["age_guess_days"].notna()]
    printers = known.printers.drop_duplicates("printer", keep="last").set_index("printer")
    came = guessed["printer"].map(printers["started_on"])

    def watched_from(day: date) -> pd.Series:
        return came.where(came > pd.Timestamp(day), pd.Timestamp(day))

    moved = (watched_from(began) - watched_from(was or began)).dt.days
    return (guessed["age_guess_days"] + moved)[moved != 0]


def first_entry(records: Records) -> pd.Timestamp | None:
    """The day of the first thing that was noted as it happened; None when nothing was."""
    first = first_of(records, _NOTED)
    return None if first is None else first.normalize()
