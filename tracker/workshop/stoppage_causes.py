"""Why printers stand still, in the trade's words; anything else is written freely.

Each cause names the keys of ``vocabulary.CAUTIONS`` that belong beside it.
"""

from __future__ import annotations

from tracker.language import N_

PART_FAILED = N_("part failed")
HEAD_STRIKE = N_("head strike")  # by the edge of film or garment: an accident

STOPPAGE_CAUSES: dict[str, tuple[str, ...]] = {
    PART_FAILED: ("carriage",),
    HEAD_STRIKE: ("carriage", "nozzle_plate"),
    N_("ink or film missing"): ("chemicals",),
    N_("film jam"): ("carriage",),
    N_("power or electronics"): ("mains",),
    N_("curing or powder"): ("mains", "heat", "fumes"),
    N_("software or computer"): (),
    N_("waiting for a part"): (),
    N_("other"): (),
}

# How a part ends that did not wear out; a strike is the head's alone.
ACCIDENTS = (HEAD_STRIKE, N_("mishandling"), N_("power surge or cut"))

# Where nothing wrong with a part is likely.
WITHOUT_A_PART = frozenset(
    (N_("ink or film missing"), N_("film jam"), N_("curing or powder"), N_("software or computer"))
)


def is_accident(mode: str, cause: str = "") -> bool:
    """Does how a part failed, or the cause of the stoppage, tell of an accident?"""
    return mode in ACCIDENTS or is_head_strike(cause=cause)


def is_head_strike(mode: str = "", cause: str = "") -> bool:
    """Does either tell that a head was struck? A cause may go on in own words after a colon."""
    return HEAD_STRIKE in (mode, cause.partition(":")[0])


def cautions_of(cause: str) -> tuple[str, ...]:
    """The cautions of a cause, which may go on in own words after a colon.

    One that is none of the list has those of reaching inside.
    """
    return STOPPAGE_CAUSES.get(cause.partition(":")[0], ("carriage",))
