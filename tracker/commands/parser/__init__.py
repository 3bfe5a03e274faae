"""What can be asked on the command line, and which function answers.

In reading order: ``typed`` (words to values), ``shared`` (what several commands ask for), the
commands by what they are for: ``deciding``, ``handing_out``, ``keeping``; ``library_words`` (what
the library of the parser says itself).
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from tracker.commands.parser import library_words, shared
from tracker.errors import UsageError
from tracker.language import _


def parse(arguments: Sequence[str]) -> argparse.Namespace:
    """What is asked; ``run`` is the function that carries it out.

    The app alone is asked for without the commands beside it: what these import is a third of the
    time until it listens.
    """
    names_command = bool(arguments) and not arguments[0].startswith("-")
    if not names_command and not {"-h", "--help"} & set(arguments):
        options, more = _parser().parse_known_args(arguments)
        if not more:
            return options
        if not more[0].startswith("-"):
            raise UsageError(
                _(
                    "What stands before {command} would be an option of the app, and the command "
                    "would not use it; write the command first, then its own options: "
                    "python -m tracker {command} --database URL.",
                    command=more[0],
                )
            )
    return make_parser().parse_args(arguments)


def make_parser() -> argparse.ArgumentParser:
    """The parser of every command; each sets ``run``, the function that carries it out."""
    from tracker.commands.parser import deciding, handing_out, keeping

    parser = _parser()
    commands = parser.add_subparsers(title=_("commands"), metavar=_("COMMAND"))
    for kind in (deciding, handing_out, keeping):
        kind.add(commands)
    return parser


def _parser() -> argparse.ArgumentParser:
    library_words.speak()
    parser = shared.Parser(
        prog="python -m tracker",
        description=_(
            "How long printheads and other parts last, what to order when, and whether the "
            "maintenance pays. Without a command the app opens."
        ),
    )
    parser.set_defaults(run=open_app)
    _app_options(parser)
    return parser


def open_app(options: argparse.Namespace) -> int:
    # The server, its door and what they import are of no use to a command.
    from tracker.commands.serving import app

    return app.open_app(options)


def _app_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--version",
        action="version",
        version=_version(),
        help=_("show program's version number and exit"),
    )
    parser.add_argument("--port", type=int, default=None, help=_("port of the app (default 8501)"))
    parser.add_argument("--demo", action="store_true", help=_("open the demo workshop"))
    parser.add_argument("--no-browser", action="store_true", help=_("do not open a browser window"))
    parser.add_argument(
        "--share",
        action="store_true",
        help=_("open the app to the shop's network, for devices that are paired by a code"),
    )
    parser.add_argument(
        "--proxy",
        metavar="ADDRESS",
        help=_("people reach the app through a proxy or tunnel at this address; all are paired"),
    )
    parser.add_argument(
        "--certificate", metavar="FILE", help=_("certificate (PEM), so that nobody can listen")
    )
    parser.add_argument("--key", metavar="FILE", help=_("private key of the certificate (PEM)"))
    # A command's own --database comes after its name; this one belongs to the app.
    parser.add_argument("--database", metavar="URL", default=None, help=_("database of the app"))


def _version() -> str:
    from tracker import __version__

    return __version__
