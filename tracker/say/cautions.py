"""The cautions of work: in three words beside it, in full on tap."""

from __future__ import annotations

from collections.abc import Iterable

from tracker.workshop import vocabulary as words

_IN_SHORT = {
    "carriage": "pull the plug first",
    "ribbon": "ribbon dead and dry",
    "chemicals": "gloves, goggles, fresh air",
    "flammable": "flammable",
    "nozzle_plate": "never touch the nozzle plate",
    "waste": "waste by local rules",
    "mains": "qualified people only",
    "heat": "hot: let it cool",
    "fumes": "no breathing of fumes or powder",
}
LAST_WORD = words.CAUTIONS["deference"]


def cautions_in_short(keys: Iterable[str]) -> str:
    """The cautions in a line."""
    return " · ".join(_IN_SHORT[key] for key in dict.fromkeys(keys))


def cautions_in_full(keys: Iterable[str]) -> list[str]:
    """One sentence or two for each caution."""
    return [words.CAUTIONS[key] for key in dict.fromkeys(keys)]
