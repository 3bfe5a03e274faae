"""Do a part's lives end by days or by printed area? A finding, said in words."""

from __future__ import annotations

from datetime import date

import numpy as np

from tracker.errors import NotEnoughData
from tracker.lives.life_table import life_table
from tracker.lives.usage import area_between
from tracker.models.scale_choice import choose_scale
from tracker.records.model import Records

_RATE_DAYS = 30  # the printing rate around a failure is the mean of the days before it


def life_scale(records: Records, as_of: date, part_kind: str) -> str:
    """Which scale explains the lives better, judged on the lives that have both ages."""
    days = life_table(records, as_of)
    area = life_table(records, as_of, scale="area")
    both = (days["part_kind"] == part_kind) & days["counted"] & area["counted"]
    days, area = days[both.astype(bool)], area[both.astype(bool)]
    failed = (days["outcome"] == "failed").to_numpy()
    if failed.sum() < 2:
        return (
            f"Cannot tell yet: {failed.sum()} failures have both an age in days and counter "
            "readings. Read the area counter weekly."
        )
    window = np.clip(days["age"].to_numpy(dtype=float), 1, _RATE_DAYS)
    ends = days["removed_on"].fillna(np.datetime64(as_of, "ns"))
    starts = ends - (window * 86_400e9).astype("timedelta64[ns]")
    rate = area_between(records.known_at(as_of), days["printer"], starts, ends) / window
    usable = ~failed | (np.isfinite(rate) & (rate > 0))
    try:
        choice = choose_scale(
            days["age"].to_numpy(dtype=float)[usable],
            area["age"].to_numpy(dtype=float)[usable],
            failed[usable],
            np.where(failed, rate, np.nan)[usable],
            entry_days=days["entry"].to_numpy(dtype=float)[usable],
            entry_area=area["entry"].to_numpy(dtype=float)[usable],
        )
    except NotEnoughData as problem:
        return f"Cannot tell yet: {problem}"
    return f"{choice.sentence()} (Lives that have counter readings: {int(usable.sum())}.)"
