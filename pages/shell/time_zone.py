"""In which time zone does this computer's clock run?"""

from __future__ import annotations

import os
from pathlib import Path

from tracker.workshop.clocks.changes import zone_named, zone_of
from tracker.workshop.records import Records

_HOLDS_ZONES = "zoneinfo/"  # the system's clock is a link to a file in a folder of that name


def machines_zone() -> str:
    """The name of its time zone; "" where it is not known, or is a clock that never changes."""
    named = os.environ.get("TZ", "").lstrip(":")
    if not named:
        path = os.path.realpath(Path("/etc/localtime"))
        named = path.partition(_HOLDS_ZONES)[2]
    is_place = "/" in named and not named.startswith("Etc/")
    return named if is_place and zone_named(named) else ""


def zone_name(records: Records) -> str:
    """The workshop's time zone, else this computer's."""
    return records.setting("time_zone") if zone_of(records) else machines_zone()
