"""Whatever happens to a sheet on its way: read, asked about or refused, and nothing is raised."""

from __future__ import annotations

import io
import zipfile

import numpy as np
import pytest

from tests.intake.sheets import TODAY
from tests.intake.untidy.collection import SHEETS
from tests.intake.untidy.sheet import WORKSHOP
from tracker.intake.pieces import Intake
from tracker.intake.reading import File, read_files

CELLS = ("", "x", "12", "-3", "31.12.2025", "3/4/2026", "08:30", "Left", "W1", "Total", "=A1",
         "Σ", "\u0000", "Date", "Printer", "June 2026",
         "9" * 40, "1e400", "nan", "#REF!", "wiper")  # fmt: skip


def mutated(data: bytes, rng: np.random.Generator) -> bytes:
    """The bytes with a few lines doubled, dropped or swapped and a few cells written over."""
    if data[:2] == b"PK":
        return _mutated_workbook(data, rng)
    lines = data.split(b"\n")
    for _ in range(rng.integers(1, 6)):
        at, other = (int(place) for place in rng.integers(0, len(lines), 2))
        kind = rng.integers(0, 5)
        if kind == 0:
            lines.insert(at, lines[other])
        elif kind == 1 and len(lines) > 1:
            del lines[at]
            lines = lines or [b""]
        elif kind == 2:
            lines[at], lines[other] = lines[other], lines[at]
        else:
            separator = b";" if lines[at].count(b";") else b","
            cells = lines[at].split(separator)
            cells[int(rng.integers(0, len(cells)))] = str(rng.choice(CELLS)).encode()
            lines[at] = separator.join(cells)
    whole = bytearray(b"\n".join(lines))
    if whole and rng.random() < 0.2:
        whole[int(rng.integers(0, len(whole)))] = int(rng.integers(0, 256))
    return bytes(whole)


def _mutated_workbook(data: bytes, rng: np.random.Generator) -> bytes:
    """The workbook with other values in some cells of its sheets."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(buffer, "w") as new:
        for name in old.namelist():
            content = old.read(name)
            if name.startswith("xl/worksheets/"):
                values = content.split(b"<v>")
                for at in range(1, len(values)):
                    if rng.random() < 0.1:
                        rest = values[at].partition(b"</v>")[2]
                        values[at] = str(rng.choice(["1", "-5", "46000.5", "1e300"])).encode()
                        values[at] += b"</v>" + rest
                content = b"<v>".join(values)
            new.writestr(name, content)
    return buffer.getvalue()


def read_to_the_end(file: File, rng: np.random.Generator) -> Intake:
    """The file read, its questions answered at random until none is left."""
    answers: dict[str, str] = {}
    for _ in range(8):
        intake = read_files([file], WORKSHOP, answers, today=TODAY)
        if not intake.questions:
            break
        for question in intake.questions:
            choices = (question.suggested or question.choices[0], *question.choices)
            answers[question.key] = str(rng.choice(choices))
    return intake


@pytest.mark.parametrize("seed", range(40))
def test_a_mutated_sheet_is_read_asked_about_or_refused(seed: int) -> None:
    rng = np.random.default_rng(seed)
    sheet = SHEETS[seed % len(SHEETS)]
    file = sheet.files()[0]
    intake = read_to_the_end(File(file.name, mutated(file.data, rng)), rng)
    told = intake.questions or intake.refusals or intake.set_aside
    assert told or intake.records is not None
    assert all(refusal.sentence() for refusal in intake.refusals)
