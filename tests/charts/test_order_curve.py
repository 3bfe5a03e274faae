"""The picture of what waiting with an order costs."""

from __future__ import annotations

from datetime import date

from tracker.charts.order_curve import order_curve_picture
from tracker.charts.screen import on_screen
from tracker.workshop.variants import PartType

HEAD = PartType("head", "six-channel head")
AS_OF = date(2026, 3, 1)
CURVE = [[0, 90.0], [1, 80.0], [2, 70.0], [3, 95.0]]


def test_the_cheapest_day_is_marked_where_the_curve_has_it() -> None:
    figure = on_screen(order_curve_picture(HEAD, CURVE, AS_OF, "EUR", order_by=date(2026, 3, 3)))
    line, star = figure.data
    assert list(line.x) == [date(2026, 3, day) for day in (1, 2, 3, 4)]
    assert list(line.y) == [90, 80, 70, 95]
    assert (star.x[0], star.y[0]) == (date(2026, 3, 3), 70)
    assert star.name == "Cheapest: 3 Mar 2026"
    # A day under the pointer is written by plotly's date marks, not by its number marks.
    assert line.hovertemplate == "ordered on %{x|%d %b}: %{y:.0f} €<extra></extra>"


def test_the_risk_limit_is_a_line_of_its_own() -> None:
    figure = on_screen(
        order_curve_picture(
            HEAD,
            CURVE,
            AS_OF,
            "EUR",
            risk_limit_by=date(2026, 3, 2),
        )
    )
    limit = figure.data[-1]
    assert set(limit.x) == {date(2026, 3, 2)}
    assert limit.name == "Last day within your risk limit: 2 Mar 2026"


def test_the_days_that_cost_hardly_more_lie_on_the_curve() -> None:
    between = (date(2026, 3, 2), date(2026, 3, 3))
    figure = on_screen(order_curve_picture(HEAD, CURVE, AS_OF, "EUR", alike=between))
    flat = figure.data[-1]
    assert (list(flat.x), list(flat.y)) == (list(between), [80, 70])
    assert flat.name == "Costs hardly more: from 2 to 3 Mar 2026"
    alone = on_screen(order_curve_picture(HEAD, CURVE, AS_OF, "EUR", alike=between[:1] * 2))
    assert len(alone.data) == 1


def test_a_cheapest_day_beyond_the_curve_is_not_marked() -> None:
    figure = on_screen(order_curve_picture(HEAD, CURVE, AS_OF, "EUR"))
    assert [trace.name for trace in figure.data] == ["Expected cost"]
    assert figure.layout.yaxis.title.text == "cost (€)"
