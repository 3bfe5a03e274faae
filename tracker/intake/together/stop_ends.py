"""When the stoppages of a list were over that tells how long each was.

Where it tells no time of day a stoppage begins at midnight, as a day without a time is read
everywhere, and its note says that only the length is known.
"""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from tracker.intake.headers.sheet_tables import HOURS_STOOD
from tracker.intake.together.standing import ONLY_LENGTH, impossible_hours
from tracker.language import ngettext
from tracker.workshop.contract import STOPPAGES
from tracker.workshop.refusal import Refusal


@dataclass(frozen=True)
class Ended:
    """Rows of a list of stoppages with the ends that their lengths tell; ``refused`` lengths."""

    frame: pd.DataFrame
    refused: tuple[Refusal, ...]
    notices: tuple[str, ...]


def ended(frame: pd.DataFrame) -> Ended | None:
    """The end of each stoppage whose length is told; one that is written down goes before it.

    Those of a printer and day without a time of day come one after the other, as they are listed.
    None where the list tells no lengths.
    """
    if HOURS_STOOD.name not in frame:
        return None
    hours, began = frame[HOURS_STOOD.name], frame["began_at"]
    refused = impossible_hours(hours, STOPPAGES.name, HOURS_STOOD)
    lasts = hours.gt(0) & ~hours.index.isin([refusal.row for refusal in refused])
    made = lasts & began.notna() & frame["ended_at"].isna()
    length = pd.to_timedelta(hours.where(made, 0.0), unit="h").dt.round("s")
    dayless = made & began.eq(began.dt.normalize())
    before = length.where(dayless, pd.Timedelta(0)).groupby([frame["printer"], began]).cumsum()
    began = began.where(~dayless, began + before - length)
    note = frame["note"].where(~dayless, frame["note"].map(_with_only_length))
    told = frame.drop(columns=HOURS_STOOD.name).assign(
        began_at=began, ended_at=frame["ended_at"].where(~made, began + length), note=note
    )
    standing = hours.eq(0) & frame["ended_at"].isna()
    notices = (_timeless(int(dayless.sum())), _none_lasted(int(standing.sum())))
    return Ended(told[~standing], refused, tuple(filter(None, notices)))


def _with_only_length(note: str) -> str:
    return f"{note}; {ONLY_LENGTH}" if note else ONLY_LENGTH


def _timeless(many: int) -> str:
    if not many:
        return ""
    return ngettext(
        "{many} stoppage tells its length and no time of day: it is kept from midnight on, and of "
        "each day at most the working hours count.",
        "{many} stoppages tell their length and no time of day: they are kept from midnight on, "
        "and of each day at most the working hours count.",
        many,
        many=many,
    )


def _none_lasted(many: int) -> str:
    if not many:
        return ""
    return ngettext(
        "{many} stoppage lasted 0 hours; it was left out.",
        "{many} stoppages lasted 0 hours; they were left out.",
        many,
        many=many,
    )
