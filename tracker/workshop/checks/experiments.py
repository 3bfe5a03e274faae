"""What experiments cannot say: two at once, more than two intervals, a printer that is gone."""

from __future__ import annotations

from itertools import pairwise

import pandas as pd

from tracker.language import N_, _
from tracker.workshop.refusal import Findings, written

_TABLE = "experiments"
# What all rows of one experiment share, and why.
_SHARED = {
    "task": N_("one experiment is about one task"),
    "part_kind": N_("one experiment counts the failures of one kind"),
    "look_on": N_("one experiment has one look"),
}


def check_experiments(found: Findings) -> None:
    """Refuses each row that cannot be true beside the others of its experiment, or of another."""
    if not found.is_touched(_TABLE) or found.records.experiments.empty:
        return
    frame = found.records.experiments
    for column, why in _SHARED.items():
        first = frame.groupby("experiment")[column].transform("first")
        found.refuse(
            _TABLE,
            frame[column].ne(first) & ~(frame[column].isna() & first.isna()),
            column,
            lambda at, first=first: (  # type: ignore[misc]
                _(
                    "is not {first}, as in the other rows of {experiment}",
                    first=written(first.iloc[at]),
                    experiment=frame["experiment"].iloc[at],
                )
            ),
            _("{why}: correct it, or give this row the name of another experiment", why=_(why)),
        )
    _check_intervals(found, frame)
    _check_look(found, frame)
    _check_overlap(found, frame)
    _check_retired(found, frame)


def _check_intervals(found: Findings, frame: pd.DataFrame) -> None:
    for name, own in frame.groupby("experiment"):
        intervals = list(dict.fromkeys(own["every_days"].dropna()))
        if len(intervals) < 3:
            continue
        two = _(" and ").join(f"{days:g}" for days in intervals[:2])
        found.refuse(
            _TABLE,
            frame["experiment"].eq(name) & ~frame["every_days"].isin(intervals[:2]),
            "every_days",
            _("is a third interval of {name}, which compares {two}", name=name, two=two),
            _("an experiment compares two: correct it, or make it another experiment"),
        )


def _check_look(found: Findings, frame: pd.DataFrame) -> None:
    groups = frame.groupby("experiment")
    first, last = groups["starts_on"].transform("min"), groups["ends_on"].transform("max")
    # One that was ended early keeps the day of the look that it did not come to.
    found.refuse(
        _TABLE,
        frame["look_on"] < first,
        "look_on",
        lambda at: _("is before the experiment begins on {first}", first=written(first.iloc[at])),
        lambda at: _("write a day up to {last}", last=written(last.iloc[at])),
    )


def _check_overlap(found: Findings, frame: pd.DataFrame) -> None:
    """A printer does a task at one interval at a time."""
    judged = found.judged(_TABLE)
    for (task, printer), places in frame.groupby(["task", "printer"]).indices.items():
        own = frame.iloc[places].reset_index(drop=True)
        order = own.sort_values(["starts_on", "ends_on"], kind="stable").index.tolist()
        for before, after in pairwise(order):
            if not own["starts_on"][after] <= own["ends_on"][before]:
                continue
            target, other = (after, before) if judged[places[after]] else (before, after)
            ends = own["ends_on"][other]
            found.refuse_row(
                _TABLE,
                int(places[target]),
                "starts_on",
                _(
                    "falls into {experiment}, in which {printer} does {task} every "
                    "{every_days} days until {ends}",
                    experiment=own["experiment"][other],
                    printer=printer,
                    task=task,
                    every_days=f"{own['every_days'][other]:g}",
                    ends=written(ends),
                ),
                _("end that one first, or begin after it"),
            )


def _check_retired(found: Findings, frame: pd.DataFrame) -> None:
    printers = found.records.printers.drop_duplicates("printer", keep="last")
    retired = frame["printer"].map(printers.set_index("printer")["retired_on"])
    found.refuse(
        _TABLE,
        frame["starts_on"] > retired,
        "starts_on",
        lambda at: _(
            "is after {printer} left on {retired}",
            printer=frame["printer"].iloc[at],
            retired=written(retired.iloc[at]),
        ),
        _("take the row out, for a printer that is gone does nothing"),
    )
