"""Which part was changed while a printer stood still, as far as what is written down says it?"""

from __future__ import annotations

import numpy as np
import pandas as pd

from tracker.workshop import vocabulary as words
from tracker.workshop.columns.day_numbers import day_number
from tracker.workshop.records import Records
from tracker.workshop.stoppage_causes import HEAD_STRIKE, WITHOUT_A_PART

NONE = ("", "")


def part_after_stop(
    records: Records, stoppage: pd.Series, empty: pd.DataFrame
) -> tuple[str, str] | None:
    """The (kind, position) most likely changed, the position "" where several may be meant.

    ``NONE`` where no part is likely: the cause speaks against one, or a part went in since it
    stopped. None where nothing is known. ``stoppage``: a row of the table; ``empty``: the
    printer's empty positions. A place that waits goes before the part named with the stoppage,
    that before a struck head, and that before what the work done since then is good for.
    """
    cause = str(stoppage["cause"]).partition(":")[0]
    if len(empty):
        named = empty[empty["part_kind"] == stoppage["part_kind"]]
        row = (named if len(named) else empty).iloc[-1]
        return str(row["part_kind"]), str(row["position"])
    day = stoppage["began_at"].normalize()
    fitted = records.fittings[records.fittings["printer"] == stoppage["printer"]]
    if cause in WITHOUT_A_PART or (fitted["fitted_on"] >= day).any():
        return NONE
    kind = str(stoppage["part_kind"]) or ("head" if cause == HEAD_STRIKE else "")
    kind = kind or _helped_by_work(records, str(stoppage["printer"]), day)
    places = fitted.loc[(fitted["part_kind"] == kind) & fitted["removed_on"].isna(), "position"]
    if places.empty:
        return NONE if fitted.empty else None
    return kind, str(places.iloc[0]) if len(places) == 1 else ""


def _helped_by_work(records: Records, printer: str, day: pd.Timestamp) -> str:
    """The part kind that the cleans because of a symptom, since that day, were for."""
    here = records.codes("maintenance", "printer").is_word(printer)
    since = records.day_numbers("maintenance", "done_on") >= day_number(day.date())
    rows = np.flatnonzero(here & since)
    done = records.rows_at("maintenance", rows, "task", "why")
    tasks = done.loc[done["why"] == "symptom", "task"]
    helped = [words.TASKS[task].likely_helps for task in tasks if task in words.TASKS]
    return next((kinds[0] for kinds in helped if kinds), "")
