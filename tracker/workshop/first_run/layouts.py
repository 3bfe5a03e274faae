"""How printers of the trade are laid out: their ink channels and their heads, to choose from.

Common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

from tracker.language import N_


@dataclass(frozen=True)
class PrinterLayout:
    """Ink channels with spaces between them, how many heads, and the type of head it takes."""

    channels: str
    heads: int = 1
    head_type: str = ""


LAYOUTS: dict[str, PrinterLayout] = {
    "six": PrinterLayout("C M Y K W1 W2", head_type=N_("six-channel head")),
    "eight": PrinterLayout("C M Y K W1 W2 W3 W4", head_type=N_("eight-channel head")),
    "two": PrinterLayout("C M Y K W1 W2 W3 W4", heads=2, head_type=N_("four-channel head")),
}
LAYOUT_LABELS: dict[str, str] = {
    "six": N_("Six-channel head: four colours, and white twice"),
    "eight": N_("Eight-channel head: four colours, and white four times"),
    "two": N_("Two four-channel heads: one for four colours, one for white"),
}
MOST_HEADS = 4  # that are offered to choose from
