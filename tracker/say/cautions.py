"""The cautions of work: in three words beside it, in full on tap."""

from __future__ import annotations

from collections.abc import Iterable

from tracker.language import N_, _
from tracker.workshop import vocabulary as words

_IN_SHORT = {
    "carriage": N_("pull the plug first"),
    "ribbon": N_("ribbon dead and dry"),
    "chemicals": N_("gloves, goggles, fresh air"),
    "flammable": N_("flammable"),
    "nozzle_plate": N_("never touch the nozzle plate"),
    "waste": N_("waste by local rules"),
    "mains": N_("qualified people only"),
    "heat": N_("hot: let it cool"),
    "fumes": N_("no breathing of fumes or powder"),
}


def last_word() -> str:
    """What stands under all cautions: whose word comes before this program's."""
    return _(words.CAUTIONS["deference"])


def cautions_in_short(keys: Iterable[str]) -> str:
    """The cautions in a line."""
    return " · ".join(_(_IN_SHORT[key]) for key in dict.fromkeys(keys))


def cautions_in_full(keys: Iterable[str]) -> list[str]:
    """One sentence or two for each caution."""
    return [_(words.CAUTIONS[key]) for key in dict.fromkeys(keys)]
