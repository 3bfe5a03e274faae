"""What the library of the parser says itself, in the language in use.

``argparse`` says its words through gettext's functions under the names ``_`` and ``ngettext`` of
its own module; ours stand in their place, which know the language of this run instead of that of
the process. Its texts stand here so that the catalogues hold them.
"""

from __future__ import annotations

import argparse

from tracker.language import N_, _, ngettext

TEXTS = (
    N_("usage: "),
    N_("positional arguments"),
    N_("options"),
    N_("show this help message and exit"),
    N_("the following arguments are required: %s"),
    N_("one of the arguments %s is required"),
    N_("unrecognized arguments: %s"),
    N_("not allowed with argument %s"),
    N_("expected one argument"),
    N_("expected at least one argument"),
    N_("ignored explicit argument %r"),
    N_("argument %(argument_name)s: %(message)s"),
    N_("invalid choice: %(value)r (choose from %(choices)s)"),
    N_("invalid %(type)s value: %(value)r"),
    N_("ambiguous option: %(option)s could match %(matches)s"),
    N_("unknown parser %(parser_name)r (choices: %(choices)s)"),
)


def speak() -> None:
    """From now on the library's own words are said in the language in use."""
    for name, said in (("_", _), ("ngettext", ngettext)):
        setattr(argparse, name, said)
