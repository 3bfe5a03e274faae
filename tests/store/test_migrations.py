"""A database moves forward to today's schema without loss, or stays as it was."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest
from pandas.testing import assert_frame_equal
from sqlalchemy import Connection, Engine, inspect, text

from tests.hands import by
from tests.store.programs import open_together, processes
from tests.workshop.small_workshop import small_workshop
from tracker.errors import StoreError
from tracker.store import connections, migrations, tables
from tracker.store.database import Store, open_store
from tracker.store.migrations import STEPS, Step
from tracker.store.safety import wholeness
from tracker.workshop.contract import TABLES
from tracker.workshop.records import Records


def layout(connection: Connection) -> dict[str, object]:
    """Tables, columns, types, keys and indexes as the database itself tells them."""
    seen = inspect(connection)
    return {
        name: (
            # A column that came later stands last; everything reads columns by their names.
            sorted((c["name"], str(c["type"]), c["nullable"]) for c in seen.get_columns(name)),
            seen.get_pk_constraint(name)["constrained_columns"],
            [(k["constrained_columns"], k["referred_table"]) for k in seen.get_foreign_keys(name)],
            sorted((i["name"], tuple(i["column_names"])) for i in seen.get_indexes(name)),
        )
        for name in seen.get_table_names()
    }


def test_the_steps_lead_to_the_tables_the_program_works_with(
    store: Store, fresh_url: Callable[[], str]
) -> None:
    """Whoever changes the contract or the tables has to write a step for it."""
    living = connections.make_engine(fresh_url())
    with connections.writing(living) as connection:
        tables.metadata.create_all(connection)
        wanted = layout(connection)
    with store.engine.connect() as connection:
        assert layout(connection) == wanted
    living.dispose()


YOUNGER_TABLES = {
    2: ["remembered_columns"],
    3: ["actions", "review_notes"],
    4: ["closures"],
    5: ["experiments"],
    7: ["remembered_answers"],
}
MEMORY = ("remembered_columns", "remembered_answers")  # no records
YOUNGER_COLUMNS = {
    4: {
        "fittings": ["variant", "age_guess_days", "claim", "claim_amount"],
        "stock": ["variant"],
        "orders": ["variant"],
        "parts": ["variant", "recovery_minutes", "refill_ml", "spoiled_per_failure"],
        "conditions": ["ink_lot", "film_lot", "powder_lot"],
    },
    6: {"routines": ["demanded"]},
    9: {"stoppages": ["began_pass", "ended_pass"]},
    10: {"stock": ["counted"]},
    11: {"counters": ["carried_m2"]},
    12: {"closures": ["supplier"]},
}


def as_known_by(records: Records, version: int) -> Records:
    """The records as a program of that schema knew them."""
    for step in range(version + 1, len(STEPS) + 1):
        for name, columns in YOUNGER_COLUMNS.get(step, {}).items():
            records = records.with_table(name, records.table(name).drop(columns=columns))
        for name in YOUNGER_TABLES.get(step, []):
            if name not in MEMORY:
                records = records.with_table(name, records.table(name).iloc[:0])
    return records


def make_older(engine: Engine, version: int) -> None:
    """Takes a database of today back to what the program of that schema left behind."""
    with connections.writing(engine) as connection:
        for step in range(len(STEPS), version, -1):
            for name, columns in YOUNGER_COLUMNS.get(step, {}).items():
                for column in columns:
                    connection.execute(text(f"ALTER TABLE {name} DROP COLUMN {column}"))
            for name in YOUNGER_TABLES.get(step, []):
                # the seventh step took the second one's table away
                connection.execute(text(f"DROP TABLE IF EXISTS {name}"))
                counter = {"name": f"version of {name}"}
                connection.execute(text("DELETE FROM meta WHERE name = :name"), counter)
        if version < 8:
            connection.execute(text("DELETE FROM meta WHERE name IN ('generation', 'digest')"))
        if 2 <= version < 7:
            STEPS[1].apply(connection)
        later = text("DELETE FROM schema_versions WHERE version > :version")
        connection.execute(later, {"version": version})


@pytest.mark.parametrize("version", [1, 2, 3])
def test_an_older_database_moves_forward_and_loses_nothing(
    fresh_url: Callable[[], str], version: int
) -> None:
    url, really_old = fresh_url(), connections.make_engine(fresh_url())
    with open_store(url) as first:
        by(first, "Ana").load(as_known_by(small_workshop(), version), "folder")
        before, count, log = first.records(), first.version(), first.changes()
        make_older(first.engine, version)
        migrations.migrate(really_old, STEPS[:version])
        with first.engine.connect() as here, really_old.connect() as there:
            assert layout(here) == layout(there)
            names = text("SELECT name FROM meta ORDER BY name")
            assert here.execute(names).all() == there.execute(names).all()
    really_old.dispose()
    with open_store(url) as store:
        for table in TABLES:
            assert_frame_equal(store.records().table(table.name), before.table(table.name))
        assert (store.version().changes, store.changes()) == (count.changes, log)
        store.remember_answers({"column|counters|Datum": "read_on"})
        store.load(small_workshop(), "folder")
        assert store.records().actions["action"].tolist() == ["Ask North about W1", "Buy gloves"]
        store.undo(store.changes()[0].batch)
        for table in TABLES:
            assert_frame_equal(store.records().table(table.name), before.table(table.name))
        store.undo(log[0].batch)
        assert store.records().is_empty
        with store.engine.connect() as connection:
            assert migrations.schema_version(connection) == STEPS[-1].version
            what = connection.execute(text("SELECT what FROM schema_versions ORDER BY version"))
            assert [row.what for row in what] == [step.what for step in STEPS]


def test_a_copy_of_an_earlier_program_s_file_is_found_whole_and_brought_up_to_date(
    tmp_path: Path,
) -> None:
    """The sum that the earlier program kept is over the columns that it knew."""
    earlier, copied = tmp_path / "workshop.sqlite", tmp_path / "copied.sqlite"
    with open_store(f"sqlite:///{earlier}") as store:
        by(store, "Ana").load(small_workshop(), "folder")
        before = store.records()
        make_older(store.engine, 9)
        with connections.writing(store.engine) as connection:
            wholeness.keep_digest(connection)
    shutil.copy(earlier, copied)
    with open_store(f"sqlite:///{copied}") as store:
        for table in TABLES:
            assert_frame_equal(store.records().table(table.name), before.table(table.name))
    # One row altered by other means: it does not add up, and that is said.
    shutil.copy(earlier, copied)
    with sqlite3.connect(copied) as file:
        file.execute("UPDATE stock SET quantity = 11 WHERE quantity = 10")
    file.close()
    with pytest.raises(StoreError, match="is not whole"):
        open_store(f"sqlite:///{copied}")


def test_answers_about_columns_are_remembered_with_all_others(database_url: str) -> None:
    engine = connections.make_engine(database_url)
    migrations.migrate(engine, STEPS[:6])
    with connections.writing(engine) as connection:
        kept = [("counters", "Datum", "read_on"), ("", "name|R", "Right"), ("stock", "Farbe", "")]
        for table, source, answer in kept:
            connection.execute(
                text("INSERT INTO remembered_columns VALUES (:table, :source, :answer)"),
                {"table": table, "source": source, "answer": answer},
            )
    engine.dispose()
    with open_store(database_url) as store:
        assert store.remembered_answers() == {
            "column|counters|Datum": "read_on", "column|stock|Farbe": "", "name|R": "Right",
        }  # fmt: skip
        store.remember_answers({"name|R": "Left", "layout|Datum|qm": "counters"})
        assert store.remembered_answers()["name|R"] == "Left"
        assert store.remembered_answers()["layout|Datum|qm"] == "counters"
        with store.engine.connect() as connection:
            assert "remembered_columns" not in inspect(connection).get_table_names()


def test_opening_again_takes_no_step(database_url: str) -> None:
    engine = connections.make_engine(database_url)
    assert migrations.migrate(engine) == len(STEPS)
    assert migrations.migrate(engine) == 0
    engine.dispose()


@pytest.mark.parametrize("wrong_sql", ["CREATE TABLE nonsense (", None], ids=["sql", "program"])
def test_a_failed_step_leaves_nothing_behind(workshop: Store, wrong_sql: str | None) -> None:

    def half_a_step(connection: Connection) -> None:
        connection.execute(text("CREATE TABLE new_things (id INTEGER)"))
        connection.execute(text("ALTER TABLE printers ADD COLUMN colour TEXT"))
        connection.execute(text("DELETE FROM fittings"))
        if wrong_sql is None:
            raise ZeroDivisionError
        connection.execute(text(wrong_sql))

    with workshop.engine.connect() as connection:
        before = layout(connection)
    steps = (*STEPS, Step(STEPS[-1].version + 1, "things that are new", half_a_step))
    with pytest.raises(
        StoreError, match=rf"to schema {len(STEPS) + 1} \(things that are new\).*left as it was"
    ):
        migrations.migrate(workshop.engine, steps)
    with workshop.engine.connect() as connection:
        assert layout(connection) == before
        assert migrations.schema_version(connection) == STEPS[-1].version
    assert len(workshop.records().fittings) == len(small_workshop().fittings)


def test_a_database_of_a_newer_program_is_refused(database_url: str) -> None:
    newer = (*STEPS, Step(STEPS[-1].version + 5, "the future", lambda connection: None))
    engine = connections.make_engine(database_url)
    migrations.migrate(engine, newer)
    engine.dispose()
    with pytest.raises(
        StoreError,
        match=rf"newer version .*its schema is {len(STEPS) + 5}.*knows up to {len(STEPS)}.*update",
    ):
        open_store(database_url)


def test_the_database_of_another_program_is_left_alone(database_url: str) -> None:
    engine = connections.make_engine(database_url)
    with connections.writing(engine) as connection:
        connection.execute(text("CREATE TABLE recipes (id INTEGER)"))
    with pytest.raises(StoreError, match=r"belongs to another program \(it holds recipes\)"):
        open_store(database_url)
    with engine.connect() as connection:
        assert inspect(connection).get_table_names() == ["recipes"]
    engine.dispose()


def test_five_programs_that_start_at_once_all_get_a_sound_database(database_url: str) -> None:
    context = processes()
    barrier = context.Barrier(5)
    started = [context.Process(target=open_together, args=(database_url, barrier)) for _ in "12345"]
    for process in started:
        process.start()
    for process in started:
        process.join(180)
    assert [process.exitcode for process in started] == [0] * 5
    with open_store(database_url) as store:
        assert len(store.records().settings) == 5, "each has written its record"
        assert len(store.changes()) == 5
        with store.engine.connect() as connection:
            found = connection.execute(text("SELECT version FROM schema_versions"))
            assert sorted(found.scalars()) == [step.version for step in STEPS]


def test_steps_are_numbered_in_order() -> None:
    numbers = [step.version for step in STEPS]
    assert numbers == list(range(1, len(STEPS) + 1))
