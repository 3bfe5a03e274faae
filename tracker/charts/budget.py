"""What money on spares buys: the cost of running short that is left, by the money spent."""

from __future__ import annotations

import pandas as pd

from tracker.charts.colours import ACCENT, BAD, DASHES, GOOD
from tracker.charts.picture import Axis, Line, Picture, Points
from tracker.language import _
from tracker.say import numbers

_DOTS = 40  # packs up to which each is drawn as a dot


def budget_picture(
    steps: pd.DataFrame, bought: pd.DataFrame, budget: float, currency: str
) -> Picture:
    """The expected cost of running short left over, for every sum spent in the best order.

    ``steps`` is ``buying_order`` without a budget, the whole curve; ``bought`` the same with the
    ``budget`` (currency units), whose last row is marked. Each dot is one pack, while they are few.
    """
    last = bought.iloc[-1]
    right = max(float(steps["spent"].iloc[-1]), float(last["spent"]), 1.0)
    top = max(float(steps["risk_left"].max()), 1.0)
    marks: list[Line | Points] = [
        Line(
            name=_("Risk left, the best packs first"),
            x=steps["spent"],
            y=steps["risk_left"],
            colour=ACCENT,
            steps=True,
            dots=len(steps) <= _DOTS,
            says=_(
                "{{x:.0f}} {currency} spent: {{y:.0f}} {currency} of risk left",
                currency=numbers.currency_sign(currency),
            ),
        ),
        Points(
            name=_(
                "With your budget: {spent} spent, {risk_left} of risk left",
                spent=numbers.money(last["spent"], currency),
                risk_left=numbers.money(last["risk_left"], currency),
            ),
            x=[last["spent"]],
            y=[last["risk_left"]],
            colour=GOOD,
            form="star",
            size=16,
        ),
    ]
    if budget <= 1.05 * right:
        marks.append(
            Line(
                name=_("Your budget: {budget}", budget=numbers.money(budget, currency)),
                x=[budget, budget],
                y=[0, top],
                colour=BAD,
                width=2,
                dash=DASHES[1],
            )
        )
    return Picture(
        title=_("What money on spares buys"),
        x=Axis(
            title=_("money spent ({currency})", currency=numbers.currency_sign(currency)),
            limits=(-0.03 * right, 1.06 * right),
            form=",.0f",
        ),
        y=Axis(
            title=_(
                "expected cost of running short ({currency})",
                currency=numbers.currency_sign(currency),
            ),
            limits=(0, 1.08 * top),
            form=",.0f",
        ),
        marks=tuple(marks),
        height=380,
    )
