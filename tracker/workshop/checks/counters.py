"""Readings of one counter that cannot both be true."""

from __future__ import annotations

import numpy as np
import pandas as pd

from tracker.language import _
from tracker.workshop.columns.day_numbers import whole_days
from tracker.workshop.refusal import Findings, written


def check_counters(found: Findings) -> None:
    """A running total cannot go down, nor be two numbers on one day."""
    frame = found.records.counters
    if len(frame) < 2:
        return
    day = whole_days(frame["read_on"], missing=2**40)
    area = frame["area_m2"].to_numpy(dtype=float)
    printer = pd.factorize(frame["printer"])[0]
    order = np.lexsort((area, day, printer))
    judged = found.judged("counters")
    before, after = order[:-1], order[1:]
    same_printer = printer[before] == printer[after]
    same_day = same_printer & (day[before] == day[after]) & (day[after] < 2**40)
    rows = frame.index
    for spot in np.flatnonzero(same_day & (np.abs(area[after] - area[before]) > 0)):
        pair = sorted((int(before[spot]), int(after[spot])))
        target, other = (pair[1], pair[0]) if judged[pair[1]] else (pair[0], pair[1])
        found.refuse_row(
            "counters",
            target,
            "area_m2",
            _(
                "is the second reading of {read_on} (row {rows} says {area})",
                read_on=written(frame["read_on"].iloc[other]),
                rows=rows[other],
                area=written(area[other]),
            ),
            _("keep the reading of the day's end"),
        )
    for spot in np.flatnonzero(same_printer & ~same_day & (area[after] < area[before])):
        low, high = int(after[spot]), int(before[spot])
        previous = int(before[spot - 1]) if spot > 0 and same_printer[spot - 1] else -1
        too_high = previous >= 0 and area[low] >= area[previous]
        target = high if too_high else low
        if not judged[target]:
            target = high if target == low else low
        if target == high:
            problem = _(
                "is above the later reading {area} of {read_on}",
                area=written(area[low]),
                read_on=written(frame["read_on"].iloc[low]),
            )
            mend = _("correct it or row {rows}", rows=rows[low])
        else:
            problem = _(
                "is below the earlier reading {area} of {read_on}",
                area=written(area[high]),
                read_on=written(frame["read_on"].iloc[high]),
            )
            mend = _("correct it or row {rows}", rows=rows[high])
        mend += _(
            "; if the counter was reset, keep the running total: write {area} and go on from there",
            area=written(round(area[high] + area[low], 6)),
        )
        found.refuse_row("counters", target, "area_m2", problem, mend)
