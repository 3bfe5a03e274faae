"""Older history than any day written down: first days of printers and of the log move earlier.

They move only where a person agrees or the file itself says so. A part that was in there already
on the log's first day, and whose fitting day nobody knows, keeps the log's day where it is: on an
earlier day it may not have been in there.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

import pandas as pd

from tracker.language import N_, _
from tracker.store.batch import Batch
from tracker.store.loading.earlier_versions import earlier_versions
from tracker.workshop.age_guesses import first_entry
from tracker.workshop.records import Records

LOG_BEGAN = "log_began_on"
_PLACE = ["printer", "part_kind", "position"]


@dataclass(frozen=True)
class FirstDays:
    """Earlier first days: of printers, by their name, and of the log (None: it stays)."""

    printers: Mapping[str, date] = field(default_factory=dict)
    log: date | None = None


NONE_EARLIER = FirstDays()


def earlier_first_days(known: Records, loaded: Records) -> FirstDays:
    """Which first days does what is to be loaded show to be later than they were?

    To be agreed to by a person. A printer stood there when a part was fitted in it. The log may
    have been kept since the first thing that was noted as it happened, if every failure since was.
    """
    fitted = loaded.fittings.groupby("printer")["fitted_on"].min()
    said = loaded.printers.groupby("printer")["started_on"].min()
    printers = {}
    for printer, day in zip(known.printers["printer"], known.printers["started_on"], strict=True):
        oldest = fitted.get(printer)
        if pd.isna(oldest) or not oldest < day:
            continue
        stood = said.get(printer)
        if not pd.isna(stood) and stood < oldest:
            oldest = stood
        printers[str(printer)] = oldest.date()
    began, first = known.log_began_on, first_entry(loaded)
    earlier = began is not None and first is not None and first.date() < began
    return FirstDays(printers, first.date() if earlier and first is not None else None)


def move_printers(batch: Batch, agreed: FirstDays) -> list[str]:
    """Writes the agreed first days of printers; returns a sentence for each."""
    notes = []
    frame = batch.candidate().printers
    of_unknown_age = batch.records.fittings
    of_unknown_age = of_unknown_age[of_unknown_age["fitted_on"].isna()]
    for row_id, row in frame.iterrows():
        day = agreed.printers.get(row["printer"])
        if day is None or not pd.Timestamp(day) < row["started_on"]:
            continue
        batch.correct("printers", int(str(row_id)), {"started_on": day})
        of_its_own = of_unknown_age["printer"].eq(row["printer"]).any()
        said = _(
            _MOVED_WITH_PARTS if of_its_own else _MOVED,
            printer=row["printer"],
            day=day,
            started_on=f"{row['started_on']:%Y-%m-%d}",
        )
        notes.append(said)
    return notes


_MOVED = N_("The first day of {printer} is now {day} (it was {started_on}).")
_MOVED_WITH_PARTS = N_(
    "The first day of {printer} is now {day} (it was {started_on}); write down when its parts "
    "without a fitting day went in, if you know."
)


@dataclass(frozen=True)
class LogStart:
    """The day on which the file says the log began, earlier than written down so far."""

    said: date
    label: object

    @classmethod
    def of(cls, batch: Batch, settings: pd.DataFrame) -> LogStart | None:
        """What the settings of a file say; None where they say nothing earlier."""
        began = batch.candidate().log_began_on
        rows = settings[settings["name"].eq(LOG_BEGAN)]
        if began is None or len(rows) != 1:
            return None
        text = str(rows["value"].iloc[0])
        day = pd.to_datetime(text, format="%Y-%m-%d", errors="coerce")
        if pd.isna(day) or not day.date() < began:
            return None
        once = earlier_versions(batch.connection, "settings")
        if once.saying({"name": LOG_BEGAN, "value": text}):
            return None  # it was so, and was corrected here
        return cls(day.date(), rows.index[0])


def move_log_start(batch: Batch, loaded: Records, day: date | None) -> tuple[bool, list[str]]:
    """Moves the log's first day to an earlier one; returns whether it could, and what to say.

    To be called when all else of the load is in the batch.
    """
    after = batch.candidate()
    began = after.log_began_on
    if day is None or began is None or not day < began:
        return False, []
    kept = _kept_open(batch, after, loaded)
    if len(kept):
        named = ", ".join(kept[:5]) + (
            _(" and {count} more", count=len(kept) - 5) if len(kept) > 5 else ""
        )
        return False, [
            _(
                "The log's first day stays {began}: nobody wrote down when {named} went in, "
                "only that it was in there on that day; write it down to let the log begin "
                "on {day}.",
                began=began,
                named=named,
                day=day,
            )
        ]
    settings = after.settings
    row_id = int(settings.index[settings["name"].eq(LOG_BEGAN)][0])
    batch.correct("settings", row_id, {"value": day.isoformat()})
    return True, [_("The log's first day is now {day} (it was {began}).", day=day, began=began)]


def _kept_open(batch: Batch, after: Records, loaded: Records) -> list[str]:
    """The places whose part was there on the log's first day and still has no fitting day.

    A file that has such a row itself says it of its own first day.
    """
    before = batch.records.fittings
    unknown = after.fittings[after.fittings["fitted_on"].isna()]
    unknown = unknown[unknown.index.isin(before.index[before["fitted_on"].isna()])]
    told = loaded.fittings[loaded.fittings["fitted_on"].isna()]
    said = pd.MultiIndex.from_frame(told[_PLACE])
    unknown = unknown[~pd.MultiIndex.from_frame(unknown[_PLACE]).isin(said)]
    return [
        _("{position} of {printer}", position=position, printer=printer)
        for printer, position in zip(unknown["printer"], unknown["position"], strict=True)
    ]
