"""Who may come in by an account of their own (OpenID Connect), and with which role?

Set up in the file ``secrets.toml`` beside the databases: a section ``[auth]`` as Streamlit's
documentation of ``st.login`` says, and beside it ``[people]`` with an e-mail address and a role a
line, or a role and a name: ``{ role = "log", name = "Ana" }``. The roles stand there and not among
the workshop's settings, so that neither a loaded spreadsheet nor a restored backup lets anybody in.
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from importlib.util import find_spec
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from tracker.errors import UsageError, legible
from tracker.language import _
from tracker.sharing.device_list import LONGEST_NAME
from tracker.sharing.roles import ROLES, Person
from tracker.store.address import data_folder

LASTS = timedelta(days=1)  # then the account is asked again, so that one closed meanwhile is out
INSTALL = 'python -m pip install "streamlit[auth]"'
CALLBACK = "/oauth2callback"
_NEEDED = ("redirect_uri", "cookie_secret", "client_id", "client_secret", "server_metadata_url")
_MAY_STAND = (*_NEEDED, "client_kwargs")
# Whoever guesses it signs in as anybody: 32 signs of a random text are more than 128 bits.
_SHORTEST_SECRET = 32
_OF_OTHERS = 0o077


@dataclass(frozen=True)
class SignIn:
    """Signing in as it is set up: where people open the tracker for it, and who is whom."""

    origin: str
    people: Mapping[str, Person]


def secrets_file() -> Path:
    """Where signing in is set up."""
    return data_folder() / "secrets.toml"


def set_up() -> SignIn | None:
    """Signing in as it is set up; None where nobody set it up.

    UsageError, one sentence without a word of what stands in the file, where it cannot work or is
    not safe: the file may be read by others, a key is missing or unknown, a role is none.
    """
    file = secrets_file()
    try:
        text = file.read_text(encoding="utf-8")
        is_open = os.name == "posix" and bool(file.stat().st_mode & _OF_OTHERS)
        found = tomllib.loads(text)
    except FileNotFoundError:
        return None
    except (OSError, ValueError):  # never told what stands in it: it holds passwords
        raise UsageError(
            _("{file} cannot be read as a TOML file; correct or remove it.", file=file)
        ) from None
    if "auth" not in found:
        return None
    if is_open:
        raise UsageError(
            _(
                "{file} holds passwords and may be read by other people on this computer; let its "
                "owner alone read it (chmod 600), then start the tracker again.",
                file=file,
            )
        )
    return SignIn(_origin(file, found["auth"]), _people(file, found.get("people")))


def missing() -> bool:
    """Is a package missing that the sign-in needs? They are no part of the requirements."""
    has_client = any(find_spec(name) for name in ("httpx", "httpx2"))
    return find_spec("authlib") is None or not has_client


def needs_packages() -> str:
    """What to install before anybody can sign in."""
    return _(
        "Signing in by an account is set up but needs packages that are not installed: {command}. "
        "Until then, devices are paired by codes.",
        command=INSTALL,
    )


def person_of(account: Mapping[str, object], asked: SignIn) -> Person | None:
    """The person behind an account that signed in; None for one that nobody listed.

    An address that the provider has not verified may be anybody's (OpenID Connect Core 1.0,
    section 5.1, ``email_verified``). The name is the one on the list, else the account's own.

    >>> asked = SignIn("", {"ana@example.org": Person("", "manage")})
    >>> account = {"email": "Ana@example.org", "email_verified": True, "name": "Ana"}
    >>> person_of(account, asked)
    Person(name='Ana', role='manage')
    >>> person_of(account | {"email_verified": False}, asked) is None
    True
    """
    address = str(account.get("email") or "").casefold()
    listed = asked.people.get(address)
    if listed is None or account.get("email_verified") is not True:
        return None
    if listed.name:
        return listed
    said = " ".join(str(account.get("name") or "").split())[:LONGEST_NAME]
    # Whoever may change their own account's name must not take another's.
    others = {person.name.casefold() for person in asked.people.values()}
    fits = said.isprintable() and said.casefold() not in others
    return Person(said if said and fits else address[:LONGEST_NAME], listed.role)


def is_fresh(account: Mapping[str, object], now: datetime) -> bool:
    """Did the provider vouch for this account lately, and does that still hold?

    The cookie of the sign-in lasts for weeks and is not looked at again, so a closed account would
    come in with it: the token's own times decide (OpenID Connect Core 1.0, section 2: ``exp`` is
    when it ends, ``iat`` when it was given), and a day at the most.
    """
    ends, given = account.get("exp"), account.get("iat")
    if not isinstance(ends, int | float) or not isinstance(given, int | float):
        return False
    moment = now.timestamp()
    return moment < ends and moment < given + LASTS.total_seconds()


def _origin(file: Path, auth: object) -> str:
    """Where the provider sends people back to, once the whole section was looked at."""
    if not isinstance(auth, dict):
        raise _wrong(file, _("[auth] is no section"))
    for key in auth:
        if key not in _MAY_STAND:
            raise _wrong(
                file,
                _(
                    "[auth] has {key}, which is no key of it; it takes {keys}",
                    key=legible(key),
                    keys=", ".join(_MAY_STAND),
                ),
            )
    for key in _NEEDED:
        if not isinstance(auth.get(key), str) or not auth[key].strip():
            raise _wrong(file, _("[auth] needs {key}, a text in quotation marks", key=key))
    if len(auth["cookie_secret"]) < _SHORTEST_SECRET:
        raise _wrong(
            file,
            _(
                "cookie_secret needs {shortest} signs or more that nobody can guess",
                shortest=_SHORTEST_SECRET,
            ),
        )
    back = urlsplit(auth["redirect_uri"])
    if back.scheme not in ("http", "https") or not back.netloc or back.path != CALLBACK:
        raise _wrong(
            file,
            _(
                "redirect_uri is the tracker's own address with {path} behind it, like "
                "https://tracker.example.org{path}",
                path=CALLBACK,
            ),
        )
    provider = urlsplit(auth["server_metadata_url"])
    if provider.scheme != "https" and provider.hostname not in ("localhost", "127.0.0.1", "::1"):
        raise _wrong(
            file,
            _(
                "server_metadata_url begins with https://, else anybody on the way could say who "
                "somebody is"
            ),
        )
    return f"{back.scheme}://{back.netloc}"


def _people(file: Path, people: object) -> Mapping[str, Person]:
    if not isinstance(people, dict) or not people:
        raise _wrong(
            file,
            _('[people] says who may come in, a line each: "ana@example.org" = "log"'),
        )
    return {address.casefold(): _listed(file, address, said) for address, said in people.items()}


def _listed(file: Path, address: str, said: Any) -> Person:
    told = said if isinstance(said, dict) else {"role": said}
    role, name = told.get("role"), told.get("name", "")
    if "@" not in address:
        raise _wrong(
            file, _("[people] has {address}, which is no e-mail address", address=legible(address))
        )
    if role not in ROLES or not set(told) <= {"role", "name"}:
        raise _wrong(
            file,
            _(
                'what {address} may do is one of {roles}, or {{ role = "log", name = "Ana" }}',
                address=legible(address),
                roles=", ".join(ROLES),
            ),
        )
    if not isinstance(name, str) or len(name) > LONGEST_NAME or not name.isprintable():
        raise _wrong(
            file,
            _(
                "the name of {address} is a text of up to {longest} letters",
                address=legible(address),
                longest=LONGEST_NAME,
            ),
        )
    return Person(" ".join(name.split()), role)


def _wrong(file: Path, what: str) -> UsageError:
    return UsageError(_("Signing in cannot work: in {file}, {what}.", file=file, what=what))
