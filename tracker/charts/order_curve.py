"""What ordering a head on each of the coming days costs, and which day is the cheapest."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from tracker.charts.colours import BAD, DASHES, GOOD, part_colour
from tracker.charts.picture import Axis, Line, Picture, Points
from tracker.language import _
from tracker.say import numbers, part_types
from tracker.say.phrases import day_span
from tracker.workshop.variants import PartType


def order_curve_picture(
    part: PartType,
    curve: Sequence[Sequence[float]],
    as_of: date,
    currency: str,
    *,
    order_by: date | None = None,
    risk_limit_by: date | None = None,
    alike: tuple[date, date] | None = None,
) -> Picture:
    """The expected cost of waiting and of holding, by the day on which the spare is ordered.

    ``curve`` is [[days from ``as_of``, expected cost in currency units], …]; ``order_by`` the
    cheapest day (None: beyond the curve), ``risk_limit_by`` the last day within the risk limit;
    ``alike``: from which day to which it costs hardly more than on the day advised.
    """
    days = [as_of + timedelta(days=int(day)) for day, _ in curve]
    costs = [float(cost) for _, cost in curve]
    marks: list[Line | Points] = [
        Line(
            name=_("Expected cost"),
            x=days,
            y=costs,
            colour=part_colour(part.part_kind),
            says=_(
                "ordered on {{x:%d %b}}: {{y:.0f}} {currency}",
                currency=numbers.currency_sign(currency),
            ),
        )
    ]
    if alike is not None and alike[0] < alike[1]:
        first, last = ((day - as_of).days for day in alike)
        marks.append(
            Line(
                name=_("Costs hardly more: {span}", span=day_span(*alike)),
                x=days[first : last + 1],
                y=costs[first : last + 1],
                colour=GOOD,
                width=6,
            )
        )
    if order_by is not None:
        day = min(max(order_by, days[0]), days[-1])
        marks.append(
            Points(
                name=_("Cheapest: {order_by}", order_by=numbers.day(order_by)),
                x=[day],
                y=[costs[days.index(day)]],
                colour=GOOD,
                form="star",
                size=15,
            )
        )
    if risk_limit_by is not None and days[0] <= risk_limit_by <= days[-1]:
        marks.append(
            Line(
                name=_(
                    "Last day within your risk limit: {risk_limit_by}",
                    risk_limit_by=numbers.day(risk_limit_by),
                ),
                x=[risk_limit_by, risk_limit_by],
                y=[min(0.0, min(costs)), max(costs)],
                colour=BAD,
                width=2,
                dash=DASHES[1],
            )
        )
    return Picture(
        title=_("{part}: what waiting costs", part=part_types.label(*part)),
        x=Axis(title=_("day of ordering"), form="%d %b", most_ticks=6),
        y=Axis(
            title=_("cost ({currency})", currency=numbers.currency_sign(currency)),
            from_zero=True,
            form=",.0f",
        ),
        marks=tuple(marks),
    )
