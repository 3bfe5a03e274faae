"""How many pieces of a part will be needed: one bar per number, with the stock asked for."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tracker.charts.colours import ACCENT, BAD, part_colour
from tracker.charts.picture import Axis, Bars, Picture, Points, Rule, chance_marks
from tracker.language import _
from tracker.say import numbers, part_types
from tracker.workshop.variants import PartType

_UNSEEN = 0.002  # chances smaller than this, at either end, are not drawn
_LABELLED_BARS = 9


def need_picture(
    part: PartType,
    chances: Sequence[float],
    stock: int,
    horizon_days: float,
    available: int | None,
) -> Picture:
    """The chance of needing exactly 0, 1, 2, … pieces, split at the stock that is enough.

    ``chances[k]`` is the chance of needing exactly k over ``horizon_days``; ``stock`` the
    number of spares that is enough for the chance wanted; ``available`` what is on the shelf or
    likely here by then, None where nobody can say.
    """
    law = np.asarray(chances, dtype=np.float64)
    first, last = _seen(law, stock, stock if available is None else available)
    pieces = np.arange(first, last + 1)
    drawn = np.zeros(len(pieces))
    inside = pieces < len(law)
    drawn[inside] = law[pieces[inside]]
    top = float(drawn.max()) * 1.32
    marks: list[Bars | Rule | Points] = [
        Bars(
            name=name,
            at=pieces[here],
            length=drawn[here],
            colour=colour,
            hatch=hatch,
            texts=tuple(numbers.chance(share) for share in drawn[here])
            if len(pieces) <= _LABELLED_BARS
            else (),
            says=_("exactly {x} needed: {y:.1%}"),
        )
        for name, here, colour, hatch in (
            (_("Met by that stock"), pieces <= stock, part_colour(part.part_kind), ""),
            (_("Would run short"), pieces > stock, BAD, "/"),
        )
    ]
    marks.append(
        Rule(
            x=stock + 0.5,
            top=top,
            text=_("enough for the chance wanted: {stock}", stock=stock),
            colour=ACCENT,
        )
    )
    if available is not None and available != stock:
        marks.append(
            Points(
                name=_("There now or on the way: {available}", available=available),
                x=[available],
                y=[0],
                colour=ACCENT,
                form="diamond",
                says=_("{available} on the shelf or on the way", available=available),
            )
        )
    return Picture(
        title=_(
            "{part}: need in the next {horizon_days}",
            part=part_types.label(*part),
            horizon_days=numbers.days(horizon_days),
        ),
        x=Axis(title=_("pieces needed"), whole=True, step=1 if len(pieces) <= 16 else None),
        y=Axis(
            title=_("chance of exactly so many"),
            ticks=tuple(mark for mark in chance_marks(top) if mark[0] <= top),
            limits=(0, top),
        ),
        marks=tuple(marks),
        height=380,
        gap=0.15,
    )


def _seen(law: np.ndarray, stock: int, available: int) -> tuple[int, int]:
    """The first and last number worth drawing."""
    worth = np.flatnonzero(law >= _UNSEEN)
    if not len(worth):
        worth = np.array([int(law.argmax())])
    first, last = int(worth[0]), int(worth[-1])
    if last <= 2 * _LABELLED_BARS:
        first = 0
    return min(first, stock), max(last, stock + 1, min(available, 2 * last + 2))
