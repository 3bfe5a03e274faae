"""Who may come in by an account of their own (OpenID Connect), and with which role?

Set up in the file ``secrets.toml`` beside the databases: a section ``[auth]`` as Streamlit's
documentation of ``st.login`` says, and beside it ``[people]`` with an e-mail address and a role a
line. The roles stand there and not among the workshop's settings, so that neither a loaded
spreadsheet nor a restored backup lets anybody in.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from datetime import timedelta
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from tracker.errors import UsageError
from tracker.language import _
from tracker.sharing.roles import ROLES, Person
from tracker.store.connections import data_folder

LASTS = timedelta(days=1)  # then the account is asked again, so that one closed meanwhile is out


def secrets_file() -> Path:
    """Where signing in is set up."""
    return data_folder() / "secrets.toml"


def is_set_up() -> bool:
    """Did somebody set signing in up? UsageError where the file cannot be read."""
    return bool(_section("auth"))


def people() -> Mapping[str, object]:
    """Who may sign in: e-mail address to role."""
    return _section("people")


def _section(name: str) -> Mapping[str, Any]:
    file = secrets_file()
    try:
        found = tomllib.loads(file.read_text(encoding="utf-8")).get(name, {})
    except FileNotFoundError:
        return {}
    except (OSError, ValueError):  # never told what stands in it: it holds passwords
        raise UsageError(
            _("{file} cannot be read as a TOML file; correct or remove it.", file=file)
        ) from None
    return found if isinstance(found, dict) else {}


def can_work() -> bool:
    """Is the package there that the sign-in needs? It is no part of the requirements."""
    return find_spec("authlib") is not None


def person_of(account: Mapping[str, object], people: Mapping[str, object]) -> Person | None:
    """The person behind an account that signed in; None for one that nobody listed.

    An address that the provider has not verified may be anybody's (OpenID Connect Core 1.0,
    section 5.1, ``email_verified``).

    >>> people = {"Ana@example.org": "manage"}
    >>> person_of({"email": "ana@example.org", "email_verified": True, "name": "Ana"}, people)
    Person(name='Ana', role='manage')
    >>> person_of({"email": "ana@example.org", "email_verified": False}, people) is None
    True
    """
    address = str(account.get("email") or "").casefold()
    if not address or account.get("email_verified") is not True:
        return None
    for listed, role in people.items():
        if listed.casefold() == address and role in ROLES:
            return Person(str(account.get("name") or address), str(role))
    return None
