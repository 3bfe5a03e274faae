"""What was answered about earlier files: which printer a name is, which column a heading."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import Connection, bindparam, select

from tracker.intake.headers.sheet_tables import SHEET_TABLE_BY_NAME
from tracker.store import packing
from tracker.store.tables import REMEMBERED_ANSWERS

_OF_COLUMN = "column|"  # before table and heading, in an answer about a column
_KNOWN = REMEMBERED_ANSWERS.c


def read(connection: Connection) -> dict[str, str]:
    """Every answer by what was asked."""
    kept = select(_KNOWN.question, _KNOWN.answer).order_by(_KNOWN.question)
    return dict(connection.execute(kept).tuples().all())


def check(answers: Mapping[str, str]) -> None:
    """RecordError for a column that the table does not have."""
    for key, answer in answers.items():
        if key.startswith(_OF_COLUMN) and answer:
            packing.pack_row(SHEET_TABLE_BY_NAME[key.split("|")[1]], {answer: None})


def write(connection: Connection, answers: Mapping[str, str]) -> None:
    """Keeps the answers; a new one takes the old one's place."""
    old = REMEMBERED_ANSWERS.delete().where(_KNOWN.question == bindparam("asked"))
    connection.execute(old, [{"asked": key} for key in answers])
    rows = [{"question": key, "answer": answer} for key, answer in answers.items()]
    connection.execute(REMEMBERED_ANSWERS.insert(), rows)
