"""Where a command's records come from, and on which day they are looked at."""

from __future__ import annotations

import argparse
import sys
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import pandas as pd

from tracker.commands.asked_language import spoken
from tracker.errors import UsageError
from tracker.intake.questions import parse_answers
from tracker.language import _, adopt
from tracker.say import numbers
from tracker.say.entering.clock import doubt_in_words
from tracker.workshop.clocks.doubt import clock_doubt
from tracker.workshop.contract import TABLES
from tracker.workshop.records import Records

if TYPE_CHECKING:
    from tracker.store.database import Store


def answers_to_questions(options: argparse.Namespace) -> dict[str, str]:
    """How to read what can be read two ways, as told on the command line."""
    told = {}
    if getattr(options, "dates", None):
        told["dates"] = options.dates
    if getattr(options, "numbers", None):
        told["numbers"] = options.numbers
    return told | parse_answers(getattr(options, "answer", None) or ())


def folder_records(folder: str, options: argparse.Namespace) -> Records:
    """The records of a spreadsheet folder; refusals name each bad row."""
    from tracker.intake.exchange import read_folder

    if not Path(folder).is_dir():
        raise UsageError(
            _(
                "There is no folder {folder}; give the folder with the CSV files.",
                folder=repr(folder),
            )
        )
    return read_folder(Path(folder), answers=answers_to_questions(options))


def database_url(options: argparse.Namespace) -> str:
    """The database a command writes to: the one given, else the workshop's own."""
    from tracker.store.connections import default_url

    return options.database or default_url()


def by_command(store: Store) -> Store:
    """The store whose changes say that a command made them, now."""
    return store.by(lambda: _("command line"), datetime.now)


def database_there(options: argparse.Namespace) -> str:
    """The database a command looks at; UsageError where there is none, for none is made."""
    from tracker.store.connections import sqlite_file

    if not has_database(options):
        raise UsageError(
            _(
                "No workshop was begun here yet, only the demo is there; begin one in the app, "
                "load records, or give --database."
            )
        )
    url = database_url(options)
    file = sqlite_file(url)
    if file is not None and not file.exists():
        raise UsageError(
            _(
                "There is no database file {file}; name the one that is meant, or begin it in the "
                "app or with the command load.",
                file=file,
            )
        )
    return url


def has_database(options: argparse.Namespace) -> bool:
    """Is a database asked, and neither a folder nor the demo of whoever began none yet?"""
    from tracker.store.connections import own_exists

    return not getattr(options, "data", None) and bool(options.database or own_exists())


def records_and_day(options: argparse.Namespace) -> tuple[Records, date]:
    """The records a question is put to, and the day it is put on.

    Without ``--data`` or ``--database`` these are the workshop's own, or the demo workshop as long
    as no own one was started. A folder and the demo end with their last written day; a live
    database is looked at today.
    """
    if options.data:
        records = folder_records(options.data, options)
        live = False
    else:
        from tracker.store.database import open_store

        if has_database(options):
            records = open_store(database_there(options)).records()
            live = not records.is_demo
        else:
            records = folder_records(str(_sample_data()), options)
            live = False
    if not spoken(options):
        adopt(records.setting("language"), records.setting("locale"))
    if options.as_of:
        note = _beside_the_log(records, options.as_of)
        if note:
            print(note, file=sys.stderr)
        return records, options.as_of
    today = date.today()
    if live and (doubt := clock_doubt(records, today)):
        told = _("{doubt} If it is another day, name it with --as-of.", doubt=doubt_in_words(doubt))
        print(told, file=sys.stderr)
    last = None if live else records.last_day()
    return records, last or today


def first_day(records: Records) -> date | None:
    """The earliest day on which anything is written down; None when nothing is."""
    earliest = [
        records.table(table.name)[table.happened_on].min()
        for table in TABLES
        if table.happened_on is not None
    ]
    found = [day for day in earliest if not pd.isna(day)]
    return min(found).date() if found else None


def _beside_the_log(records: Records, as_of: date) -> str:
    """What is to be said of a day of which the records can know nothing; "" of any other."""
    first, last = first_day(records), records.last_day()
    if first is not None and as_of < first:
        return _(
            "--as-of {as_of}: nothing was written down before {first}, so the answer "
            "rests on no record.",
            as_of=as_of,
            first=numbers.day(first),
        )
    today = date.today()
    if as_of > max(today, last or today):
        return _(
            "--as-of {as_of} lies ahead: nothing is written down after {last}; the "
            "answer takes it that nothing happens until then.",
            as_of=as_of,
            last=numbers.day(last or today),
        )
    return ""


def _sample_data() -> Path:
    return Path(__file__).resolve().parent.parent.parent / "sample_data"
