"""Groups of lives compared: do suppliers, batches, inks, ink lots, head types or sites differ?"""

from __future__ import annotations

import numpy as np
import pandas as pd
import streamlit as st

from pages import frame
from tracker.charts.survival import groups_picture
from tracker.errors import NotEnoughData
from tracker.lives.life_table import ages
from tracker.lives.lots_in_use import lot_in_use
from tracker.models.curves.group_test import chance_alike
from tracker.models.curves.survival_curve import survival_curve
from tracker.say import numbers

GROUPS = {
    "ink": "Ink", "supplier": "Supplier", "batch": "Batch", "printer": "Printer",
    "head_type": "Head type", "site": "Site", "ink_lot": "Ink lot",
}  # fmt: skip
_MOST = 6


def show(place: frame.Workshop, kind: str, lives: pd.DataFrame) -> None:
    """One comparison at a time, with the honest sentence when the data cannot tell.

    The ink lot is the one that was in use when the part was fitted.
    """
    lives = lives[lives["counted"].astype(bool)]
    lot = lot_in_use(place.records, lives["printer"], lives["fitted_on"], "ink_lot")
    lives = lives.assign(ink_lot=lot)
    possible = [name for name in GROUPS if (lives[name][lives[name] != ""]).nunique() > 1]
    if not possible:
        return
    st.header("Groups compared", anchor=False)
    by = st.segmented_control(
        "Compare by", possible, default=possible[0], format_func=GROUPS.__getitem__,
        key=f"groups-{kind}",
    ) or possible[0]  # fmt: skip
    named = lives[lives[by] != ""]
    largest = named[by].value_counts()
    kept = sorted(largest.index[:_MOST])
    named = named[named[by].isin(kept)]
    arrays = ages(named)
    try:
        chance = chance_alike(arrays.age, arrays.failed, named[by].to_numpy(), arrays.entry)
    except NotEnoughData as problem:
        st.info(str(problem), icon=":material/foggy:")
        return
    if chance < 0.05:
        told = (
            "They differ: a difference like this comes by chance in "
            f"{numbers.chance(chance)} of cases."
        )
    else:
        told = (
            "The log cannot tell them apart: differences like these come by chance in "
            f"{numbers.chance(chance)} of cases."
        )
    failures = numbers.count(arrays.failed.sum(), "failure")
    dated = ", each dated when it was found" if np.isfinite(arrays.last_ok).any() else ""
    st.markdown(f"{told} (log-rank test, {failures}{dated})")
    if by == "ink_lot":
        st.caption("The lot that was in use when the part was fitted, as noted under Log, Room.")
    if len(possible) > 1:
        st.caption(
            f"With {len(possible)} comparisons to choose from, one in twenty looks like a "
            "difference by chance alone."
        )
    curves = {}
    for name in kept:
        rows = ages(named[named[by] == name])
        label = f"{name} ({rows.failed.sum()} of {len(rows.age)} failed)"
        curves[label] = survival_curve(rows.age, rows.failed, rows.entry, rows.last_ok)
    frame.chart(groups_picture(curves, "days"), f"Survival by {GROUPS[by].lower()}", f"by-{kind}")
    if largest.size > _MOST:
        st.caption(f"The {_MOST} largest of {largest.size} groups are drawn.")
