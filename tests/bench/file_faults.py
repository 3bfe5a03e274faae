"""Does the one file lose anything when programs are killed, copies taken, backups brought back?

    python -m tests.bench.file_faults [minutes] [seed]

Two programs write one record after another and note each that was confirmed; at a random moment
one of them, or a program that backs up or restores, is killed (SIGKILL), or the file is copied.
After each the file must be sound and hold every confirmed record; a copy must be refused or hold
every record confirmed before it was begun. Prints how often each happened and what was found.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import numpy as np

from tests.store.programs import processes, restore_over, write_and_tell
from tracker.errors import StoreError
from tracker.store.connections import file_url
from tracker.store.database import open_store
from tracker.store.safety.backup import backup, check
from tracker.store.safety.restore import restore


class Trial:
    """A folder with the database, and what the programs that write to it have had confirmed."""

    def __init__(self, folder: Path, rng: np.random.Generator) -> None:
        self.folder, self.rng = folder, rng
        self.file = folder / "workshop.sqlite"
        self.url = file_url(self.file)
        self.seats = 0
        self.counts: Counter[str] = Counter()
        open_store(self.url).close()

    def confirmed(self) -> set[str]:
        """Every record that was confirmed to anybody."""
        lines: set[str] = set()
        for path in self.folder.glob("confirmed-*"):
            # The last line may have been cut off by the kill; it was confirmed nonetheless.
            lines |= {line for line in path.read_text("ascii").split("\n")[:-1] if line}
        return lines

    def there(self, url: str) -> set[str]:
        with open_store(url) as store:
            return set(store.records().settings["name"])

    def judge(self, what: str) -> None:
        """The file is sound and nothing that was confirmed is lost."""
        lost = self.confirmed() - self.there(self.url)
        unsound = check(self.url)
        leftovers = list(self.folder.glob(".being-made-*"))
        self.counts[what] += 1
        self.counts["confirmed records lost"] += len(lost)
        self.counts["unsound files"] += bool(unsound)
        self.counts["leftovers after the next backup"] += len(leftovers) * (what == "backup made")

    def writers(self, count: int) -> list[object]:
        context = processes()
        started = []
        for _writer in range(count):
            self.seats += 1
            noted = self.folder / f"confirmed-{self.seats}"
            started.append(
                context.Process(target=write_and_tell, args=(self.url, self.seats, noted))
            )
            started[-1].start()
        return list(started)

    def kill(self, started: list[object], least: float, most: float) -> None:
        time.sleep(self.rng.uniform(least, most))
        for process in started:
            process.kill()  # type: ignore[attr-defined]
            process.join()  # type: ignore[attr-defined]

    def kill_writers(self) -> None:
        self.kill(self.writers(2), 0.3, 1.5)
        self.judge("programs killed while writing")

    def copy_while_writing(self) -> None:
        started = self.writers(2)
        for turn in range(4):
            time.sleep(self.rng.uniform(0.2, 0.6))
            before = self.confirmed()
            copy = self.folder / f"copy-{turn}.sqlite"
            shutil.copyfile(self.file, copy)
            try:
                missing = before - self.there(file_url(copy))
                self.counts["copies whole"] += 1
                self.counts["confirmed records missing in copies"] += len(missing)
            except StoreError:
                self.counts["copies refused"] += 1
            for path in self.folder.glob(f"{copy.name}*"):
                path.unlink()
        self.kill(started, 0, 0.1)
        self.judge("copies taken while programs wrote")

    def kill_backup(self) -> None:
        target = self.folder / "saved.backup"
        target.unlink(missing_ok=True)
        process = processes().Process(target=backup, args=(self.url, target))
        process.start()
        self.kill([process], 0, 0.6)
        if target.exists():
            self.counts["confirmed records lost"] += len(self.confirmed() - self.restored(target))
        self.judge("backup killed")
        target.unlink(missing_ok=True)
        backup(self.url, target)
        self.judge("backup made")

    def restored(self, saved: Path) -> set[str]:
        other = self.folder / "other.sqlite"
        restore(saved, file_url(other), replace=True)
        return self.there(file_url(other))

    def kill_restore(self) -> None:
        saved = self.folder / "now.backup"
        backup(self.url, saved, replace=True)
        process = processes().Process(target=restore_over, args=(saved, self.url))
        process.start()
        self.kill([process], 0, 0.8)
        self.judge("restore killed")


def main(minutes: float, seed: int) -> None:
    """Goes on for that long and prints the counts."""
    with tempfile.TemporaryDirectory() as name:
        trial = Trial(Path(name), np.random.default_rng(seed))
        acts: tuple[Callable[[], None], ...] = (
            trial.kill_writers, trial.copy_while_writing, trial.kill_backup, trial.kill_restore,
        )  # fmt: skip
        end = time.monotonic() + 60 * minutes
        while time.monotonic() < end:
            acts[int(trial.rng.integers(len(acts)))]()
        for name, count in sorted(trial.counts.items()):
            print(f"{count:6} {name}")
        print(f"{len(trial.confirmed()):6} records confirmed")


if __name__ == "__main__":
    main(
        float(sys.argv[1]) if len(sys.argv) > 1 else 3,
        int(sys.argv[2]) if len(sys.argv) > 2 else 1,
    )
