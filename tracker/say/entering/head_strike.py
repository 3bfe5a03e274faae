"""What to do after a head was struck; common practice, no source."""

from __future__ import annotations

from tracker.language import _


def next_steps() -> list[str]:
    """In their order; the maker's instructions, said beside them, come before each."""
    return [
        _(
            "Look for what was struck: a lifted edge of film, a seam, a wrinkle. Take it out "
            "before the carriage moves again."
        ),
        _(
            "See that film and garment lie flat to their edges, and set the height of the head "
            "as the maker's instructions say for them."
        ),
        _(
            "Print a nozzle check and write it down, today and tomorrow: nozzles that a strike "
            "harmed may drop out later."
        ),
    ]
