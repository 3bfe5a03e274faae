"""How does each answer grow with the number of printers, from a workshop of four to a fleet?

Run by hand: ``python -m tests.bench.fleet [printers ...] [--only WORD ...]``, by default 4, 20, 200
and 1 000; 5 000 (15.8 million tasks) takes 8 GB and an hour. Five years of log. Each answer is
asked in a process of its own that opens the database as the app does: processor seconds of the
answer alone, with nothing worked out before, and the largest memory of the whole process, the
records in it included (the log is made by another; its columns lie beside it as after a first
start). *Grows* is the exponent between the two largest
fleets: 1 is in step with the printers. One thread for the numerical library.
"""

from __future__ import annotations

import argparse
import math
import resource
import subprocess
import sys
import tempfile
from collections.abc import Callable, Mapping, Sequence
from importlib import import_module
from pathlib import Path
from time import process_time

from tracker.process import settle

settle()  # as every process of the app does, before anything that computes is imported

from tests.bench.fleet_log import LAST_DAY, fleet_log  # noqa: E402
from tracker.intake.exchange import examine_folder, write_folder  # noqa: E402
from tracker.intake.questions import UNUSUAL  # noqa: E402
from tracker.intake.together.beside import MEANT  # noqa: E402
from tracker.store import connections, packing, reading, tables, writing  # noqa: E402
from tracker.store.columns.column_file import columns_file  # noqa: E402
from tracker.store.database import open_store  # noqa: E402
from tracker.workshop.columns.coded import CodedTable  # noqa: E402
from tracker.workshop.contract import TABLES  # noqa: E402
from tracker.workshop.records import Records  # noqa: E402

ROOT = Path(__file__).parents[2]
SIZES = (4, 20, 200, 1000)
_AT_ONCE = 200_000  # rows written at once
Answer = Callable[[Records], object]


def review(records: Records) -> object:
    from tracker.review.month import month_review

    return month_review(records, LAST_DAY)


def effect(records: Records) -> object:
    from tracker.decisions.routine.effect import routine_effect

    return routine_effect(records, LAST_DAY, "damper", "shake_dampers", 7, 30)


def find(records: Records) -> object:
    from tracker.workshop.columns.found import newest_found
    from tracker.workshop.contract import MAINTENANCE

    return newest_found(records, MAINTENANCE, "P00003 shake esra", 500)


def due(records: Records) -> object:
    from tracker.decisions.due import due_list

    return due_list(records, LAST_DAY)


def kept(records: Records) -> object:
    from tracker.decisions.due import adherence

    return adherence(records.known_at(LAST_DAY), LAST_DAY.replace(day=1), LAST_DAY)


def doubts(records: Records) -> object:
    from tracker.workshop.checks import notices

    return notices(records)


def lives(records: Records) -> object:
    from tracker.forecast.outlook import outlook

    return outlook(records, LAST_DAY, 30)


def stock(records: Records) -> object:
    from tracker.decisions.stock_table import stock_table

    return stock_table(records, LAST_DAY)


def order_dates(records: Records) -> object:
    from tracker.decisions.preorder import preorder

    return preorder(records, LAST_DAY)


# What is asked, its name, and the targets: seconds at 200, 1 000 and 5 000 printers.
ANSWERS: Mapping[str, tuple[str, Answer, tuple[float, ...]]] = {
    "review": ("review of a month", review, (2, 5, 20)),
    "effect": ("effect of a task", effect, (3, 8, 30)),
    "find": ("find in the tasks", find, (0.2, 1, 3)),
    "due": ("due list", due, (0.3, 1, 4)),
    "kept": ("routine kept, a month", kept, (0.3, 1, 4)),
    "doubts": ("notices of doubtful records", doubts, (0.3, 1, 4)),
    "lives": ("outlook", lives, (0.5, 2, 8)),
    "stock": ("stock", stock, (1, 3, 8)),
    "order_dates": ("order dates", order_dates, (1, 2, 8)),
}
LOAD, ROWS, COLUMNS, MODULES = "load", "rows", "columns", "modules"
_LOADED = (
    "tracker.decisions.due", "tracker.decisions.preorder", "tracker.decisions.routine.effect",
    "tracker.decisions.stock_table", "tracker.forecast.outlook", "tracker.review.month",
    "tracker.workshop.checks", "tracker.workshop.columns.found",
)  # fmt: skip
_FURTHER = {
    MODULES: ("loading the modules of all answers", ()),
    LOAD: ("loading the log from CSV", (8, 40, 200)),
    ROWS: ("records read from the database, columns written beside it (GB)", (0.2, 0.5, 1.5)),
    COLUMNS: ("records read from the columns beside it (GB)", (0.2, 0.5, 1.5)),
}


