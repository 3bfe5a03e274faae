"""Commands that look after records: export, backup, restore, move, check."""

from __future__ import annotations

import argparse
from datetime import datetime
from pathlib import Path

from tracker.commands.printing import as_json, show
from tracker.commands.sources import database_there, database_url, has_database, records_and_day
from tracker.errors import HoldsRecords, StoreError
from tracker.language import _


def export(options: argparse.Namespace) -> int:
    """Write everything that was known on the day as spreadsheets of the contract."""
    from tracker.intake.exchange import write_folder

    records, as_of = records_and_day(options)
    if options.as_of:
        records = records.known_at(as_of)
    write_folder(records, Path(options.folder))
    if options.json:
        return as_json({"folder": options.folder})
    return show(_("Written to {folder}.", folder=options.folder), [])


def backup(options: argparse.Namespace) -> int:
    """Copy the whole database, its change log included, into one file."""
    from tracker.store.safety.backup import backup as write_backup

    write_backup(database_there(options), Path(options.file))
    if options.json:
        return as_json({"file": options.file})
    return show(_("Backed up to {file}.", file=options.file), [])


def restore(options: argparse.Namespace) -> int:
    """Bring a backup back into the database."""
    from tracker.store.safety.restore import restore as bring_back

    try:
        kept = bring_back(
            Path(options.file), database_url(options), replace=options.replace, now=datetime.now()
        )
    except HoldsRecords as problem:
        raise StoreError(_("{problem} To replace it, add --replace.", problem=problem)) from problem
    if options.json:
        return as_json({"file": options.file, "kept": str(kept.path) if kept else None})
    told = _("Restored from {file}.", file=options.file)
    if kept:
        told += " " + _("What was there before is kept as {kept}.", kept=kept.path)
    return show(told, [])


def move(options: argparse.Namespace) -> int:
    """Copy everything of one database into an empty one, change log included."""
    from tracker.store.safety.move import move as move_into

    rows = move_into(options.source, options.target)
    if options.json:
        return as_json({"tables": rows})
    told = _(
        "Moved, read back and compared: {count} rows of {tables} tables. The old database was "
        "only read and is still there; open the new one from now on.",
        count=sum(rows.values()),
        tables=sum(count > 0 for count in rows.values()),
    )
    return show(told, [{"table": name, "rows": count} for name, count in rows.items() if count])


def check(options: argparse.Namespace) -> int:
    """Look for records that cannot be true (exit code 1) and for doubtful ones."""
    from tracker.say.entering.second_look import second_look
    from tracker.workshop.checks import refusals

    if options.accept:
        from tracker.store.safety.backup import accept

        accept(database_there(options))
    records, as_of = records_and_day(options)
    problems = [refusal.sentence() for refusal in refusals(records, today=as_of)]
    if has_database(options):
        from tracker.store.safety.backup import check as check_database

        problems = list(dict.fromkeys([*check_database(database_url(options)), *problems]))
    doubtful = second_look(records, as_of)
    if options.json:
        as_json({"problems": problems, "notices": doubtful})
    else:
        show(_("Nothing impossible found.") if not problems else _("Found:"), [])
        for line in (*problems, *(_("Note: {notice}", notice=notice) for notice in doubtful)):
            print(line)
    return 1 if problems else 0
