"""What the three ways of ordering would have cost: one bar each, by what the money went on."""

from __future__ import annotations

from collections.abc import Sequence

from tracker.charts.colours import ACCENT, BAD, QUIET
from tracker.charts.picture import Axis, Bars, Note, Picture
from tracker.language import N_, _
from tracker.replay.findings import ADVICE, NONE, ONE, PolicyCost
from tracker.say import numbers

POLICY_LABELS = {
    ADVICE: N_("As advised"),
    ONE: N_("Always one\non the shelf"),
    NONE: N_("When it\nbreaks"),
}
_ROOM = 1.5  # of the longest bar, for the words after it


def replay_picture(policies: Sequence[PolicyCost], currency: str) -> Picture:
    """Money lost by standing still beside money spent on spares, the advice on top.

    Each bar says in words its sum and the printer-days stood still.
    """
    shown = list(reversed(policies))  # rows are drawn from the bottom up
    labels = tuple(_(POLICY_LABELS[own.policy]) for own in shown)
    bars = (
        Bars(
            name=name,
            at=labels,
            length=amounts,
            colour=colour,
            hatch=hatch,
            across=True,
            says=f"{name}: {{x:,.0f}} {numbers.currency_sign(currency)}",
        )
        for name, amounts, colour, hatch in (
            (_("Printers standing still"), [own.downtime_cost for own in shown], BAD, "/"),
            (
                _("Money tied up, pieces too old"),
                [own.holding + own.aged for own in shown],
                ACCENT,
                "",
            ),
            (_("Left on the shelf at the end"), [own.left_over for own in shown], QUIET, "."),
        )
    )
    notes = (
        Note(
            x=own.money,
            y=label,
            head=numbers.money(own.money, currency),
            text=_(
                "{downtime_days} stood",
                downtime_days=numbers.count(round(own.downtime_days), "day", "days"),
            ),
        )
        for label, own in zip(labels, shown, strict=True)
    )
    longest = max((own.money for own in policies), default=0.0)
    return Picture(
        title=_("What three ways of ordering would have cost"),
        x=Axis(
            title=_("cost ({currency})", currency=numbers.currency_sign(currency)),
            limits=(0, max(longest, 1.0) * _ROOM),
            form=",.0f",
            most_ticks=5,
        ),
        y=Axis(labels=labels),
        marks=(*bars, *notes),
        stacked=True,
        gap=0.35,
        legend_room=120,
    )
