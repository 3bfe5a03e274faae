"""The steps that bring a database to the schema of this program, each committed with its record.

To change the schema: change the contract or ``tables``, then append a ``Step`` here; never edit a
step that has been released. A step says what it makes in its own words (frozen below), for the
living tables will have moved on. A test compares the result with ``tables``.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from sqlalchemy import (
    BigInteger,
    Column,
    Connection,
    Engine,
    ForeignKey,
    LargeBinary,
    MetaData,
    Table,
    Text,
    inspect,
    text,
)
from sqlalchemy.schema import CreateColumn

from tracker.errors import StoreError, TrackerError
from tracker.language import N_, _
from tracker.store import tables
from tracker.store.connections import (
    file_of,
    first_line,
    keep_in_one_file,
    name_of,
    reading,
    writing,
)
from tracker.store.safety import rotation, wholeness


@dataclass(frozen=True)
class Step:
    """One step: the schema version it leads to, what it does in words, and the doing."""

    version: int
    what: str
    apply: Callable[[Connection], None]


# The first schema: "name kind" with ! where a value is required.
_FIRST = {
    "printers": "printer text!, started_on day!, site text, model text, head_type text, "
    "retired_on day, channels text",
    "fittings": "printer text!, part_kind choice!, position text!, fitted_on day, "
    "fitted_counter_m2 number, removed_on day, removed_counter_m2 number, removal_reason choice, "
    "failure_mode text, last_ok_on day, serial text, supplier text, batch text, unit_cost money, "
    "note text",
    "maintenance": "printer text!, task choice!, done_on day!, why choice!, position text, "
    "minutes number, fluid_ml number, done_by text, note text",
    "counters": "printer text!, read_on day!, area_m2 number!",
    "nozzle_checks": "printer text!, checked_on day!, position text!, channel text!, "
    "missing_nozzles whole!",
    "stoppages": "printer text!, began_at moment!, ended_at moment, cause text, part_kind choice, "
    "scrap_cost money, note text",
    "stock": "part_kind choice!, moved_on day!, quantity whole!, reason choice, unit_cost money, "
    "best_before day",
    "orders": "part_kind choice!, quantity whole!, ordered_on day!, expected_on day, "
    "received_on day, supplier text, unit_cost money",
    "parts": "part_kind choice!, unit_cost money, pack_size whole, lead_days number, "
    "lead_days_late number, shelf_life_days number, warranty_days number, replaced_with text, "
    "typical_life_days number, belief_failures number, hours_to_change number",
    "routines": "task choice!, every_days number, every_m2 number, printer text, starts_on day, "
    "ends_on day",
    "conditions": "printer text!, noted_on day!, humidity_percent number, "
    "white_share_percent number, note text",
    "settings": "name text!, value text!",
}  # fmt: skip


# What the third adds: what the monthly reviews gave to do, and a note beside each.
_REVIEW_TABLES = {
    "actions": "month day!, action text!, reason text, assigned_to text, written_on day!, "
    "done_on day, dropped_on day, place whole, made_from text, note text",
    "review_notes": "month day!, note text!, written_on day!",
}  # fmt: skip


# What the fourth adds: types of parts, ages nobody knows, claims, closed days, lots in use.
_NEW_COLUMNS = {
    "fittings": "variant text, age_guess_days number, claim choice, claim_amount money",
    "stock": "variant text",
    "orders": "variant text",
    "parts": "variant text, recovery_minutes number, refill_ml number, spoiled_per_failure money",
    "conditions": "ink_lot text, film_lot text, powder_lot text",
}
_CLOSURES = {"closures": "began_on day!, ended_on day!, site text, printer text, note text"}


# What the fifth adds: trials of a task at two intervals.
_EXPERIMENTS = {
    "experiments": "experiment text!, task choice!, part_kind choice!, printer text!, "
    "every_days number!, starts_on day!, ends_on day!, look_on day, note text",
}


# What the sixth adds: whether the maker demands a routine.
_DEMANDED = {"routines": "demanded choice"}


# The ninth schema adds columns for the hour that comes twice where clocks are put back.
_PASSES = {"stoppages": "began_pass choice, ended_pass choice"}

# The tenth and eleventh: how many lay there when the shelf was counted; what counters printed that
# were replaced since.
_COUNTS = {"stock": "counted whole"}
_CARRIED = {"counters": "carried_m2 number"}

# The twelfth: days on which a supplier sends nothing.
_SUPPLIERS_SHUT = {"closures": "supplier text"}


def _described(columns: str) -> list[tuple[str, str, bool]]:
    named = [column.split() for column in columns.split(", ")]
    return [(column, kind.rstrip("!"), kind.endswith("!")) for column, kind in named]


def _describe(described: dict[str, str], holder: MetaData) -> None:
    """Puts the tables of records that the words describe into the holder."""
    for name, columns in described.items():
        tables.record_table(name, _described(columns), holder)


def _first_schema(connection: Connection) -> None:
    holder = MetaData()
    _describe(_FIRST, holder)
    _first_log(holder)
    holder.create_all(connection, checkfirst=False)
    counters = [
        "version",
        "next id",
        "next batch",
        *(f"version of {name}" for name in _FIRST),
    ]
    connection.execute(
        tables.META.insert(),
        [{"name": name, "value": int(name.startswith("next"))} for name in counters],
    )


def _first_log(holder: MetaData) -> None:
    row_id = tables.ROW_ID
    Table(
        "meta",
        holder,
        Column("name", Text, primary_key=True),
        Column("value", BigInteger, nullable=False),
    )
    Table(
        "batches",
        holder,
        Column("id", row_id, primary_key=True, autoincrement=False),
        Column("made_at", BigInteger, nullable=False),
        Column("who", Text, nullable=False),
        Column("what", Text, nullable=False),
        Column("undoes", row_id, ForeignKey("batches.id")),
    )
    Table(
        "row_changes",
        holder,
        Column("batch_id", row_id, ForeignKey("batches.id"), primary_key=True),
        Column("row_id", row_id, primary_key=True, index=True),
        Column("table_name", Text, nullable=False),
        Column("before", Text),
        Column("after", Text),
    )
    Table(
        "row_blocks",
        holder,
        Column("batch_id", row_id, ForeignKey("batches.id"), primary_key=True),
        Column("table_name", Text, primary_key=True),
        Column("first_id", row_id, primary_key=True),
        Column("last_id", row_id, nullable=False),
        Column("row_count", BigInteger, nullable=False),
        Column("content", LargeBinary),
    )


def _remembered_columns(connection: Connection) -> None:
    connection.execute(
        text(
            "CREATE TABLE remembered_columns (table_name TEXT NOT NULL, "
            "source_column TEXT NOT NULL, column_name TEXT NOT NULL, "
            "PRIMARY KEY (table_name, source_column))"
        )
    )


def _review_tables(connection: Connection) -> None:
    _add_tables(connection, _REVIEW_TABLES)


def _add_tables(connection: Connection, described: dict[str, str]) -> None:
    holder = MetaData()
    _describe(described, holder)
    holder.create_all(connection, checkfirst=False)
    counters = [{"name": f"version of {name}", "value": 0} for name in described]
    connection.execute(tables.META.insert(), counters)


def _add_columns(connection: Connection, described: dict[str, str]) -> None:
    for name, columns in described.items():
        for column in _described(columns):
            said = CreateColumn(tables.record_column(*column)).compile(dialect=connection.dialect)
            connection.execute(text(f"ALTER TABLE {name} ADD COLUMN {said}"))


def _the_workshop_as_it_is(connection: Connection) -> None:
    _add_columns(connection, _NEW_COLUMNS)
    _add_tables(connection, _CLOSURES)


def _experiments(connection: Connection) -> None:
    _add_tables(connection, _EXPERIMENTS)


def _demanded_routines(connection: Connection) -> None:
    _add_columns(connection, _DEMANDED)


def _remembered_answers(connection: Connection) -> None:
    """An answer about a heading is filed with its table, as ``column|counters|Datum``."""
    for said in (
        "CREATE TABLE remembered_answers (question TEXT NOT NULL, answer TEXT NOT NULL, "
        "PRIMARY KEY (question))",
        "INSERT INTO remembered_answers (question, answer) "
        "SELECT CASE WHEN table_name = '' THEN source_column "
        "ELSE 'column|' || table_name || '|' || source_column END, column_name "
        "FROM remembered_columns",
        "DROP TABLE remembered_columns",
    ):
        connection.execute(text(said))


def _passes(connection: Connection) -> None:
    _add_columns(connection, _PASSES)


def _counts(connection: Connection) -> None:
    _add_columns(connection, _COUNTS)


def _replaced_counters(connection: Connection) -> None:
    _add_columns(connection, _CARRIED)


def _suppliers_shut(connection: Connection) -> None:
    _add_columns(connection, _SUPPLIERS_SHUT)


def _generation(connection: Connection) -> None:
    """The digest is written after the last step, when the tables are those of this program."""
    wholeness.renew_generation(connection)


STEPS: tuple[Step, ...] = (
    Step(1, N_("the records, their counters and the change log"), _first_schema),
    Step(2, N_("remember which column of a spreadsheet means what"), _remembered_columns),
    Step(3, N_("the actions and the note of each monthly review"), _review_tables),
    Step(
        4,
        N_("types of parts, closed days, claims, lots, ages nobody knows"),
        _the_workshop_as_it_is,
    ),
    Step(5, N_("trials of a task at two intervals"), _experiments),
    Step(6, N_("routines that the maker demands"), _demanded_routines),
    Step(7, N_("remember any answer about files, not of columns alone"), _remembered_answers),
    Step(8, N_("the mark of the generation, and the sum of all rows"), _generation),
    Step(9, N_("times that come twice where clocks are put back"), _passes),
    Step(10, N_("how many pieces a count of the shelf found"), _counts),
    Step(11, N_("what counters printed that were replaced since"), _replaced_counters),
    Step(12, N_("days on which a supplier sends nothing"), _suppliers_shut),
)


def schema_version(connection: Connection) -> int:
    """Which schema the database has; 0 when it is empty.

    Raises StoreError when it holds tables of something else.
    """
    names = set(inspect(connection).get_table_names())
    if tables.SCHEMA_VERSIONS.name not in names:
        if names:
            raise StoreError(
                _(
                    "This database belongs to another program (it holds {names}); give the "
                    "tracker a database of its own.",
                    names=", ".join(sorted(names)[:3]),
                )
            )
        return 0
    return connection.execute(text("SELECT max(version) FROM schema_versions")).scalar() or 0


def is_of_today(engine: Engine) -> bool:
    """Does the database have the schema of this program, so that opening it takes no step?"""
    with reading(engine) as connection:
        return schema_version(connection) == STEPS[-1].version


def migrate(engine: Engine, steps: Sequence[Step] = STEPS, *, keep_backup: bool = True) -> int:
    """Brings the database to the last of the steps; returns how many steps that took.

    A step and its record are one transaction, so a failed step leaves nothing behind; several
    programs may start at once. A file is backed up first, unless it is empty. Raises StoreError
    when the database is newer than the steps, may only be read but needs one, or a step fails.
    """
    keep_in_one_file(engine)
    known = steps[-1].version
    with engine.connect() as connection:
        found = schema_version(connection)
    if found > known:
        raise StoreError(
            _(
                "This database was written by a newer version of the tracker (its schema is "
                "{found}, this program knows up to {known}); update the program, or open "
                "another database.",
                found=found,
                known=known,
            )
        )
    file = file_of(engine)
    if file is not None and not file.may_write and found < known:
        raise StoreError(
            _(
                "{engine} was written by an earlier version of the tracker and may only be read; "
                "allow writing to the file and its folder once, so that it can be brought up to "
                "date.",
                engine=name_of(engine),
            )
        )
    with reading(engine):
        pass  # a file that somebody put here is looked at before anything is done to it
    if file is not None and keep_backup and 0 < found < known:
        rotation.keep(file, rotation.BEFORE_UPDATE)
    wanted = [step for step in steps if step.version > found]
    # A new database is made in one go: half of one would be no loss, but is of no use either.
    together = [[step] for step in wanted] if found else [wanted] if wanted else []
    taken = sum(_take(engine, some) for some in together)
    _keep_digest(engine)
    if file is not None:
        file.close_to_strangers()
    return taken


def _keep_digest(engine: Engine) -> None:
    with reading(engine) as connection:
        if wholeness.read_number(connection, wholeness.DIGEST) is not None:
            return
        if wholeness.read_number(connection, wholeness.GENERATION) is None:
            return  # brought to an earlier schema, which has none
    with writing(engine) as connection:
        wholeness.keep_digest(connection)


def _take(engine: Engine, steps: Sequence[Step]) -> int:
    """Takes these steps in one transaction, but for those that others have taken meanwhile."""
    step, taken = steps[0], 0
    try:
        with writing(engine) as connection:
            tables.SCHEMA_VERSIONS.create(connection, checkfirst=True)
            there = schema_version(connection)
            for step in steps:
                if there >= step.version:
                    continue
                step.apply(connection)
                wholeness.forget_digest(connection)
                connection.execute(
                    tables.SCHEMA_VERSIONS.insert(), {"version": step.version, "what": step.what}
                )
                taken += 1
    except TrackerError:
        raise
    except Exception as problem:  # whatever a step stumbles over, the person gets one sentence
        raise StoreError(
            _(
                "The database could not be brought to schema {version} ({what}): {problem}. "
                "It was left as it was; make a backup of it and report this.",
                version=step.version,
                what=_(step.what),
                problem=first_line(problem),
            )
        ) from problem
    return taken
