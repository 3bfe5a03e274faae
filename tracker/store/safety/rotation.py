"""Backups that make themselves: which are kept, and for how long?

In the folder ``backups`` beside the database file: before the first change of each day, before the
database is brought to a new program's schema, and before a restore. A server (PostgreSQL) is not
copied here: whoever runs it has it make its own every day.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from sqlalchemy import Engine

from tracker.errors import StoreError
from tracker.language import _
from tracker.store import connections
from tracker.store.safety.copies import copy_plainly, copy_sqlite, made_beside, put_in_place
from tracker.store.safety.one_file import OneFile, make_folder

DAILY, BEFORE_UPDATE, BEFORE_RESTORE = "daily", "before-update", "before-restore"
# Earlier programs gave those of one second no numbers: this is how they commonly came.
_REASONS = (BEFORE_UPDATE, DAILY, BEFORE_RESTORE)
_DAYS, _WEEKS, _MONTHS, _OF_OTHERS = 7, 4, 12, 6
_NAME = re.compile(
    r"(?P<made>\d{4}-\d\d-\d\d-\d{6})-"
    rf"(?P<reason>{'|'.join(_REASONS)})(-(?P<number>\d+))?\.sqlite"
)
_STAMP = "%Y-%m-%d-%H%M%S"


@dataclass(frozen=True)
class KeptBackup:
    """One of them: its file, when it was made and why; ``number`` counts those of one second."""

    path: Path
    made: datetime
    reason: str
    number: int = 1

    @property
    def order(self) -> tuple[datetime, int, int]:
        """What rises from the oldest to the newest."""
        return self.made, self.number, _REASONS.index(self.reason)


class OwnBackups:
    """The backups of one database that make themselves; ``trouble`` says why the last was not made.

    A server has none here.
    """

    def __init__(self, engine: Engine, *, wanted: bool) -> None:
        self._engine = engine
        self._file = connections.file_of(engine)
        self._wanted = wanted
        self.trouble = ""

    def kept(self) -> list[KeptBackup]:
        """Those that are there, the newest first."""
        return [] if self._file is None else kept_backups(self._file.path)

    def before_change(self, now: datetime | None, is_worth_it: Callable[[], bool]) -> None:
        """Makes one before the first change of a day; one that fails is told, and holds nobody up.

        Without ``now`` nobody knows which day it is, and none is made.
        """
        file = self._file
        if file is None or now is None or not self._wanted or not file.may_write:
            return
        if not is_due(file.path, now.date()) or not is_worth_it():
            return
        try:
            with connections.clear_errors(self._engine):
                keep(file, DAILY, now)
            self.trouble = ""
        except StoreError as problem:
            self.trouble = str(problem)


def backup_folder(file: Path) -> Path:
    """Where the backups of a database file are."""
    return file.parent / "backups"


def kept_backups(file: Path) -> list[KeptBackup]:
    """The backups of a database file, the newest first."""
    found = []
    for path in backup_folder(file).glob(f"{file.stem}-*.sqlite"):
        named = _NAME.fullmatch(path.name.removeprefix(f"{file.stem}-"))
        if named:
            made = datetime.strptime(named["made"], _STAMP)
            found.append(KeptBackup(path, made, named["reason"], int(named["number"] or 1)))
    return _newest_first(found)


def _newest_first(kept: Iterable[KeptBackup]) -> list[KeptBackup]:
    return sorted(kept, key=lambda one: one.order, reverse=True)


def is_due(file: Path, day: date) -> bool:
    """Was there no backup yet on that day?"""
    return all(kept.made.date() != day or kept.reason != DAILY for kept in kept_backups(file))


def keep(file: OneFile, reason: str, now: datetime | None = None) -> KeptBackup:
    """Makes a backup, and removes those that are no longer wanted.

    Without ``now`` it bears the time of the computer that keeps the file. Raises StoreError when it
    cannot be made; the database is untouched then.
    """
    return _keep(
        file, reason, now, lambda making: copy_sqlite(file.path, making, file.wait_seconds)
    )


def keep_plainly(file: OneFile, reason: str, now: datetime | None = None) -> KeptBackup:
    """The same for a file that cannot be opened: its bytes as they are."""
    return _keep(file, reason, now, lambda making: copy_plainly(file.path, making))


def _keep(
    file: OneFile, reason: str, now: datetime | None, copy: Callable[[Path], None]
) -> KeptBackup:
    folder = backup_folder(file.path)
    make_folder(folder)
    try:
        with file.turn(), made_beside(folder / "new") as making:
            copy(making)
            made = (now or datetime.fromtimestamp(making.stat().st_mtime)).replace(microsecond=0)
            there = kept_backups(file.path)
            number = 1 + max((one.number for one in there if one.made == made), default=0)
            ending = "" if number == 1 else f"-{number}"
            name = f"{file.path.stem}-{made.strftime(_STAMP)}-{reason}{ending}.sqlite"
            kept = KeptBackup(folder / name, made, reason, number)
            put_in_place(making, kept.path)
            # Those from days ahead were made before the clock was put back, and stay until then.
            for old in no_longer_wanted(one for one in (*there, kept) if one.order <= kept.order):
                old.path.unlink(missing_ok=True)
    except OSError as problem:
        raise StoreError(
            _(
                "The backup {path} cannot be written ({strerror}); choose another place.",
                path=folder,
                strerror=problem.strerror,
            )
        ) from problem
    return kept


def no_longer_wanted(kept: Iterable[KeptBackup]) -> list[KeptBackup]:
    """Those beyond the last 7 days, 4 weeks and 12 months that have one, of the daily ones, and
    beyond the last 6 of each other reason."""
    newest_first = _newest_first(kept)
    daily = [one for one in newest_first if one.reason == DAILY]
    wanted: set[Path] = set()
    for span, most in ((_day, _DAYS), (_week, _WEEKS), (_month, _MONTHS)):
        wanted |= {one.path for one in _newest_of_each(daily, span)[:most]}
    for reason in (BEFORE_UPDATE, BEFORE_RESTORE):
        wanted |= {one.path for one in [k for k in newest_first if k.reason == reason][:_OF_OTHERS]}
    return [one for one in newest_first if one.path not in wanted]


def _newest_of_each(
    newest_first: list[KeptBackup], span: Callable[[datetime], Hashable]
) -> list[KeptBackup]:
    found: dict[Hashable, KeptBackup] = {}
    for one in newest_first:
        found.setdefault(span(one.made), one)
    return list(found.values())


def _day(moment: datetime) -> Hashable:
    return moment.date()


def _week(moment: datetime) -> Hashable:
    return moment.isocalendar()[:2]


def _month(moment: datetime) -> Hashable:
    return moment.year, moment.month
