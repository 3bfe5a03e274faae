"""What a task and the failures it is to prevent cost a printer in a year, by its interval."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from tracker.charts.colours import ACCENT, GOOD, HATCHES, QUIET, SEEN, part_colour, part_hatch
from tracker.charts.picture import Axis, Band, Line, Mark, Picture, Points
from tracker.decisions.routine.cost_stack import CostStack
from tracker.language import _
from tracker.say import numbers
from tracker.workshop import vocabulary

_TICKS = (1, 2, 4, 7, 14, 30, 60, 120, 365)
_TOLD, _NOT_TOLD = 0.75, 0.3  # pale where the log cannot tell


def routine_picture(
    stack: CostStack,
    currency: str,
    marked: Mapping[str, Collection[float]],
    least_days: float,
    *,
    not_told: Collection[str] = (),
) -> Picture:
    """The work and the failures of every kind on each other, by the interval of the task.

    ``marked`` names intervals (days) to be marked on top of the stack; ``least_days`` is the one
    of least cost. The kinds ``not_told``, for which the log cannot tell, are pale and on top, so
    that what the log knows stands on the ground.
    """
    every = list(stack.every_days)
    kinds = sorted(stack.by_kind, key=lambda kind: kind in not_told)
    ground, marks = stack.work, list[Mark]()
    marks.append(
        Band(
            name=_("Work"),
            x=every,
            low=0 * ground,
            high=ground,
            colour=QUIET,
            opacity=_TOLD,
            hatch=_free_hatch(kinds),
        )
    )
    for kind in kinds:
        top = ground + stack.by_kind[kind]
        unsure = kind in not_told
        marks.append(
            Band(
                name=_failures_of(kind, unsure=unsure),
                x=every,
                low=ground,
                high=top,
                colour=part_colour(kind),
                opacity=_NOT_TOLD if unsure else _TOLD,
                hatch=part_hatch(kind),
            )
        )
        ground = top
    marks.append(
        Line(
            name=_("Together"),
            x=every,
            y=stack.together,
            colour=SEEN,
            says=_(
                "every {{x}} days: {{y:.0f}} {currency}", currency=numbers.currency_sign(currency)
            ),
        )
    )
    marks += [
        Points(
            name=name, x=list(days), y=[stack.at(day) for day in days], colour=colour, form=form,
            size=12,
        )
        for (name, days), (colour, form) in zip(
            marked.items(), ((SEEN, "circle"), (ACCENT, "diamond")), strict=False
        )
        if days
    ]  # fmt: skip
    marks.append(
        Points(
            name=_("Least cost: every {least_days}", least_days=numbers.days(least_days)),
            x=[least_days],
            y=[stack.at(least_days)],
            colour=GOOD,
            form="star",
            size=17,
        )
    )
    ticks = (day for day in _TICKS if every[0] <= day <= every[-1])
    return Picture(
        title=_("Cost of a printer in a year, by interval"),
        x=Axis(
            title=_("days between two times (log scale)"),
            log=True,
            ticks=tuple((day, f"{day:g}") for day in ticks),
        ),
        y=Axis(
            title=_("{currency} per printer and year", currency=numbers.currency_sign(currency)),
            from_zero=True,
            form=",.0f",
        ),
        marks=tuple(marks),
        height=460,
        legend_room=150,
    )


def _free_hatch(kinds: Collection[str]) -> str:
    """One that no kind has, so that the work reads in black and white too."""
    taken = {part_hatch(kind) for kind in kinds}
    return next(hatch for hatch in reversed(HATCHES) if hatch not in taken)


def _failures_of(kind: str, *, unsure: bool) -> str:
    part = vocabulary.part_label(kind)
    if unsure:
        return _("{part} failures, the log cannot tell yet", part=part)
    return _("{part} failures", part=part)
