"""What is told of an untidy sheet: its bytes, what may be asked, and the records in it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import pandas as pd

from tests.intake.sheets import workshop_of
from tracker.intake.reading import File, Mends
from tracker.workshop.records import Records

LOG_BEGAN = "2024-01-01"


def with_log_since(day: str, records: Records) -> Records:
    """The workshop with that day as the log's first."""
    settings = pd.DataFrame({"name": ["log_began_on"], "value": [day]}, index=[2])
    return records.with_table("settings", settings)


WORKSHOP = with_log_since(LOG_BEGAN, workshop_of("Left", "Right", began=LOG_BEGAN))
PLANNED = {"|why": "planned"}
Rows = tuple[tuple[str, ...], list[tuple[str, ...]]]


@dataclass(frozen=True)
class Refused:
    """A refusal by the person's own row and heading, with words its sentence must hold."""

    row: int | None
    header: str
    words: str


@dataclass(frozen=True)
class Untidy:
    """One file of a workshop of the printers Left and Right, and what must come of it.

    ``gives`` has the rows of every table that a record comes out for (see ``rows``). ``answers``
    answers the questions that may be asked, by a piece of the key each is filed under. Where
    ``refused`` names anything, that and nothing else is refused, and ``mends``, or the file
    ``mended``, gives the records. ``aside`` are the rows that are set aside, and no others;
    ``says`` are words that the notices must hold.
    """

    about: str
    file: str
    data: str | bytes
    gives: Mapping[str, Rows]
    answers: Mapping[str, str] = field(default_factory=dict)
    known: Records = WORKSHOP
    refused: Sequence[Refused] = ()
    mends: Mends | None = None
    mended: str | bytes | None = None
    aside: Sequence[int] = ()
    says: Sequence[str] = ()

    def files(self, *, is_mended: bool = False) -> list[File]:
        """The file as it is kept, or as it is once somebody mended it."""
        data = self.mended if is_mended and self.mended is not None else self.data
        return [File(self.file, data.encode() if isinstance(data, str) else data)]


def rows(columns: str, text: str) -> Rows:
    """Records by hand: column names and a line for each record, both parted by commas."""
    names = tuple(name.strip() for name in columns.split(","))
    lines = [line for line in text.strip().splitlines() if line.strip()]
    records = [tuple(cell.strip() for cell in line.split(",")) for line in lines]
    assert all(len(record) == len(names) for record in records), records
    return names, sorted(records)
