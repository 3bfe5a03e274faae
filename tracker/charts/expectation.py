"""Failures seen against the range that was to be expected."""

from __future__ import annotations

import pandas as pd

from tracker.charts.colours import BAD, QUIET, SEEN
from tracker.charts.picture import Axis, Picture, Points, Spans, whole_steps
from tracker.language import _
from tracker.say import part_types

_ONE_LINE, _TWO_LINES = 31, 35  # pixels of a row, by the lines of its label
MOST_ROWS = 10  # types of part; those with most to tell


def expectation_picture(expected: pd.DataFrame, month: str) -> Picture:
    """Failures of the month by type of part beside the 80 % range expected, unusual ones in red.

    ``expected`` has ``what, name, variant, observed, expected, low, high, unusual``. The most
    expected on top; of many types those with most failures, seen or expected.
    """
    rows = expected[expected["what"] == "part_kind"]
    telling = rows[["observed", "expected"]].max(axis=1).sort_values(kind="stable")
    rows = rows.loc[telling.index[-MOST_ROWS:]].sort_values("expected", kind="stable")
    rows = rows.assign(
        label=[
            part_types.label(*part).replace(" (", "\n(", 1)
            for part in zip(rows["name"], rows["variant"], strict=True)
        ]
    )
    unusual = rows["unusual"].to_numpy(dtype=bool)
    seen = [
        Points(
            name=name,
            x=list(rows["observed"][here]),
            y=list(rows["label"][here]),
            colour=colour,
            form=form,
            says=_("{x} failed"),
        )
        for name, colour, form, here in (
            (_("failed"), SEEN, "circle", ~unusual),
            (_("failed, more than chance explains"), BAD, "diamond", unusual),
        )
        if here.any()
    ]
    top = float(rows[["observed", "high"]].max().max()) if len(rows) else 1.0
    return Picture(
        title=_("Failed and normal, {month}", month=month),
        x=Axis(
            title=_("failures (number)"),
            from_zero=True,
            whole=True,
            step=whole_steps(top),
        ),
        y=Axis(labels=tuple(rows["label"])),
        marks=(
            Spans(
                name=_("normal (8 of 10 months)"),
                low=rows["low"],
                high=rows["high"],
                rows=rows["label"],
                colour=QUIET,
                says=_("{low} to {high} is normal"),
            ),
            Points(
                name=_("expected of these parts"),
                x=list(rows["expected"]),
                y=list(rows["label"]),
                colour=SEEN,
                form="upright",
                size=16,
                says=_("{x:.2g} expected"),
            ),
            *seen,
        ),
        height=160 + (_TWO_LINES if rows["variant"].any() else _ONE_LINE) * len(rows),
        legend_room=110,
    )
