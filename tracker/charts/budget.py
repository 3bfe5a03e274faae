"""What money on spares buys: the cost of running short that is left, by the money spent."""

from __future__ import annotations

import pandas as pd

from tracker.charts.colours import ACCENT, BAD, DASHES, GOOD
from tracker.charts.picture import Axis, Line, Picture, Points
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
            name="Risk left, the best packs first", x=steps["spent"], y=steps["risk_left"],
            colour=ACCENT, steps=True, dots=len(steps) <= _DOTS,
            says=f"{{x:.0f}} {currency} spent: {{y:.0f}} {currency} of risk left",
        ),
        Points(
            name=f"With your budget: {numbers.money(last['spent'], currency)} spent, "
            f"{numbers.money(last['risk_left'], currency)} of risk left",
            x=[last["spent"]], y=[last["risk_left"]], colour=GOOD, form="star", size=16,
        ),
    ]  # fmt: skip
    if budget <= 1.05 * right:
        marks.append(
            Line(
                name=f"Your budget: {numbers.money(budget, currency)}", x=[budget, budget],
                y=[0, top], colour=BAD, width=2, dash=DASHES[1],
            )
        )  # fmt: skip
    return Picture(
        title="What money on spares buys",
        x=Axis(title=f"money spent ({currency})", limits=(-0.03 * right, 1.06 * right)),
        y=Axis(title=f"expected cost of running short ({currency})", limits=(0, 1.08 * top)),
        marks=tuple(marks),
        height=380,
    )
