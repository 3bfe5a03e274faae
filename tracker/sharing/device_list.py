"""Which devices were let in, and which pairing codes are open? Kept in a file of its own.

A device proves itself by a random token of 256 bits, of which only the hash (SHA-256) is kept:
whoever reads this file cannot pass for a device. A pairing code is short, because a person types
it on a phone; what makes it safe is that it lives ten minutes, opens once, and that guessing stops
after a few tries (NIST SP 800-63B, 2017, section 5.2.2: limited tries for short secrets).
"""

from __future__ import annotations

import hashlib
import hmac
import os
import secrets
import sqlite3
import unicodedata
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import ip_address, ip_network
from pathlib import Path

from tracker.errors import StoreError, UsageError
from tracker.language import _
from tracker.sharing.roles import ROLES, Person

CODE_MINUTES = 10
CODE_DIGITS = 8
TRIES_OF_ONE = 5  # wrong codes from one address within CODE_MINUTES
TRIES_OF_ALL = 30  # from all addresses together: then every open code is void
LONGEST_NAME = 40
_SEEN_EVERY = timedelta(hours=1)

_TABLES = """
CREATE TABLE IF NOT EXISTS devices (id INTEGER PRIMARY KEY, token_hash TEXT NOT NULL UNIQUE,
  name TEXT NOT NULL, role TEXT NOT NULL, paired_at TEXT NOT NULL, seen_at TEXT NOT NULL,
  until TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS codes (salt TEXT NOT NULL, code_hash TEXT NOT NULL, role TEXT NOT NULL,
  name TEXT NOT NULL, until TEXT NOT NULL, lasts TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS wrong_tries (address TEXT NOT NULL, at TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS given (number INTEGER PRIMARY KEY, name TEXT NOT NULL);
"""


@dataclass(frozen=True)
class Device:
    """A paired device."""

    number: int
    person: Person
    paired_at: datetime
    seen_at: datetime


@dataclass(frozen=True)
class PairingCode:
    """A code as it is told to a person: ``text`` is kept nowhere else."""

    text: str
    role: str
    until: datetime


class PairingRefused(UsageError):
    """A code or a name that does not let a device in; the text says what to do."""


class DeviceList:
    """The devices of one workshop's computer; each call opens the file anew, from any thread."""

    def __init__(self, path: Path) -> None:
        self.path = path

    # -- codes

    def new_code(
        self, role: str, now: datetime, *, name: str = "", lasts: timedelta = timedelta(days=365)
    ) -> PairingCode:
        """A code that lets one device in within ten minutes.

        With a ``name`` the device gets that name, also where another device has it already (the
        same person's phone and tablet); without one, whoever pairs says a name of their own.
        """
        if role not in ROLES:
            raise UsageError(
                _(
                    "{role} is no role; write one of {roles}.",
                    role=repr(role),
                    roles=", ".join(ROLES),
                )
            )
        name = _fit_name(name) if name else ""
        text = f"{secrets.randbelow(10**CODE_DIGITS):0{CODE_DIGITS}d}"
        until = now + timedelta(minutes=CODE_MINUTES)
        salt = secrets.token_hex(16)
        with self._writing() as file:
            _forget_old(file, now)
            file.execute(
                "INSERT INTO codes VALUES (?, ?, ?, ?, ?, ?)",
                (salt, _code_hash(salt, text), role, name, _moment(until), str(lasts.days)),
            )
        return PairingCode(f"{text[:4]} {text[4:]}", role, until)

    def pair(self, code: str, name: str, address: str, now: datetime) -> str:
        """Lets one device in; returns its token, which is kept nowhere else.

        PairingRefused for a code that is wrong, used or too old, for a name that another device
        bears or bore, and for an address that tried too often, whatever it says now.
        """
        digits = "".join(mark for mark in code if mark.isdigit())
        refused, token = "", secrets.token_urlsafe(32)
        with self._writing() as file:  # one at a time: a code opens once
            _forget_old(file, now)
            mine, all_tries = file.execute(
                "SELECT coalesce(sum(address = ?), 0), count(*) FROM wrong_tries",
                (_group(address),),
            ).fetchone()
            if mine >= TRIES_OF_ONE or all_tries >= TRIES_OF_ALL:
                raise PairingRefused(
                    _(
                        "Too many wrong codes were typed; wait {minutes} minutes and ask for a "
                        "new code.",
                        minutes=CODE_MINUTES,
                    )
                )
            found = _matching(file, digits)
            if found is None:
                refused = _(
                    "This code lets nobody in: it is wrong, was used already, or is older than "
                    "{minutes} minutes. Ask for a new one.",
                    minutes=CODE_MINUTES,
                )
                file.execute(
                    "INSERT INTO wrong_tries VALUES (?, ?)", (_group(address), _moment(now))
                )
                if all_tries + 1 >= TRIES_OF_ALL:
                    file.execute("DELETE FROM codes")
            else:
                salt, role, fixed, days = found
                person = Person(fixed or _free_name(file, name), role)
                file.execute("DELETE FROM codes WHERE salt = ?", (salt,))
                _insert(file, token, person, now, now + timedelta(days=int(days)))
        if refused:  # outside the transaction: the wrong try is kept
            raise PairingRefused(refused)
        return token

    # -- devices

    def find(self, token: str, now: datetime) -> Device | None:
        """The device that holds this token; None for a wrong, removed or outdated one."""
        if not token or not self.path.exists():
            return None
        with self._opened() as file:
            row = file.execute(
                "SELECT id, name, role, paired_at, seen_at FROM devices"
                " WHERE token_hash = ? AND until > ?",
                (_token_hash(token), _moment(now)),
            ).fetchone()
        if row is None:
            return None
        device = _device(row)
        if now - device.seen_at > _SEEN_EVERY:
            with suppress(StoreError), self._writing() as file:  # on a full disk too it is let in
                seen = (_moment(now), device.number)
                file.execute("UPDATE devices SET seen_at = ? WHERE id = ?", seen)
        return device

    def devices(self, now: datetime) -> list[Device]:
        """Every device that is let in, the newest first."""
        if not self.path.exists():
            return []
        with self._opened() as file:
            rows = file.execute(
                "SELECT id, name, role, paired_at, seen_at FROM devices WHERE until > ?"
                " ORDER BY id DESC",
                (_moment(now),),
            ).fetchall()
        return [_device(row) for row in rows]

    def remove(self, number: int) -> None:
        """Lets a device in no more, from its next request on. UsageError where there is none."""
        with self._writing() as file:
            if not file.execute("DELETE FROM devices WHERE id = ?", (number,)).rowcount:
                raise UsageError(
                    _("There is no device {number}; look at the list again.", number=number)
                )

    def bearers(self, name: str, now: datetime) -> list[Device]:
        """The paired devices that bear this name."""
        return [it for it in self.devices(now) if _same(it.person.name) == _same(name)]

    # -- the file

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        with self._opened() as file, file:  # whole, or rolled back
            file.execute("BEGIN IMMEDIATE")
            yield file

    @contextmanager
    def _opened(self) -> Iterator[sqlite3.Connection]:
        """Inside, whatever keeps the file from being read or written is a StoreError."""
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            if not self.path.exists():  # made before SQLite does, so that nobody else can read it
                os.close(os.open(self.path, os.O_CREAT | os.O_RDWR, 0o600))
            with closing(sqlite3.connect(self.path, timeout=5, isolation_level=None)) as file:
                file.executescript(_TABLES)
                yield file
        except (OSError, sqlite3.Error) as problem:
            raise StoreError(
                _(
                    "The list of devices {path} cannot be used ({problem}); nobody is let in "
                    "until it can be read and written.",
                    path=self.path,
                    problem=problem,
                )
            ) from problem


