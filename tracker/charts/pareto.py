"""Failures by part and cause, the commonest first."""

from __future__ import annotations

import pandas as pd

from tracker.charts.colours import SEEN, part_colour, part_hatch
from tracker.charts.picture import Axis, Bars, Picture, Points, whole_steps
from tracker.language import _
from tracker.say import part_types
from tracker.workshop import vocabulary as words

MOST_BARS = 12


def pareto_picture(causes: pd.DataFrame, month: str) -> Picture:
    """What failed most often in the month, and how often in a usual month?

    ``causes`` has ``part_kind, variant, cause, this_month, mean_before``; causes without a failure
    in the month are left out.
    """
    rows = causes[causes["this_month"] > 0].iloc[:MOST_BARS][::-1]
    # The type takes the first line, so that the bars keep their room on a phone.
    labels = tuple(
        (":\n" if row.variant else ": ").join((part_types.of(row), words.said(row.cause)))
        for row in rows.itertuples()
    )
    marks: list[Bars | Points] = [
        Bars(
            name=month,
            at=labels,
            length=rows["this_month"],
            colour=tuple(part_colour(kind) for kind in rows["part_kind"]),
            hatch=tuple(part_hatch(kind) for kind in rows["part_kind"]),
            texts=tuple(f"{number:.0f}" for number in rows["this_month"]),
            across=True,
            in_legend=False,
            says=_("{y}: {x:.0f} failures"),
        )
    ]
    if rows["mean_before"].notna().any():
        marks.append(
            Points(
                name=_("usual month"),
                x=list(rows["mean_before"]),
                y=labels,
                colour=SEEN,
                form="upright",
                size=18,
                says=_("{y}: {x:.1f} in a usual month"),
            )
        )
    top = float(rows[["this_month", "mean_before"]].max().max()) if len(rows) else 1.0
    return Picture(
        title=_("Failures by part and cause, {month}", month=month),
        x=Axis(
            title=_("failures (number)"),
            from_zero=True,
            whole=True,
            step=whole_steps(top),
        ),
        y=Axis(labels=labels),
        marks=tuple(marks),
        height=160 + 34 * len(rows),
        legend_room=90,
    )
