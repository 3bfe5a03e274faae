"""How well the routine was kept, in words."""

from __future__ import annotations

import pandas as pd

from tracker.language import _, month_name
from tracker.review.routine_kept import not_always_kept
from tracker.say import numbers
from tracker.workshop import vocabulary


def month_sentence(kept: pd.DataFrame) -> str:
    """A month's routine (see ``routine_kept``) in one sentence, with what was skipped most."""
    due, done = float(kept["due"].sum()), float(kept["in_time"].sum())
    if not due:
        return _("No routine task was due.")
    sentence = _(
        "{share} of the routine was kept: {done} of {due} due tasks were done in time.",
        share=numbers.percent(done / due),
        done=f"{done:.0f}",
        due=f"{due:.0f}",
    )
    for _row, worst in not_always_kept(kept).iloc[:1].iterrows():
        sentence += _(
            " Most often late or skipped: “{task}” on {printer} ({not_kept} of {due} times).",
            task=vocabulary.task_label(worst["task"]),
            printer=worst["printer"],
            not_kept=f"{worst['not_kept']:.0f}",
            due=f"{worst['due']:.0f}",
        )
    return sentence


def months_sentence(kept: pd.DataFrame) -> str:
    """What was done in time in all months of the table, which has their first day as ``month``."""
    due, in_time = kept["due"].sum(), kept["in_time"].sum()
    return _(
        "{in_time} of {due} due since {since} were done in time, {late} late, {missed} missed.",
        in_time=numbers.chance(in_time / due),
        due=numbers.count(due, "action", "actions"),
        since=numbers.day(kept["month"].min()),
        late=f"{kept['late'].sum():.0f}",
        missed=f"{kept['missed'].sum():.0f}",
    )


def shares_table(kept: pd.DataFrame, by: str) -> pd.DataFrame:
    """Share done in time of all months together, then of each, in words, the worst first.

    ``by``: the column whose values are the rows.
    """
    sums = kept.groupby([by, "month"])[["due", "in_time"]].sum()
    shares = (sums["in_time"] / sums["due"]).unstack("month")
    shares.columns = [month_name(month, short=True) for month in shares.columns]
    whole = kept.groupby(by)[["due", "in_time"]].sum()
    shares.insert(0, _("Together"), whole["in_time"] / whole["due"])
    return shares.sort_values(_("Together"), kind="stable").map(_share)


def _share(share: float) -> str:
    """A share of what was done; nothing and everything are counts, not chances."""
    if share != share:
        return "–"
    return {0.0: _("none"), 1.0: _("all")}.get(share, numbers.chance(share))
