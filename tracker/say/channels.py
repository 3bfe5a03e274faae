"""A channel by its name and, where its letter tells it, by its colour."""

from __future__ import annotations

import re

from tracker.language import N_, _

_COLOURS = {
    "C": N_("cyan"),
    "M": N_("magenta"),
    "Y": N_("yellow"),
    "K": N_("black"),
    "LC": N_("light cyan"),
    "LM": N_("light magenta"),
    "R": N_("red"),
    "G": N_("green"),
    "B": N_("blue"),
    "O": N_("orange"),
    "W": N_("white"),
}


def channel_label(channel: str) -> str:
    """The channel as written, with the colour its letters stand for.

    >>> channel_label("W1"), channel_label("k"), channel_label("varnish")
    ('W1 (white)', 'k (black)', 'varnish')
    """
    letters = re.fullmatch(r"([A-Za-z]+?)\d*", channel.strip())
    colour = _COLOURS.get(letters[1].upper()) if letters else None
    return f"{channel} ({_(colour)})" if colour else channel
