"""The databases that a fleet's sums are asked of, behind one face: write rows, ask a statement."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any, Protocol

import pandas as pd
from sqlalchemy import Executable, text
from sqlalchemy.dialects import postgresql
from sqlalchemy.schema import CreateTable

from tracker.store.connections import make_engine
from tracker.store.sums.coded import ALL, fleet
from tracker.store.writing import insert_rows


class SumEngine(Protocol):
    """An open database with the fleet's tables in it."""

    def write(self, table: str, rows: pd.DataFrame) -> None:
        """Adds rows, columns by name."""

    def run(self, statement: Executable) -> None:
        """Carries a statement out that answers nothing."""

    def ask(self, statement: Executable) -> pd.DataFrame:
        """What the statement answers."""

    def settle(self) -> None:
        """Lets the database learn how much it holds, as it would by itself in time."""

    def processor_seconds(self) -> float:
        """What its server has used so far, where it is not this process."""

    def memory(self) -> str:
        """What its server took at most, where it is not this process."""


class ByUrl:
    """SQLite or PostgreSQL, through the program's own engine."""

    def __init__(self, url: str) -> None:
        self.engine = make_engine(url)
        fleet.create_all(self.engine)

    def write(self, table: str, rows: pd.DataFrame) -> None:
        """Adds rows through the program's own bulk insert."""
        filled = rows.astype(object).where(rows.notna(), None)
        columns = [filled[name].tolist() for name in filled]
        with self.engine.begin() as connection:
            insert_rows(connection, fleet.tables[table], list(rows), zip(*columns, strict=True))

    def run(self, statement: Executable) -> None:
        with self.engine.begin() as connection:
            connection.execute(statement)

    def ask(self, statement: Executable) -> pd.DataFrame:
        with self.engine.connect() as connection:
            answer = connection.execute(statement)
            return pd.DataFrame(answer.fetchall(), columns=list(answer.keys()))

    def close(self) -> None:
        self.engine.dispose()

    def settle(self) -> None:
        with self.engine.begin() as connection:
            connection.execute(text("ANALYZE"))

    def processor_seconds(self) -> float:
        return 0.0

    def memory(self) -> str:
        return ""


class Postgres(ByUrl):
    """A server: what it needs is told beside what this process does."""

    def processor_seconds(self) -> float:
        fields = self._told("stat").rsplit(")", 1)[1].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    def _told(self, file: str) -> str:
        """What Linux tells of the process behind the one connection that is used."""
        with self.engine.connect() as connection:
            driver: Any = connection.connection.driver_connection
            return Path(f"/proc/{driver.info.backend_pid}/{file}").read_text(encoding="utf-8")

    def memory(self) -> str:
        peak = next(line for line in self._told("status").splitlines() if "VmHWM" in line)
        return f", the server's {int(peak.split()[1]) / 1e6:.2f} GB"


class ColumnEngine:
    """A column engine that reads PostgreSQL's dialect: the same statements, written out."""

    def __init__(self, file: Path) -> None:
        import duckdb

        self.connection = duckdb.connect(str(file), config={"threads": 1})
        for table in ALL:
            self.connection.execute(_written(CreateTable(table)))

    def write(self, table: str, rows: pd.DataFrame) -> None:
        names = ", ".join(f'"{name}"' for name in rows)
        self.connection.register("new_rows", rows)
        self.connection.execute(f"INSERT INTO {table} ({names}) SELECT {names} FROM new_rows")
        self.connection.unregister("new_rows")

    def run(self, statement: Executable) -> None:
        self.connection.execute(_written(statement))

    def ask(self, statement: Executable) -> pd.DataFrame:
        found: pd.DataFrame = self.connection.execute(_written(statement)).df()
        return found

    def settle(self) -> None:
        self.connection.execute("CHECKPOINT")

    def close(self) -> None:
        self.connection.close()

    def processor_seconds(self) -> float:
        return 0.0

    def memory(self) -> str:
        return ", the engine's with it"


def _written(statement: Any) -> str:
    dialect = postgresql.dialect(paramstyle="named")
    options = {} if isinstance(statement, CreateTable) else {"literal_binds": True}
    return str(statement.compile(dialect=dialect, compile_kwargs=options))
