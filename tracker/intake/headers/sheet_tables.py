"""The contract's tables as people's own sheets tell them.

A list of part changes tells in a row of other records too: the serial number of the part that came
out, and how long the printer stood. No table of the contract has these columns for a part. A list
of stoppages tells how long each was where the contract has its end.
"""

from __future__ import annotations

from dataclasses import replace

from tracker.language import N_
from tracker.workshop import limits
from tracker.workshop.contract import FITTINGS, STOPPAGES, TABLES
from tracker.workshop.declarations import Column

SERIAL_OUT = Column("serial_out", "text", N_("serial number of the part that came out"))
HOURS_DOWN = Column(
    "hours_down",
    "number",
    N_("hours by the clock that the printer stood still until the part was changed"),
    at_least=0,
    limit=limits.STANDING,
    unit="h",
)
HOURS_STOOD = replace(
    HOURS_DOWN, name="hours_stood", english=N_("hours by the clock that the printer stood still")
)
OF_OTHERS = (SERIAL_OUT.name, HOURS_DOWN.name)
_MORE = {FITTINGS.name: (SERIAL_OUT, HOURS_DOWN), STOPPAGES.name: (HOURS_STOOD,)}
NOT_KEPT = frozenset(column.name for columns in _MORE.values() for column in columns)
SHEET_TABLES = tuple(
    replace(table, columns=(*table.columns, *_MORE.get(table.name, ()))) for table in TABLES
)
SHEET_TABLE_BY_NAME = {table.name: table for table in SHEET_TABLES}
