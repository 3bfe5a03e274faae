"""What a fleet's log adds up to, asked of the database: one statement per sum.

Read in this order: `coded` (the tables, whole numbers throughout), `lives` (what the life model and
the survival curves are fed with), `log` (last done, routine kept, counts, work and costs by month).
The same statements run on SQLite, PostgreSQL and a column engine that reads PostgreSQL's dialect.
"""

from __future__ import annotations
