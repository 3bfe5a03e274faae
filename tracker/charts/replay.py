"""What the three ways of ordering would have cost: one bar each, by what the money went on."""

from __future__ import annotations

from collections.abc import Sequence

from tracker.charts.colours import ACCENT, BAD, QUIET
from tracker.charts.picture import Axis, Bars, Note, Picture
from tracker.replay.findings import ADVICE, NONE, ONE, PolicyCost
from tracker.say import numbers

POLICY_LABELS = {ADVICE: "As advised", ONE: "Always one\non the shelf", NONE: "When it\nbreaks"}
_ROOM = 1.5  # of the longest bar, for the words after it


def replay_picture(policies: Sequence[PolicyCost], currency: str) -> Picture:
    """Money lost by standing still beside money spent on spares, the advice on top.

    Each bar says in words its sum and the printer-days stood still.
    """
    shown = list(reversed(policies))  # rows are drawn from the bottom up
    labels = tuple(POLICY_LABELS[own.policy] for own in shown)
    bars = (
        Bars(
            name=name, at=labels, length=amounts, colour=colour, hatch=hatch, across=True,
            says=f"{name}: {{x:,.0f}} {currency}",
        )
        for name, amounts, colour, hatch in (
            ("Printers standing still", [own.downtime_cost for own in shown], BAD, "/"),
            ("Money tied up, pieces too old", [own.holding + own.aged for own in shown], ACCENT,
             ""),
            ("Left on the shelf at the end", [own.left_over for own in shown], QUIET, "."),
        )
    )  # fmt: skip
    notes = (
        Note(
            x=own.money, y=label, head=numbers.money(own.money, currency),
            text=f"{numbers.count(round(own.downtime_days), 'day')} stood",
        )
        for label, own in zip(labels, shown, strict=True)
    )  # fmt: skip
    longest = max((own.money for own in policies), default=0.0)
    return Picture(
        title="What three ways of ordering would have cost",
        x=Axis(
            title=f"cost ({currency})", limits=(0, max(longest, 1.0) * _ROOM), form=",.0f",
            most_ticks=5,
        ),
        y=Axis(labels=labels),
        marks=(*bars, *notes),
        stacked=True,
        gap=0.35,
        legend_room=120,
    )  # fmt: skip