def _forget_old(file: sqlite3.Connection, now: datetime) -> None:
    """Codes and wrong tries last ten minutes. One from further ahead was noted before the clock
    was put back, and would last until then."""
    lasts = timedelta(minutes=CODE_MINUTES)
    codes = (_moment(now), _moment(now + lasts))
    file.execute("DELETE FROM codes WHERE until <= ? OR until > ?", codes)
    tries = (_moment(now - lasts), _moment(now))
    file.execute("DELETE FROM wrong_tries WHERE at < ? OR at > ?", tries)


def _matching(file: sqlite3.Connection, digits: str) -> tuple[str, str, str, str] | None:
    """The open code that was typed; every one is compared whole, in constant time."""
    found = None
    codes = file.execute("SELECT salt, code_hash, role, name, lasts FROM codes")
    for salt, code_hash, role, name, lasts in codes.fetchall():
        if hmac.compare_digest(_code_hash(salt, digits), code_hash):
            found = (salt, role, name, lasts)
    return found


def _free_name(file: sqlite3.Connection, name: str) -> str:
    """The name, where nobody bears it or ever bore it: what they wrote is their own."""
    name = _fit_name(name)
    borne = file.execute("SELECT name FROM devices UNION SELECT name FROM given")
    if _same(name) in {_same(row[0]) for row in borne}:
        raise PairingRefused(
            _(
                "A device of {name} was paired already. Is that you? Ask for a code made for that "
                "name; else say a name that tells you apart.",
                name=name,
            )
        )
    return name


def _insert(
    file: sqlite3.Connection, token: str, person: Person, now: datetime, until: datetime
) -> None:
    # A number is never given again: a list that stands open somewhere would remove another device.
    (last,) = file.execute(
        "SELECT max(number) FROM (SELECT id AS number FROM devices UNION SELECT number FROM given)"
    ).fetchone()
    number = (last or 0) + 1
    file.execute("INSERT INTO given VALUES (?, ?)", (number, person.name))
    file.execute(
        "INSERT INTO devices (id, token_hash, name, role, paired_at, seen_at, until)"
        " VALUES (?, ?, ?, ?, ?, ?, ?)",
        (
            number, _token_hash(token), person.name, person.role, _moment(now), _moment(now),
            _moment(until),
        ),
    )  # fmt: skip


def _device(row: tuple[int, str, str, str, str]) -> Device:
    number, name, role, paired_at, seen_at = row
    paired, seen = datetime.fromisoformat(paired_at), datetime.fromisoformat(seen_at)
    return Device(number, Person(name, role), paired, seen)


def _moment(moment: datetime) -> str:
    return moment.isoformat(timespec="seconds")


def _token_hash(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def _code_hash(salt: str, digits: str) -> str:
    return hashlib.sha256(f"{salt}{digits}".encode()).hexdigest()


def _same(name: str) -> str:
    """Names that a person would take for one another are one."""
    return unicodedata.normalize("NFKC", name).casefold().strip()


def _fit_name(name: str) -> str:
    name = " ".join(name.split())
    if not name or len(name) > LONGEST_NAME or not name.isprintable():
        raise PairingRefused(_("Say your name in 1 to {longest} letters.", longest=LONGEST_NAME))
    return name


def _group(address: str) -> str:
    """Whose tries are counted together: one address; of the longer kind (IPv6) the whole /64,
    of which every device has more addresses than it could ever try.
    """
    try:
        known = ip_address(address)
    except ValueError:
        return ""
    return str(ip_network((known, 64), strict=False)) if known.version == 6 else str(known)
