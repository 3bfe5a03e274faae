"""What whole routines cost a printer in a year: work and every kind's failures on each other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tracker.charts.colours import QUIET, SEEN, part_colour, part_hatch
from tracker.charts.picture import Axis, Bars, Picture
from tracker.language import _
from tracker.say import numbers
from tracker.workshop import vocabulary

# Hatchings that no part kind protected by a task has.
_WORK, _DROP_OUTS, _OTHERS = "\\", "-", "."
_THE_SAME = 0.5  # of the currency
_LINE, _UNDER = 18, 36  # pixels of a line of the legend, one each on a phone, and of the axis


def whole_routine_picture(
    names: Sequence[str],
    work: Sequence[float],
    failure_costs: Mapping[str, Sequence[float]],
    drop_out_costs: Sequence[float],
    currency: str,
) -> Picture:
    """One bar per routine, the first on top: its work, failures by part kind, drop-outs.

    Amounts per printer and year, in the order of ``names``; kinds that cost the same in all of them
    are one, drop-outs that cost nothing anywhere are left out.
    """
    labels = tuple(reversed(names))

    def bar(name: str, amounts: Sequence[float], colour: str, hatch: str) -> Bars:
        return Bars(
            name=name, at=labels, length=list(reversed(amounts)), colour=colour, hatch=hatch,
            across=True, says=f"{name}, {{y}}: {{x:.0f}} {numbers.currency_sign(currency)}",
        )  # fmt: skip

    marks = [bar(_("Work"), work, QUIET, _WORK)]
    alike = []
    for kind, amounts in failure_costs.items():
        if max(amounts) - min(amounts) < _THE_SAME:
            alike.append(amounts)
            continue
        marks.append(bar(vocabulary.part_label(kind), amounts, part_colour(kind), part_hatch(kind)))
    if alike:
        together = [sum(costs) for costs in zip(*alike, strict=True)]
        marks.append(bar(_("Other parts"), together, SEEN, _OTHERS))
    if any(drop_out_costs):
        marks.append(bar(_("Nozzle drop-outs"), drop_out_costs, SEEN, _DROP_OUTS))
    return Picture(
        title=_("Cost of whole routines"),
        x=Axis(
            title=_("{currency} per printer and year", currency=numbers.currency_sign(currency)),
            from_zero=True,
            form=",.0f",
        ),
        y=Axis(labels=labels),
        marks=tuple(marks),
        height=110 + 40 * len(names) + _LINE * len(marks),
        stacked=True,
        legend_room=_UNDER + _LINE * len(marks),
    )
