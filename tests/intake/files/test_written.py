"""A sheet to be filled in, whatever words are stored."""

from __future__ import annotations

import io

import openpyxl

from tracker.intake.files.written import HEAD, Row, workbook_file

# What XML 1.0 has no way to hold, and a break of lines, which it has.
AWKWARD = "Left\x00\x0b\x1b[31m\x1f\ufffe\uffff\nHall"


def test_words_that_a_workbook_cannot_hold_are_marked_and_the_rest_stays() -> None:
    data = workbook_file({AWKWARD: [Row((AWKWARD, "=1+1"), HEAD)]})
    (sheet,) = openpyxl.load_workbook(io.BytesIO(data)).worksheets
    mark = "\N{REPLACEMENT CHARACTER}"
    assert sheet["A1"].value == f"Left{mark * 3}[31m{mark * 3}\nHall"
    assert (sheet["B1"].value, sheet["B1"].data_type) == ("'=1+1", "s")
    assert sheet.title.startswith("Left")
