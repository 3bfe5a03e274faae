"""Rows kept column by column are the rows that came, however ragged, and take the room they say."""

from __future__ import annotations

import io
import random
import subprocess
import sys

import numpy as np
import pytest

from tracker.intake.cells.typed import DistinctCells
from tracker.intake.files import decoding, file
from tracker.intake.files.column_rows import ColumnRows, RowsComing
from tracker.intake.files.file import read_grids
from tracker.intake.files.grid import Grid
from tracker.intake.files.raw_table import raw_table

WORDS = ["", " ", "P1", "P2", "shake_dampers", "ñ", "12,5", " 7 "]


def ragged(seed: int) -> list[list[str]]:
    rng = random.Random(seed)
    width = rng.randint(0, 4)
    rows = [
        [rng.choice(WORDS) for _ in range(rng.choice([width, width, width, rng.randint(0, 6)]))]
        for _ in range(rng.randint(1, 60))
    ]
    return [[]] * rng.choice([0, 0, 9]) + rows


def coming(rows: list[list[str]], at_once: int) -> ColumnRows:
    building = RowsComing()
    for first in range(0, len(rows), at_once):
        building.add(rows[first : first + at_once])
    return building.rows()


@pytest.mark.parametrize("seed", range(60))
def test_the_rows_that_came_are_the_rows_that_are_told(seed: int) -> None:
    rows = ragged(seed)
    kept = coming(rows, at_once=7)
    # A row shorter than its neighbours has nothing in its further cells, as in any sheet.
    assert [list(row) for row in kept] == rows
    assert kept[len(rows) - 1] == kept[-1] == rows[-1]
    assert kept[2:5] == rows[2:5]
    by_columns, by_rows = Grid("log.csv", kept), Grid("log.csv", rows)
    assert by_columns.filled.tolist() == by_rows.filled.tolist()
    some = np.arange(1, len(rows), 2)
    for within in (None, range(1, 3)):
        columns = [list(column) for column in by_columns.columns(some, within)]
        expected = [list(column) for column in by_rows.columns(some, within)]
        widest = max(len(columns), len(expected))
        blank = [""] * len(some)  # a row that is not asked for may have been longer
        assert columns + [blank] * (widest - len(columns)) == expected + [blank] * (
            widest - len(expected)
        )


@pytest.mark.parametrize("seed", range(20))
def test_a_table_made_of_columns_is_the_one_made_of_rows(seed: int) -> None:
    rows = [["printer", "note", "", ""], *ragged(seed)]
    body = range(1, len(rows))
    one = raw_table(Grid("log.csv", coming(rows, at_once=5)), 0, body)
    other = raw_table(Grid("log.csv", rows), 0, body)
    assert (one.header, list(one.row_numbers)) == (other.header, list(other.row_numbers))
    assert [list(column) for column in one.columns] == [list(column) for column in other.columns]
    assert one.too_long == other.too_long


def test_a_column_that_nobody_fills_takes_no_room() -> None:
    building = RowsComing()
    for _ in range(10):
        building.add([["P1", "", "7"], ["P2", "", "7"]] * 500)
    assert building.room == 2 * 10_000, "the printers, and how long each row is"
    assert building.texts == 2 + 1 + 1


def test_distinct_cells_are_in_the_order_in_which_they_first_stand() -> None:
    column = DistinctCells.of(["b", "a", "", "b", 2.0, "a"])
    assert (column.cells, list(column)) == (["b", "a", "", 2.0], ["b", "a", "", "b", 2.0, "a"])
    assert (column.index("a"), column.index("a", 2), column.count("b")) == (1, 5, 2)
    taken = column.take(np.array([1, 3, 4]))
    assert (taken.cells, list(taken)) == (["a", "b", 2.0], ["a", "b", 2.0])
    upper = column.each(lambda cell: "A" if cell in ("a", "b") else cell)
    assert (upper.cells, list(upper)) == (["A", "", 2.0], ["A", "A", "", "A", 2.0, "A"])
    with pytest.raises(ValueError, match="c"):
        column.index("c")


@pytest.mark.parametrize(
    ("encoding", "notices"), [("utf-8", 0), ("utf-8-sig", 0), ("utf-16", 0), ("cp1252", 1)]
)
def test_signs_that_two_pieces_of_a_file_share_are_read_whole(
    encoding: str, notices: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(decoding, "_BYTES_AT_ONCE", 7)
    monkeypatch.setattr(file, "_CHARACTERS_AT_ONCE", 5)
    rows = [["Drucker", "m²"], *([f"Größe „{at}“", "½\r\n€"] for at in range(30))]
    out = io.StringIO(newline="")
    file.csv.writer(out, delimiter=";").writerows(rows)
    (grid,) = read_grids("log.csv", out.getvalue().encode(encoding))
    assert (list(grid.rows), grid.separator, len(grid.notices)) == (rows, ";", notices)


def test_the_byte_that_is_of_no_encoding_is_told_wherever_it_stands(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(decoding, "_BYTES_AT_ONCE", 4)
    for before in range(9):
        data = b"a" * before + "é".encode() + b"\x81\n"
        assert decoding._broken_at(data, "utf-8") == before + 2


def test_a_process_with_a_limit_counts_on_no_more_memory_than_that() -> None:
    limit = 900_000_000
    said = subprocess.run(
        [sys.executable, "-c",
         "import resource\n"
         f"resource.setrlimit(resource.RLIMIT_AS, ({limit}, {limit}))\n"
         "from tracker.intake.files.memory import memory_bytes\n"
         "print(memory_bytes())"],
        check=True, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert 0 < int(said.stdout) <= limit
