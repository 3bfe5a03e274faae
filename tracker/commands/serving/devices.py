"""Which devices share the app? Make a pairing code, or let a device in no more."""

from __future__ import annotations

import argparse
from datetime import datetime

from tracker.commands.printing import as_json, show
from tracker.commands.serving.told import code_line
from tracker.language import _
from tracker.say import numbers
from tracker.sharing.mode import device_list


def devices(options: argparse.Namespace) -> int:
    """Do what was asked, then tell the list."""
    paired, now = device_list(), datetime.now()
    if options.remove is not None:
        paired.remove(options.remove)
    code = paired.new_code(options.pair, now, name=options.name) if options.pair else None
    rows = [
        {
            "number": device.number,
            "name": device.person.name,
            "role": device.person.role,
            "paired_on": device.paired_at.date(),
            "last_seen_on": device.seen_at.date(),
        }
        for device in paired.devices(now)
    ]
    if options.json:
        made = {"code": code.text, "role": code.role} if code else None
        return as_json({"devices": rows, "pairing_code": made})
    if code:
        print(code_line(code))
    told = _("{devices} let in.", devices=numbers.count(len(rows), "device", "devices"))
    return show(told if rows else _("No device is paired yet."), rows)
