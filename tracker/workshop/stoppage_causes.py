"""Why printers stand still, in the trade's words; anything else is written freely.

Each cause names the keys of ``vocabulary.CAUTIONS`` that belong beside it.
"""

from __future__ import annotations

PART_FAILED = "part failed"
HEAD_STRIKE = "head strike"

STOPPAGE_CAUSES: dict[str, tuple[str, ...]] = {
    PART_FAILED: ("carriage",),
    HEAD_STRIKE: ("carriage", "nozzle_plate"),
    "ink or film missing": ("chemicals",),
    "film jam": ("carriage",),
    "power or electronics": ("mains",),
    "curing or powder": ("mains", "heat", "fumes"),
    "software or computer": (),
    "waiting for a part": (),
    "other": (),
}


def cautions_of(cause: str) -> tuple[str, ...]:
    """The cautions of a cause, which may go on in own words after a colon.

    One that is none of the list has those of reaching inside.
    """
    return STOPPAGE_CAUSES.get(cause.partition(":")[0], ("carriage",))