def one(name: str, folder: Path) -> None:
    """Print processor seconds and largest memory in GB: one answer, in this process."""
    if name == MODULES:
        began = process_time()
        _load_modules()
        seconds = process_time() - began
    elif name == LOAD:
        began = process_time()
        with open_store(f"sqlite:///{folder / 'loaded.sqlite'}") as store:
            # The stock of a large fleet is asked about: the figures are meant.
            meant = {f"{table}.csv:quantity:{UNUSUAL}": MEANT for table in ("stock", "orders")}
            reading = examine_folder(folder / "csv", meant, LAST_DAY)
            assert reading.records is not None, (reading.refusals, reading.questions)
            store.load(reading.records, "fleet")
        seconds = process_time() - began
        for ending in ("", "-columns", "-turns"):
            (folder / f"loaded.sqlite{ending}").unlink(missing_ok=True)
    elif name in _FURTHER:
        if name == ROWS:
            columns_file(folder / "fleet.sqlite").unlink(missing_ok=True)
        began = process_time()
        with open_store(f"sqlite:///{folder / 'fleet.sqlite'}") as store:
            store.records()
        seconds = process_time() - began
    else:
        with open_store(f"sqlite:///{folder / 'fleet.sqlite'}") as store:
            records = store.records()
        _load_modules()
        began = process_time()
        ANSWERS[name][1](records)
        seconds = process_time() - began
    print(seconds, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20)


def _load_modules() -> None:
    for name in _LOADED:
        import_module(name)


def make(printers: int, folder: Path, *, as_csv: bool) -> None:
    """The fleet as a database and, where it is to be loaded, as a folder of the contract.

    The rows go in as a load writes them, without its checks and its entry in the change log: these
    are measured where the log is loaded.
    """
    records = fleet_log(printers)
    if as_csv:
        write_folder(records, folder / "csv")
    next_id = 1
    with (
        open_store(f"sqlite:///{folder / 'fleet.sqlite'}") as store,
        connections.writing(store.engine) as connection,
    ):
        for table in TABLES:
            frame = records.table(table.name)
            for first in range(0, len(frame), _AT_ONCE):
                part = CodedTable(frame.iloc[first : first + _AT_ONCE])
                rows = packing.normalised(table, part).frame
                ids = range(next_id, next_id + len(rows))
                next_id += len(rows)
                columns = packing.pack_frame(table, rows)
                writing.insert_rows(
                    connection, tables.RECORD_TABLES[table.name], ("id", *columns),
                    zip(ids, *columns.values(), strict=True),
                )  # fmt: skip
        counters = {"version": 1, "next id": next_id}
        counters |= {reading.version_name(table.name): 1 for table in TABLES}
        for name, value in counters.items():
            meta = tables.META
            connection.execute(meta.update().where(meta.c.name == name).values(value=value))


def _run(*words: str) -> list[float]:
    asked = [sys.executable, "-m", "tests.bench.fleet", *words]
    said = subprocess.run(asked, check=True, stdout=subprocess.PIPE, text=True, cwd=ROOT)
    return [float(word) for word in said.stdout.split()]


def measured(printers: int, names: Sequence[str], kept_in: Path) -> dict[str, list[float]]:
    """Seconds and memory of each answer at that size, each in a process of its own."""
    folder = kept_in / f"fleet-{printers}"
    if not folder.exists():
        folder.mkdir(parents=True)
        _run("--make", str(printers), str(folder), *(["csv"] if LOAD in names else []))
    found = {}
    for name in names:
        found[name] = _run("--one", name, str(folder))
        print(f"{printers} printers, {name}: {found[name]}", file=sys.stderr, flush=True)
    return found


def table(found: Mapping[int, Mapping[str, list[float]]], names: Sequence[str]) -> str:
    """The rows of all answers, a column for each size."""
    sizes = sorted(found)
    lines = [
        "| answer | " + " | ".join(f"{size:,}".replace(",", " ") for size in sizes) + " | grows |"
        " reach at 200 / 1 000 / 5 000 |",
        "|---|" + "---|" * (len(sizes) + 2),
    ]
    for name in names:
        title, targets = _FURTHER.get(name) or (ANSWERS[name][0], ANSWERS[name][2])
        of = [found[size][name] for size in sizes]
        cells = [f"{seconds:.2g} ({memory:.2g} GB)" for seconds, memory in of]
        grows = "–"
        if len(sizes) > 1 and min(of[-1][0], of[-2][0]) > 0:
            exponent = math.log(of[-1][0] / of[-2][0]) / math.log(sizes[-1] / sizes[-2])
            grows = f"{exponent:.1f}"
        reach = " / ".join(f"{target:g}" for target in targets) or "–"
        lines.append(f"| {title} | {' | '.join(cells)} | {grows} | {reach} |")
    return "\n".join(lines)


def main(arguments: Sequence[str]) -> None:
    """Print the table."""
    if arguments[:1] == ["--one"]:
        return one(arguments[1], Path(arguments[2]))
    if arguments[:1] == ["--make"]:
        return make(int(arguments[1]), Path(arguments[2]), as_csv=len(arguments) > 3)
    parser = argparse.ArgumentParser(prog="python -m tests.bench.fleet", description=__doc__)
    parser.add_argument("printers", nargs="*", type=int, default=SIZES)
    parser.add_argument("--only", nargs="*", metavar="WORD", choices=[*ANSWERS, *_FURTHER])
    parser.add_argument("--keep", type=Path, metavar="FOLDER", help="where the logs are kept")
    options = parser.parse_args(arguments)
    names = options.only or [*ANSWERS, *_FURTHER]
    with tempfile.TemporaryDirectory() as folder:
        kept_in = options.keep or Path(folder)
        found = {size: measured(size, names, kept_in) for size in options.printers}
    print(table(found, names))
    return None


if __name__ == "__main__":
    main(sys.argv[1:])
