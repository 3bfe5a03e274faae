"""Groups of lives compared: one small picture each, so that no two lines are mistaken."""

from __future__ import annotations

import math
from textwrap import wrap

import plotly.graph_objects as go
from plotly.subplots import make_subplots

from tracker.charts.colours import DASHES, QUIET, part_colour
from tracker.charts.frame_of_picture import as_text, framed
from tracker.language import _
from tracker.models.curves.survival_curve import FEW_WATCHED, SurvivalCurve
from tracker.say import numbers

_ROW_PIXELS, _AROUND_PIXELS = 190, 130
_SHARES = (0.0, 0.5, 1.0)
_THIN = 0.45  # of the line where hardly anything is known
_LONGEST_LINE = 20  # letters over a small picture that a phone shows in one line


def groups_picture(part_kind: str, curves: dict[str, SurvivalCurve], unit: str) -> go.Figure:
    """Each group's survival curve in the part's colour, all others thin and grey behind it.

    Where fewer than FEW_WATCHED lives are left the group's own line is pale and dashed.
    ``unit``: "days" or "m²". Two small pictures side by side, all on the same axes.
    """
    rows = math.ceil(len(curves) / 2)
    titles = [as_text("\n".join(wrap(name, _LONGEST_LINE)[:2])) for name in curves]
    figure = make_subplots(
        rows=rows, cols=2, shared_xaxes="all", shared_yaxes="all", subplot_titles=titles,
        vertical_spacing=0.3 / rows, horizontal_spacing=0.06,
    )  # fmt: skip
    for number, own in enumerate(curves):
        where = {"row": number // 2 + 1, "col": number % 2 + 1}
        for name in [*(other for other in curves if other != own), own]:
            line, mine = curves[name].well_known(), name == own
            figure.add_scatter(
                x=line["age"], y=line["survival"], mode="lines",
                name=_("this group") if mine else _("the others"), showlegend=False,
                hoverinfo=None if mine else "skip",
                hovertemplate=f"%{{x:.0f}} {_(unit)}: %{{y:.0%}}<extra></extra>" if mine else None,
                line={"color": part_colour(part_kind) if mine else QUIET,
                      "width": 3 if mine else 1.2, "dash": DASHES[0 if mine else 2]},
                **where,
            )  # fmt: skip
        thin = curves[own].hardly_known()
        if len(thin):
            figure.add_scatter(
                x=thin["age"], y=thin["survival"], mode="lines",
                name=_("fewer than {few} of it watched", few=FEW_WATCHED), showlegend=False,
                hoverinfo="skip", opacity=_THIN,
                line={"color": part_colour(part_kind), "width": 2, "dash": DASHES[1]},
                **where,
            )  # fmt: skip
    # One key for all: a full line is the group named above, a dotted one another group.
    for name, dash, width, colour in (
        (_("the group named above it"), DASHES[0], 3, part_colour(part_kind)),
        (_("fewer than {few} of it watched", few=FEW_WATCHED), DASHES[1], 2,
         part_colour(part_kind)),
        (_("the other groups"), DASHES[2], 1.2, QUIET),
    ):  # fmt: skip
        figure.add_scatter(
            x=[None], y=[None], mode="lines", name=name,
            line={"color": colour, "width": width, "dash": dash}, row=1, col=1,
        )  # fmt: skip
    framed(
        figure, _("Share still working, group by group"), "", "",
        height=_AROUND_PIXELS + _ROW_PIXELS * rows,
    )  # fmt: skip
    figure.update_annotations(font_size=13)
    figure.update_yaxes(
        range=[0, 1.04], tickvals=_SHARES, ticktext=[numbers.percent(share) for share in _SHARES]
    )
    figure.update_xaxes(rangemode="tozero", nticks=5)
    for column in (1, 2):
        figure.update_xaxes(
            title=_("age ({unit})", unit=_(unit)), showticklabels=True, row=rows, col=column
        )
    figure.update_layout(
        legend={"y": 0, "yref": "container", "yanchor": "bottom"}, margin={"t": 74, "b": 76}
    )
    return figure
