"""Which account is whom, from a file that only the computer's owner writes."""

from __future__ import annotations

from pathlib import Path

import pytest

from tracker.errors import UsageError
from tracker.sharing import sign_in
from tracker.sharing.roles import Person

PEOPLE = {"ana@example.org": "manage", "tom@example.org": "log", "odd@example.org": "chief"}


def account(address: object, verified: object = True) -> dict[str, object]:
    return {"email": address, "email_verified": verified, "name": "Ana Ruiz", "is_logged_in": True}


def test_a_listed_account_gets_its_role() -> None:
    assert sign_in.person_of(account("ANA@example.org"), PEOPLE) == Person("Ana Ruiz", "manage")


@pytest.mark.parametrize(
    "asked",
    [
        account("eve@example.org"),
        account("ana@example.org", verified=False),
        account("ana@example.org", verified=None),
        account("ana@example.org", verified="false"),
        account(None),
        account(""),
        account("odd@example.org"),
        {},
    ],
)
def test_an_account_that_is_not_listed_or_not_verified_gets_none(asked: dict[str, object]) -> None:
    assert sign_in.person_of(asked, PEOPLE) is None


def test_the_file_of_secrets_is_read_and_never_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TRACKER_FOLDER", str(tmp_path))
    assert not sign_in.is_set_up()
    file = tmp_path / "secrets.toml"
    file.write_text('[auth]\nclient_secret = "hush"\n[people]\n"ana@example.org" = "log"\n')
    assert sign_in.is_set_up()
    assert sign_in.people() == {"ana@example.org": "log"}
    file.write_text('[auth]\nclient_secret = "hush\n')
    with pytest.raises(UsageError, match="cannot be read as a TOML file") as refused:
        sign_in.is_set_up()
    assert "hush" not in str(refused.value)
