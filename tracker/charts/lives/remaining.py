"""How long the parts of a kind have left: one row per part, its likely range and even chance."""

from __future__ import annotations

import pandas as pd

from tracker.charts.colours import SEEN, part_colour
from tracker.charts.picture import Axis, Picture, Points, Spans
from tracker.language import _
from tracker.say import part_types
from tracker.say.phrases import first_up, where

_MONTH = 30.4375
_ROW_PIXELS, _AROUND_PIXELS, _LEGEND_PIXELS = 26, 150, 90
_MOST_MONTHS = 36.0  # what lasts longer ends at the edge


def remaining_picture(part_kind: str, parts: pd.DataFrame) -> Picture:
    """``parts`` of ``outlook``: ``printer, position, days_p10, days_p50, days_p90``.

    The likeliest to fail stands on top; a range that goes on beyond the axis ends at its edge.
    """
    rows = parts.iloc[::-1]
    labels = [first_up(where(row)) for row in rows.itertuples()]
    low, middle, high = (
        (rows[name] / _MONTH).clip(upper=_MOST_MONTHS).fillna(_MOST_MONTHS)
        for name in ("days_p10", "days_p50", "days_p90")
    )
    return Picture(
        title=_("{part}: how long each has left", part=part_types.label(part_kind)),
        x=Axis(title=_("months from now"), limits=(0.0, 1.04 * max(1.0, float(high.max())))),
        y=Axis(labels=tuple(labels)),
        marks=(
            Spans(
                name=_("fails in here, 8 chances in 10"), low=low.round(1).tolist(),
                high=high.round(1).tolist(), rows=labels, colour=part_colour(part_kind),
                says=_("{low} to {high} months from now (8 in 10)", low="{low}", high="{high}"),
            ),
            Points(
                name=_("even chance"), x=middle.tolist(), y=labels, colour=SEEN, form="upright",
                says=_("even chance: {months} months", months="{x:.1f}"),
            ),
        ),
        height=_AROUND_PIXELS + _ROW_PIXELS * len(labels),
        legend_room=_LEGEND_PIXELS,
    )  # fmt: skip
