"""How well the routine was kept, in words."""

from __future__ import annotations

import pandas as pd

from tracker.review.routine_kept import not_always_kept
from tracker.say import numbers
from tracker.workshop import vocabulary


def month_sentence(kept: pd.DataFrame) -> str:
    """A month's routine (see ``routine_kept``) in one sentence, with what was skipped most."""
    due, done = float(kept["due"].sum()), float(kept["in_time"].sum())
    if not due:
        return "No routine task was due."
    sentence = (
        f"{100 * done / due:.0f} % of the routine was kept: {done:.0f} of {due:.0f} due tasks "
        "were done in time."
    )
    for _, worst in not_always_kept(kept).iloc[:1].iterrows():
        sentence += (
            f" Most often late or skipped: “{vocabulary.task_label(worst['task'])}” on "
            f"{worst['printer']} ({worst['not_kept']:.0f} of {worst['due']:.0f} times)."
        )
    return sentence


def months_sentence(kept: pd.DataFrame) -> str:
    """What was done in time in all months of the table, which has their first day as ``month``."""
    due, in_time = kept["due"].sum(), kept["in_time"].sum()
    return (
        f"{numbers.chance(in_time / due)} of {numbers.count(due, 'action')} due since "
        f"{numbers.day(kept['month'].min())} were done in time, {kept['late'].sum():.0f} late, "
        f"{kept['missed'].sum():.0f} missed."
    )


def shares_table(kept: pd.DataFrame, by: str) -> pd.DataFrame:
    """Share done in time of all months together, then of each, in words, the worst first.

    ``by``: the column whose values are the rows.
    """
    sums = kept.groupby([by, "month"])[["due", "in_time"]].sum()
    shares = (sums["in_time"] / sums["due"]).unstack("month")
    shares.columns = [f"{month:%b %Y}" for month in shares.columns]
    whole = kept.groupby(by)[["due", "in_time"]].sum()
    shares.insert(0, "Together", whole["in_time"] / whole["due"])
    return shares.sort_values("Together", kind="stable").map(_share)


def _share(share: float) -> str:
    """A share of what was done; nothing and everything are counts, not chances."""
    if share != share:
        return "–"
    return {0.0: "none", 1.0: "all"}.get(share, numbers.chance(share))
