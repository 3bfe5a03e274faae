"""Labels to print and stick on the printers."""

from __future__ import annotations

import argparse
from pathlib import Path

from tracker.commands.printing import as_json, show
from tracker.commands.sources import records_and_day
from tracker.errors import UsageError
from tracker.language import _
from tracker.say import numbers


def labels(options: argparse.Namespace) -> int:
    """Write a sheet with a label for every printer at work."""
    from tracker.lives.printer_state import LEFT, printer_states
    from tracker.paper.addresses import app_address, only_this_computer
    from tracker.paper.labels import label_sheet, log_address

    records, as_of = records_and_day(options)
    typed = options.address or records.setting("app_address")
    if not typed:
        raise UsageError(
            _("Say under which address phones reach the app: --address http://printroom:8501.")
        )
    base = app_address(typed)
    at_work = [one for one in printer_states(records, as_of).values() if one.state != LEFT]
    if not at_work:
        raise UsageError(_("No printer is at work on {as_of}; add one first.", as_of=as_of))
    sheet = label_sheet(
        [(one.printer, one.site) for one in at_work], base, records.setting("workshop"), as_of,
        is_demo=records.is_demo,
    )  # fmt: skip
    Path(options.out).write_text(sheet, encoding="utf-8", newline="\n")
    if options.json:
        rows = [
            {"printer": one.printer, "address": log_address(base, one.printer)} for one in at_work
        ]
        return as_json({"as_of": as_of, "labels": rows, "file": options.out})
    told = [
        _(
            "{labels} to print, leading to {base}: {out}.",
            labels=numbers.count(len(at_work), "label", "labels"),
            base=base,
            out=options.out,
        )
    ]
    if only_this_computer(base):
        told.append(_("The address leads nowhere from a phone."))
    return show(" ".join(told), [])
