"""What several commands ask for in the same words."""

from __future__ import annotations

import argparse
from typing import NoReturn

from tracker.commands.parser import typed
from tracker.errors import UsageError
from tracker.language import LANGUAGES, _


class Parser(argparse.ArgumentParser):
    """A parser whose complaints are one line, like every other refusal of the program."""

    def error(self, message: str) -> NoReturn:
        raise UsageError(_("{message}; see: python -m tracker --help", message=message.rstrip(".")))


def answer(commands, name: str, run, help_text: str) -> argparse.ArgumentParser:  # type: ignore[no-untyped-def]
    """A command that asks about records: of a folder or a database, as of a day."""
    parser: argparse.ArgumentParser = commands.add_parser(name, help=help_text)
    source = parser.add_mutually_exclusive_group()
    source.add_argument("--data", metavar="FOLDER", help=_("read this folder of spreadsheets"))
    source.add_argument("--database", metavar="URL", help=_("read this database"))
    parser.add_argument(
        "--as-of",
        type=typed.day,
        metavar="DATE",
        help=_(
            "use only what was known on this day (default: today; for a folder or the demo "
            "the last day written down)"
        ),
    )
    reading(parser)
    as_json(parser)
    parser.set_defaults(run=run)
    return parser


def what_if_done(parser: argparse.ArgumentParser) -> None:
    """The option that asks what another routine would change."""
    parser.add_argument(
        "--doing",
        action="append",
        type=typed.task_interval,
        metavar="TASK=DAYS",
        help=_("what if this task is done every so many days from now on? May be given again"),
    )


def database(parser: argparse.ArgumentParser) -> None:
    """The database that a command works on."""
    parser.add_argument(
        "--database", metavar="URL", help=_("database (default: the workshop's own)")
    )


def as_json(parser: argparse.ArgumentParser) -> None:
    """How the answer is given."""
    parser.add_argument("--json", action="store_true", help=_("print one JSON object"))
    parser.add_argument(
        "--language",
        choices=LANGUAGES,
        help=_("language of the answer (default: the workshop's setting; JSON is always the same)"),
    )


def reading(parser: argparse.ArgumentParser) -> None:
    """How a spreadsheet is read where it can be read in two ways."""
    parser.add_argument(
        "--dates",
        choices=("day-first", "month-first"),
        help=_("how to read days such as 03/04/2026 where a column reads both ways"),
    )
    parser.add_argument(
        "--numbers",
        choices=("decimal-comma", "decimal-point"),
        help=_("how to read numbers such as 1,234 where a column reads both ways"),
    )
