"""In which language was a command asked?"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from itertools import pairwise


def asked_language(arguments: Sequence[str]) -> str:
    """The language that the help and the parser's own refusals speak; "" where none is asked for.

    >>> asked_language(["outlook", "--language", "es"]), asked_language(["--language=es"])
    ('es', 'es')
    >>> asked_language([])  # as the README starts the app
    ''
    """
    last = ""
    for argument, following in pairwise([*arguments, ""]):
        name, equals, value = argument.partition("=")
        if name == "--language":
            last = value if equals else following
    return last


def spoken(options: argparse.Namespace) -> str:
    """The language asked for; "" where the workshop's setting decides. JSON speaks English."""
    if getattr(options, "json", False):
        return "en"
    return getattr(options, "language", None) or ""
