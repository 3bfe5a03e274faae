"""A workbook read in a process of its own, which may take so much memory and time and no more.

``python -m tracker.intake.files.apart LANGUAGE LOCALE MEGABYTES`` reads a workbook from standard
input and writes its sheets, or why they cannot be read, as one JSON object to standard output. A
workbook that swells beyond all measure ends that process, never the app, and what comes back are
plain values.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from tracker.errors import RecordError, legible
from tracker.intake.cells.typed import Cell
from tracker.intake.files.budgets import MEMORY_BYTES, SECONDS
from tracker.intake.files.grid import Grid
from tracker.intake.files.workbook import read_workbook
from tracker.language import _, speaking, voice

_ROOT = Path(__file__).resolve().parent.parent.parent.parent
_OUT_OF_MEMORY = 3


def read_apart(
    source: str, data: bytes, *, seconds: float = SECONDS, memory_bytes: int = MEMORY_BYTES
) -> tuple[Grid, ...]:
    """The cells of each visible sheet, as ``read_workbook`` reads them.

    Raises RecordError also where that would take more time or memory than a workbook may.
    """
    spoken = voice()
    command = [
        *(sys.executable, "-m", "tracker.intake.files.apart"),
        *(spoken.language, spoken.locale, str(memory_bytes), legible(source)),
    ]
    # One thread: each further one of the numerical library reserves memory of its own.
    threads = {f"{library}_NUM_THREADS": "1" for library in ("OMP", "OPENBLAS", "MKL")}
    environment = {**os.environ, **threads, "PYTHONPATH": str(_ROOT)}
    try:
        done = subprocess.run(
            command, input=data, capture_output=True, timeout=seconds, cwd=_ROOT, env=environment,
            check=False,
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        raise RecordError(
            _(
                "{source} takes longer than {seconds} seconds to read; save the one sheet as CSV, "
                "or split it.",
                source=source,
                seconds=f"{seconds:.0f}",
            )
        ) from None
    if done.returncode:
        raise RecordError(
            _(
                "{source} takes more memory to read than a workbook may; delete what is not "
                "needed, or save the one sheet as CSV.",
                source=source,
            )
        )
    answer = json.loads(done.stdout)
    if "refused" in answer:
        raise RecordError(str(answer["refused"]))
    notices = () if answer["limited"] else (_without_limit(source),)
    return tuple(
        Grid(
            source,
            [[_typed(cell) for cell in row] for row in sheet["rows"]],
            sheet["name"],
            "",
            bool(sheet["from_1904"]),
            notices,
            sheet["problem"],
        )
        for sheet in answer["sheets"]
    )


def _without_limit(source: str) -> str:
    return _(
        "{source}: this system cannot limit the memory of a process, so only the size of the "
        "workbook was watched.",
        source=source,
    )


def _typed(cell: Any) -> Cell:
    return datetime.fromisoformat(cell[0]) if isinstance(cell, list) else cell


def _plain(cell: Cell) -> Any:
    return [cell.isoformat()] if isinstance(cell, datetime) else cell


def _limit_memory(most: int) -> bool:
    """No more memory than that for this process; False where the system has no such limit."""
    try:
        import resource
    except ImportError:
        return False
    _soft, hard = resource.getrlimit(resource.RLIMIT_AS)
    most = most if hard == resource.RLIM_INFINITY else min(most, hard)
    try:
        resource.setrlimit(resource.RLIMIT_AS, (most, hard))
    except (ValueError, OSError):
        return False
    return True


def main(arguments: Sequence[str]) -> int:
    """Read the workbook on standard input; 0 with an answer, else it took too much."""
    language, locale, memory, source = arguments
    try:
        limited = _limit_memory(int(memory))
        with speaking(language, locale):
            answer = _answer(source, sys.stdin.buffer.read(), limited=limited)
        sys.stdout.write(json.dumps(answer))
        sys.stdout.flush()
    except MemoryError:
        return _OUT_OF_MEMORY
    return 0


def _answer(source: str, data: bytes, *, limited: bool) -> dict[str, Any]:
    try:
        grids = read_workbook(source, data)
    except RecordError as problem:
        return {"refused": str(problem)}
    sheets = [
        {
            "name": grid.sheet,
            "rows": [[_plain(cell) for cell in row] for row in grid.rows],
            "from_1904": grid.from_1904,
            "problem": grid.problem,
        }
        for grid in grids
    ]
    return {"sheets": sheets, "limited": limited}


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
