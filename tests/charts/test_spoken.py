"""Days and numbers on an axis are written in the language in use, on the screen and on paper."""

from __future__ import annotations

import re
from datetime import date

from tracker.charts.picture import Axis, Line, Picture
from tracker.charts.screen import drawn_as
from tracker.language import speaking
from tracker.paper.svg import svg

QUARTER = Picture(
    title="x",
    x=Axis(title="x", form="%d %b %y"),
    y=Axis(title="y"),
    marks=(
        Line(name="a", x=[date(2026, 1, 1), date(2026, 4, 30)], y=[0.0, 1.0], colour="#000000"),
    ),
)


def months_on_paper() -> set[str]:
    return set(re.findall(r">\d\d ([^\W\d]+) \d\d<", svg(QUARTER)))


def test_an_axis_of_days_names_the_months_in_the_language_in_use() -> None:
    """Names of the months: CLDR, as Babel has them."""
    assert months_on_paper() <= {"Jan", "Feb", "Mar", "Apr", "May"}
    with speaking("es"):
        assert {"ene", "abr"} & months_on_paper()
        assert months_on_paper() <= {"ene", "feb", "mar", "abr", "may"}


def test_the_screen_is_told_the_names_and_the_decimal_sign() -> None:
    with speaking("es", "es_ES"):
        told = drawn_as()
    spoken = told["locales"][told["locale"]]["format"]
    assert spoken["shortMonths"][:4] == ["ene", "feb", "mar", "abr"]
    assert spoken["days"][0] == "domingo"
    assert (spoken["decimal"], spoken["thousands"]) == (",", ".")
