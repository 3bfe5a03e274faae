"""Why printers stand still, in the trade's words; anything else is written freely.

Each cause names the keys of ``vocabulary.CAUTIONS`` that belong beside it.
"""

from __future__ import annotations

from tracker.language import N_

PART_FAILED = N_("part failed")
HEAD_STRIKE = N_("head strike")

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

# Where nothing wrong with a part is likely.
WITHOUT_A_PART = frozenset({
    "ink or film missing", "film jam", "curing or powder", "software or computer",
})  # fmt: skip


def cautions_of(cause: str) -> tuple[str, ...]:
    """The cautions of a cause, which may go on in own words after a colon.

    One that is none of the list has those of reaching inside.
    """
    return STOPPAGE_CAUSES.get(cause.partition(":")[0], ("carriage",))
