"""How long does a person wait for a page, for the first one and after a tap, and how much memory?

Run by hand: ``python -m tests.bench.bench_pages [PRINTERS ...]`` (4, 20 and 200 where none are
named). Each workshop (two years of log) has a process of its own, in which no answer is known yet;
beside it stands a page of Streamlit with one sentence, measured in the same way. Processor seconds:

- ``first page``: from the start of Python to the settled page Today, imports and all;
- ``another seat``: the same page opened by a second person;
- a tap: "Done" of one task on the page for work at the printers, until that page is settled; the
  first one of a day also tells that the log goes on until that day;
- the owner's pages after each tap: what it made anew is in there; and with nothing new.

``memory`` is the most the process held.
"""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
import tempfile
from collections.abc import Callable
from datetime import date
from pathlib import Path
from time import process_time

from streamlit.testing.v1 import AppTest

from tests.simulation.fleet import fleet_records
from tracker.store.database import open_store

ROOT = Path(__file__).parents[2]
LOG_ENDS = date(2026, 10, 30)
TODAY = date(2026, 11, 16)  # a Monday, with several tasks due
SIZES = (4, 20, 200)
TRIVIAL = 'import streamlit as st\nst.title("Today")\nst.write("Nothing is due.")\n'
PATIENCE_SECONDS = 900
PAGES = ("today", "printer", "lives", "spares", "maintenance", "review")
_MB = 1024  # kilobytes, as Linux counts the most memory held


def seconds(work: Callable[[], object]) -> float:
    """Processor seconds of one call."""
    began = process_time()
    work()
    return process_time() - began


def walk(script: str) -> dict[str, float]:
    """The first page of a script, opened by one person and then by another."""

    def opened(seat: str) -> AppTest:
        app = AppTest.from_file(script, default_timeout=PATIENCE_SECONDS)
        app.session_state["device"] = {"seat": seat}
        app.run()
        if app.exception:
            raise SystemExit(app.exception[0].message)
        return app

    opened("owner")
    found = {"first page": process_time(), "another seat": seconds(lambda: opened("owner"))}
    if Path(script).name == "app.py":
        found |= _taps(opened("technician"), opened("owner"))
    return found | {"memory": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / _MB}


def _taps(technician: AppTest, owner: AppTest) -> dict[str, float]:
    """Two tasks done at the printers, and the owner's pages after each of them."""
    found = {}

    def go(name: str) -> float:
        owner.switch_page(str(ROOT / "pages" / f"{name}.py"))
        return seconds(owner.run)

    def tap() -> float:
        done = next(one for one in technician.button if str(one.key).startswith("done-"))
        spent = seconds(lambda: done.click().run())
        if technician.exception or not technician.success:
            raise SystemExit("the tap was not taken")
        return spent

    for name in PAGES:
        found[f"{name}, looked at first"] = go(name)
    found["first tap of the day"] = tap()
    for name in PAGES:
        found[f"{name} after it"] = go(name)
    found["another tap"] = tap()
    for name in PAGES:
        found[f"{name} after that"] = go(name)
    for name in PAGES:
        found[f"{name}, nothing new"] = go(name)
    return found


def measured(printers: int) -> dict[str, float]:
    """The walk through a workshop of so many printers (0: the trivial page), in its own process."""
    with tempfile.TemporaryDirectory() as folder:
        script = ROOT / "tracker" / "app.py"
        if printers:
            with open_store(f"sqlite:///{folder}/workshop.sqlite") as store:
                store.load(fleet_records(printers, LOG_ENDS), "fleet")
        else:
            script = Path(folder) / "trivial.py"
            script.write_text(TRIVIAL)
        settings = {
            name: value
            for name, value in os.environ.items()
            if name not in ("TRACKER_DATABASE", "TRACKER_DEMO")
        } | {"TRACKER_FOLDER": folder, "TRACKER_TODAY": TODAY.isoformat()}
        said = subprocess.run(
            [sys.executable, "-m", "tests.bench.bench_pages", "walk", str(script)],
            check=True, stdout=subprocess.PIPE, text=True, cwd=ROOT, env=settings,
        )  # fmt: skip
    found: dict[str, float] = json.loads(said.stdout.splitlines()[-1])
    return found


def cold_processes() -> dict[str, float]:
    """The command line's outlook of the demo and an import, each with the start of Python."""
    outlook_of = ["-m", "tracker", "outlook", "--days", "30", "--json", "--data", "sample_data"]
    commands = {
        "`outlook` of the demo": [*outlook_of, "--as-of", "2026-10-31"],
        "`import lifelines`": ["-c", "import lifelines"],
    }
    found = {}
    for name, command in commands.items():
        spent = []
        for _ in range(3):
            began = sum(os.times()[2:4])
            asked = [sys.executable, *command]
            subprocess.run(asked, check=True, capture_output=True, cwd=ROOT)
            spent.append(sum(os.times()[2:4]) - began)
        found[name] = sorted(spent)[1]
    return found


def main(sizes: list[int]) -> None:
    """Print the table, each figure with how many times the trivial page's it is."""
    print(f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores\n")
    trivial = measured(0)
    columns = {printers: measured(printers) for printers in sizes}
    heads = "".join(f" | {printers} printers" for printers in sizes)
    print(f"| processor seconds | trivial page{heads} |\n|---{'|---' * (len(sizes) + 1)}|")
    for name in columns[sizes[0]]:
        beside = trivial.get(name, trivial["another seat"])
        cells = [
            f"{found[name]:.0f} MB ({found[name] / beside:.1f}×)"
            if name == "memory"
            else f"{found[name]:.2f} ({found[name] / beside:.1f}×)"
            for found in columns.values()
        ]
        shown = f"{beside:.0f} MB" if name == "memory" else f"{beside:.2f}"
        print(f"| {name} | {shown if name in trivial else ''} | {' | '.join(cells)} |")
    for name, spent in cold_processes().items():
        print(f"\n{name}, a process of its own: {spent:.1f}")
    print(f"\nload {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    if sys.argv[1:2] == ["walk"]:
        print(json.dumps(walk(sys.argv[2])))
    else:
        main([int(printers) for printers in sys.argv[1:]] or list(SIZES))
