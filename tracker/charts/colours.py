"""One colour per part kind and one meaning per colour, in the app and on paper.

The order follows the colour-blind-safe palette of Okabe & Ito (2008), darkened where needed so
that each keeps a contrast of 3:1 on white and on a dark page. Every picture also tells its series
apart by label, dash or marker, never by colour alone.
"""

from __future__ import annotations

PART_COLOURS = {
    "head": "#0072B2",
    "damper": "#C46A00",
    "wiper": "#008F6A",
    "cap": "#B4568F",
    "pump": "#7A6CC8",
    "line": "#2E8FB5",
    "encoder": "#8A7A00",
    "roller": "#A0522D",
    "waste_tank": "#6E7781",
    "ink_filter": "#4F7F3A",
    "stirrer": "#A6417A",
    "circulation_pump": "#3F6FA8",
    "waste_pad": "#85705A",
}
_ADDED_KINDS = ("#5B7F95", "#9C6B6B", "#6B8F5A", "#8C6BB1")

# Meanings that are not part kinds.
BAD = "#C8372D"
GOOD = "#2E8B57"
QUIET = "#8A8F98"
ACCENT = "#3A8FC4"
SEEN = "#5F6B78"  # plain marks: legible on white, on a dark page and in black and white

DASHES = ("solid", "dash", "dot", "dashdot", "longdash", "longdashdot")
MARKERS = ("circle", "square", "diamond", "triangle-up", "x", "cross")
HATCHES = ("", "/", ".", "x", "\\", "-", "+", "|")


def part_colour(kind: str) -> str:
    """The colour of a part kind; a workshop's own kind always gets the same one.

    >>> part_colour("head")
    '#0072B2'
    """
    if kind in PART_COLOURS:
        return PART_COLOURS[kind]
    return _ADDED_KINDS[sum(map(ord, kind)) % len(_ADDED_KINDS)]


def part_hatch(kind: str) -> str:
    """The hatching of a part kind's bars, always the same one: they read in black and white too.

    >>> part_hatch("head"), part_hatch("damper")
    ('', '/')
    """
    known = list(PART_COLOURS)
    number = known.index(kind) if kind in known else sum(map(ord, kind))
    return HATCHES[number % len(HATCHES)]


def faded(colour: str, opacity: float) -> str:
    """The colour as rgba with that opacity, for bands.

    >>> faded("#0072B2", 0.2)
    'rgba(0,114,178,0.2)'
    """
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return f"rgba({red},{green},{blue},{opacity:g})"
