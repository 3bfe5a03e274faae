"""Due tasks and order dates as a calendar file, written once or kept up to date."""

from __future__ import annotations

import argparse
import os
import sys
import time
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

from tracker.commands.printing import as_json, show
from tracker.commands.sources import database_there, records_and_day
from tracker.errors import TrackerError, UsageError
from tracker.language import _
from tracker.say import numbers
from tracker.workshop.records import Records

_LOOK_EVERY_SECONDS = 5.0


def calendar(options: argparse.Namespace) -> int:
    """Write the file; with ``--keep`` write it anew after each change until it is stopped."""
    from tracker.paper.calendar_file import uid
    from tracker.say.reminders.events import reminders

    if options.keep:
        return _keep(options)
    records, as_of = records_and_day(options)
    days = options.days
    found = reminders(records, as_of, days)
    write(Path(options.out), records, as_of, days)
    if options.json:
        rows = [
            {"on": one.on, "kind": one.kind, "printer": one.printer, "title": one.title,
             "uid": uid(one)}
            for one in found
        ]  # fmt: skip
        return as_json({"as_of": as_of, "days": days, "events": rows, "file": options.out})
    tasks = numbers.count(sum(one.kind == "task" for one in found), "due task", "due tasks")
    orders = numbers.count(sum(one.kind == "order" for one in found), "order date", "order dates")
    return show(
        _(
            "Calendar of {days} from {as_of} with {tasks} and {orders}: {out}.",
            days=numbers.days(days),
            as_of=numbers.day(as_of),
            tasks=tasks,
            orders=orders,
            out=options.out,
        ),
        [],
    )


def write(out: Path, records: Records, as_of: date, days: int) -> None:
    """The whole file at once: whoever fetches it in the same moment gets the old or the new one."""
    from tracker.paper.calendar_file import calendar_file
    from tracker.say.reminders.events import calendar_name, reminders

    written = calendar_file(
        reminders(records, as_of, days), calendar_name(records), datetime.now().astimezone(),
        app_address=records.setting("app_address"),
    )  # fmt: skip
    beside = out.with_name(f".{out.name}.part")
    beside.write_bytes(written)
    os.replace(beside, out)


def _keep(options: argparse.Namespace) -> int:
    if options.data or options.as_of or options.json:
        raise UsageError(
            _("--keep follows a database from today on; leave out --data, --as-of and --json.")
        )
    print(
        _("{out} is kept up to date – stop it with Ctrl+C.", out=options.out),
        file=sys.stderr,
        flush=True,
    )
    try:
        keep_up(Path(options.out), database_there(options), options.days)
    except KeyboardInterrupt:
        print(_("Stopped."), file=sys.stderr)
    return 0


def keep_up(
    out: Path,
    url: str,
    days: int,
    *,
    look_every: float = _LOOK_EVERY_SECONDS,
    goes_on: Callable[[], bool] = lambda: True,
) -> None:
    """Write the file now, after each change of the database, and when a new day begins.

    A place that cannot be written ends it at the start; later, when somebody has seen it work, a
    trouble that may pass is told and the file written as soon as it has passed.
    """
    from tracker.store.database import open_store

    written: tuple[object, date] | None = None
    told = ""
    with open_store(url) as store:
        while goes_on():
            try:
                version, records = store.state()
                day = (records.last_day() if records.is_demo else None) or date.today()
                if (version, day) != written:
                    write(out, records, day, days)
                    written, told = (version, day), ""
            except (TrackerError, OSError) as problem:
                if written is None:
                    raise
                if str(problem) != told:
                    told = str(problem)
                    print(_("{told}; trying again.", told=told), file=sys.stderr, flush=True)
            time.sleep(look_every)
