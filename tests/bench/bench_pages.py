"""How long does every answer and every page take, for the demo and for ten printers?

Run by hand: ``python -m tests.bench.bench_pages``. Processor seconds, imports left out: of each
answer in a process of its own, cold (nothing worked out yet), once the day's lives are fitted, and
asked again; of the command line's outlook, beside ``import lifelines`` alone; and of each
page of the demo, opened for the first time in the order of the menu and opened again. The load of
the machine is printed beside.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path
from time import process_time

import numpy as np
import pandas as pd

from tests.bench.fleet_log import LAST_DAY, fleet_log
from tracker.decisions.planned_change import planned_ages
from tracker.decisions.preorder import preorder
from tracker.decisions.stock_table import stock_table
from tracker.forecast.drift import drift
from tracker.forecast.fitted_lives import fit_lives
from tracker.forecast.outlook import outlook
from tracker.intake.exchange import read_folder
from tracker.review.month import month_review
from tracker.workshop.records import Records

ROOT = Path(__file__).parents[2]
PAGES = ("today", "log", "lives", "spares", "maintenance", "review", "records")
DEMO_DAY = date(2026, 10, 31)
Answer = Callable[[Records, date], object]
ANSWERS: Mapping[str, Answer] = {
    "fit": fit_lives,
    "outlook": lambda records, day: outlook(records, day, 30),
    "stock": stock_table,
    "preorder": preorder,
    "review": month_review,
    "drift": drift,
    "planned ages": planned_ages,
}
WORKSHOPS: Mapping[str, Callable[[], tuple[Records, date]]] = {
    "demo": lambda: (read_folder(ROOT / "sample_data"), DEMO_DAY),
    "ten printers": lambda: (fleet_log(10), LAST_DAY),
}


def seconds(work: Callable[[], object]) -> float:
    """Processor seconds of one call."""
    began = process_time()
    work()
    return process_time() - began


def timed(workshop: str, name: str) -> tuple[float, float, float]:
    """Cold, once fitted, and again; each of the first two in a process of its own."""
    found = []
    for before in ("cold", "fitted"):
        asked = [sys.executable, "-m", "tests.bench.bench_pages", workshop, name, before]
        said = subprocess.run(asked, check=True, capture_output=True, text=True, cwd=ROOT)
        found.append([float(word) for word in said.stdout.split()])
    return found[0][0], found[1][0], found[1][1]


def one_answer(workshop: str, name: str, before: str) -> None:
    """Print the seconds of the first time and the median of five further ones."""
    records, day = WORKSHOPS[workshop]()
    if before == "fitted":
        fit_lives(records, day)
    first = seconds(lambda: ANSWERS[name](records, day))
    again = [seconds(lambda: ANSWERS[name](records, day)) for _ in range(5)]
    print(first, np.median(again))


def cold_processes() -> dict[str, float]:
    """The command line's outlook of the demo and an import, each with the start of Python."""
    outlook_of = ["-m", "tracker", "outlook", "--days", "30", "--json", "--data", "sample_data"]
    commands = {
        "`outlook` of the demo, cold process": [*outlook_of, "--as-of", DEMO_DAY.isoformat()],
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
        found[name] = float(np.median(spent))
    return found


def pages() -> pd.DataFrame:
    """Every page of the demo, opened for the first time and again."""
    from streamlit.testing.v1 import AppTest

    rows = []
    with tempfile.TemporaryDirectory() as folder:
        os.environ.update(TRACKER_FOLDER=folder, TRACKER_TODAY=DEMO_DAY.isoformat())
        os.environ.pop("TRACKER_DATABASE", None)
        app = AppTest.from_file(str(ROOT / "tracker" / "app.py"), default_timeout=300)
        for visit in ("first visit", "again"):
            for name in PAGES:
                if visit != "first visit" or name != "today":
                    app.switch_page(str(ROOT / "pages" / f"{name}.py"))
                rows.append((name, visit, seconds(app.run)))
                if app.exception:
                    raise SystemExit(f"{name}: {app.exception[0].message}")
    return pd.DataFrame(rows, columns=["page of the demo", "visit", "seconds"])


def main() -> None:
    """Print both tables."""
    print(f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores\n")
    print("| answer | workshop | cold | once fitted | again |\n|---|---|---|---|---|")
    for name in ANSWERS:
        for workshop in WORKSHOPS:
            cells = " | ".join(f"{value:.2f}" for value in timed(workshop, name))
            print(f"| {name} | {workshop} | {cells} |", flush=True)
    for name, spent in cold_processes().items():
        print(f"| {name} | | {spent:.2f} | | |")
    table = pages().pivot(index="page of the demo", columns="visit", values="seconds")
    print("\n| page of the demo | first visit | again |\n|---|---|---|")
    for name in PAGES:
        row = table.loc[name]
        print(f"| {name} | {row['first visit']:.2f} | {row['again']:.2f} |")
    print(f"\nload {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    if sys.argv[1:]:
        one_answer(*sys.argv[1:])
    else:
        main()
