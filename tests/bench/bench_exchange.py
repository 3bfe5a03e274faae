"""How long reading a maintenance log takes, in three dialects: run by hand, prints a table."""

from __future__ import annotations

import statistics
import time

import numpy as np
import pandas as pd

from tracker.intake.csv_text import to_csv_text
from tracker.intake.reading import File, read_files
from tracker.workshop.records import Records


def log_of(rows: int, seed: int = 1) -> pd.DataFrame:
    """A maintenance log of 200 printers over 900 days."""
    rng = np.random.default_rng(seed)
    days = pd.Timestamp("2024-01-01") + pd.to_timedelta(rng.integers(0, 900, rows), unit="D")
    return Records.of(
        {
            "maintenance": pd.DataFrame(
                {
                    "printer": [f"P{number}" for number in rng.integers(0, 200, rows)],
                    "task": rng.choice(["stir_ink", "nozzle_check", "shake_dampers"], rows),
                    "done_on": days,
                    "why": rng.choice(["planned", "symptom"], rows),
                    "minutes": rng.integers(10, 300, rows) / 10,
                    "fluid_ml": rng.random(rows) * 40,
                    "done_by": rng.choice(["Ada", "Ben", ""], rows),
                    "note": [f"note {number}" for number in range(rows)],
                }
            )
        }
    ).maintenance


def main() -> None:
    """Times reading 50 000 rows, the median of five interleaved runs."""
    frame = log_of(50_000)
    printers = pd.DataFrame({"printer": frame["printer"].unique(), "started_on": "2023-01-01"})
    known = Records.of({"printers": printers})
    contract = to_csv_text(frame, "maintenance").encode()
    days = frame["done_on"].dt.strftime("%d.%m.%Y")
    shown = frame.assign(
        done_on=days,
        minutes=frame["minutes"].map("{:.1f}".format).str.replace(".", ","),
        fluid_ml=frame["fluid_ml"].map("{:.4f}".format).str.replace(".", ","),
    )
    german = shown.to_csv(sep=";", index=False).encode("cp1252")
    american = frame.assign(done_on=frame["done_on"].dt.strftime("%m/%d/%Y")).to_csv(index=False)
    files = {"contract": contract, "day first, comma": german, "month first": american.encode()}
    times: dict[str, list[float]] = {name: [] for name in files}
    for _ in range(5):
        for name, data in files.items():
            began = time.perf_counter()
            intake = read_files([File("maintenance.csv", data)], known)
            times[name].append(time.perf_counter() - began)
            assert intake.records is not None, intake.questions or intake.refusals[:3]
    print(f"{'dialect':<18} {'rows':>7} {'seconds':>8}")
    for name, seconds in times.items():
        print(f"{name:<18} {len(frame):>7} {statistics.median(seconds):>8.3f}")


if __name__ == "__main__":
    main()
