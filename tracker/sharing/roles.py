"""Look, log, manage: who may do what? `role_permit` is the gate that holds it."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.language import N_

LOOK, LOG, MANAGE = "look", "log", "manage"
ROLES = {
    LOOK: N_("Look: see every page, write nothing"),
    LOG: N_("Log: write down what happens at the printers, take back one's own entries"),
    MANAGE: N_("Manage: everything, also settings, files, corrections, devices"),
}
_ORDER = (LOOK, LOG, MANAGE)

# What a day at the printers writes. Printers, the catalogue, routines, closed days, experiments,
# reviews' notes and settings are decisions of whoever runs the workshop.
OF_THE_DAY = {
    *("fittings", "maintenance", "counters", "nozzle_checks", "stoppages", "stock", "orders"),
    *("conditions", "actions"),
}


def reaches(role: str, wanted: str) -> bool:
    """Does a role include another? An unknown role includes nothing.

    >>> reaches("manage", "log"), reaches("look", "log"), reaches("", "look")
    (True, False, False)
    """
    return role in _ORDER and _ORDER.index(role) >= _ORDER.index(wanted)


def role_for(table: str) -> str:
    """From which role on something may be written down in that table of records."""
    return LOG if table in OF_THE_DAY else MANAGE


@dataclass(frozen=True)
class Person:
    """Somebody at a device: a name that was given once, and a role."""

    name: str
    role: str
