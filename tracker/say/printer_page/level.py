"""How a printer fares beside the others, in words."""

from __future__ import annotations

import numpy as np

from tracker.language import N_, _
from tracker.models.life_model.life_forecast import Limits
from tracker.review.printer_levels import PrinterLevel, StoppageLevel
from tracker.say import numbers
from tracker.say.printer_page.past import times

_AS_LONG = (N_("as long"), N_("{factor} times as long"))
_AS_OFTEN = (N_("as often"), N_("{factor} times as often"))


def level(one: PrinterLevel) -> list[str]:
    """How long parts last here and how often it stops, beside the other printers."""
    told = []
    if one.lives is not None:
        meaning = _meaning(
            one.lives,
            N_("It is easier on its parts than the others."),
            N_("It is harder on its parts than the others."),
        )
        told.append(
            _(
                "Parts last about {times} here as in the other printers (80 %: {spread} times; "
                "{failures} here so far). {meaning}",
                times=_times_as(one.lives, *_AS_LONG),
                spread=_range(one.lives),
                failures=numbers.count(one.failures, "failure", "failures"),
                meaning=meaning,
            )
        )
    if one.stoppages is not None:
        told.append(_stoppages(one.stoppages))
    return told or [
        _(
            "There is nothing to compare yet: it takes parts in at least two printers, or a "
            "stoppage written down."
        )
    ]


def _stoppages(found: StoppageLevel) -> str:
    told = _("It stood still {here} in the last twelve months", here=times(found.here))
    if not np.isfinite(found.ratio.estimate):
        return _("{told}; no other printer stood still, so there is no factor to tell.", told=told)
    meaning = _meaning(
        found.ratio,
        N_("It stops more often than the others."),
        N_("It stops less often than the others."),
    )
    return _(
        "{told}, where the other printers' rate gives {usual}: {times} (80 %: {spread} times). "
        "{meaning}",
        told=told,
        usual=numbers.figure(found.usual),
        times=_times_as(found.ratio, *_AS_OFTEN),
        spread=_range(found.ratio),
        meaning=meaning,
    )


def _times_as(found: Limits, same: str, times: str) -> str:
    factor = numbers.figure(found.estimate)
    return _(same) if factor == "1" else _(times, factor=factor)


def _range(found: Limits) -> str:
    return _(
        "{lower} to {upper}", lower=numbers.figure(found.lower), upper=numbers.figure(found.upper)
    )


def _meaning(found: Limits, above: str, below: str) -> str:
    if found.lower > 1:
        return _(above)
    if found.upper < 1:
        return _(below)
    return _("That is no more than chance explains.")
