"""Files of any layout to records: the one entry of the app and the command line."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from tracker.intake.pieces import File, Intake, Mends, Piece, Role, SetAside
from tracker.intake.questions import Answers
from tracker.workshop.records import Records

__all__ = ["File", "Intake", "Mends", "Piece", "Role", "SetAside", "read_files"]


def read_files(
    files: Sequence[File],
    known: Records,
    answers: Answers | None = None,
    mends: Mends | None = None,
    *,
    remembered: Answers | None = None,
    today: date | None = None,
) -> Intake:
    """What do these files say, beside what the workshop has written down already?

    ``known`` are the workshop's records: its printers, their positions and own kinds. ``answers``
    answers ``Intake.questions`` by key; ``remembered`` are answers kept from earlier files, which
    count where ``answers`` says nothing. ``mends`` mends cells and leaves rows out. ``today``
    refuses days after it. Nothing is raised for what a file holds: what cannot be read is refused
    in ``Intake.refusals``.

    Raises UsageError for an answer that is none of the choices.
    """
    raise NotImplementedError
