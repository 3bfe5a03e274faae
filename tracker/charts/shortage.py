"""Which types of part may run short: one bar per type, the likeliest on top."""

from __future__ import annotations

import pandas as pd

from tracker.charts.colours import part_colour, part_hatch
from tracker.charts.picture import Axis, Bars, Picture, chance_marks
from tracker.language import _
from tracker.say import numbers, part_types
from tracker.say.spares.answers import until_next_order

MOST = 10  # types drawn
_ROW_PIXELS, _AROUND_PIXELS = 28, 100
_LEAST = 0.1  # chance to which the axis reaches at least
_ROOM = 1.5  # so that a phone shows the figure at the end of the longest bar


def shortage_picture(table: pd.DataFrame) -> Picture:
    """The chance of running short before the next order can be here; ``table`` of
    ``stock_table``. Of many types the MOST likeliest are drawn.
    """
    rows = table.sort_values("chance_of_shortage_now", ascending=False, kind="stable").head(MOST)
    rows = rows.iloc[::-1]
    labels = [part_types.of(row).replace(" (", "\n(") for row in rows.itertuples()]
    chances = rows["chance_of_shortage_now"]
    kinds = list(rows["part_kind"])
    reach = max(_LEAST, float(chances.max()))
    return Picture(
        title=_("What may run short within {days}", days=until_next_order(rows)),
        x=Axis(
            title=_("chance of running short"), ticks=chance_marks(reach),
            limits=(0.0, _ROOM * reach),
        ),
        y=Axis(labels=tuple(labels)),
        marks=(
            Bars(
                name=_("Chance of running short"),
                at=labels, length=chances.to_numpy(), across=True,
                colour=tuple(map(part_colour, kinds)), hatch=tuple(map(part_hatch, kinds)),
                texts=tuple(map(_in_short, chances)), in_legend=False,
                says="{x:.0%}",
            ),
        ),
        height=_AROUND_PIXELS + _ROW_PIXELS * len(labels)
        + 14 * sum("\n" in label for label in labels),
        gap=0.35,
    )  # fmt: skip


def _in_short(chance: float) -> str:
    """A chance with signs for the words under and over, which a phone has no room for.

    >>> _in_short(0.004), _in_short(0.126), _in_short(0.997)
    ('< 1 %', '13 %', '> 99 %')
    """
    if chance < 0.01:
        return f"< {numbers.percent(0.01)}"
    return f"> {numbers.percent(0.99)}" if chance > 0.99 else numbers.chance(chance)
