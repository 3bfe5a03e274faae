"""Which account is whom, from a file that only the computer's owner writes."""

from __future__ import annotations

import os
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from tracker.commands import main
from tracker.errors import UsageError
from tracker.sharing import sign_in
from tracker.sharing.roles import Person
from tracker.sharing.sign_in import SignIn, is_fresh, person_of

LIST = SignIn(
    "https://tracker.example.org",
    {
        "ana@example.org": Person("", "manage"),
        "tom@example.org": Person("Tom", "log"),
    },
)
NOW = datetime(2026, 10, 31, 12, 0)

AUTH = {
    "redirect_uri": "https://tracker.example.org/oauth2callback",
    "cookie_secret": "hush-hush-hush-hush-hush-hush-hush",
    "client_id": "tracker",
    "client_secret": "never-told",
    "server_metadata_url": "https://accounts.example.org/.well-known/openid-configuration",
}
PEOPLE = '[people]\n"Ana@example.org" = "manage"\n'


def write_secrets(folder: Path, people: str = PEOPLE, **auth: str) -> Path:
    """The file, readable by its owner alone; an empty text leaves a key out."""
    lines = [f'{key} = "{value}"' for key, value in {**AUTH, **auth}.items() if value]
    file = folder / "secrets.toml"
    file.touch(0o600)
    file.write_text("\n".join(["[auth]", *lines, people]), encoding="utf-8")
    return file


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("TRACKER_FOLDER", str(tmp_path))
    return tmp_path


def account(address: object, verified: object = True) -> dict[str, object]:
    return {"email": address, "email_verified": verified, "name": "Ana Ruiz", "is_logged_in": True}


def test_a_listed_account_gets_its_role() -> None:
    assert person_of(account("ANA@example.org"), LIST) == Person("Ana Ruiz", "manage")


def test_the_name_on_the_list_goes_before_the_accounts_own() -> None:
    assert person_of(account("tom@example.org"), LIST) == Person("Tom", "log")


@pytest.mark.parametrize("name", ["tom", " TOM ", "", None, "T\u202eom"])
def test_an_account_cannot_take_the_name_of_another_on_the_list(name: object) -> None:
    """Every change says who: an account's name can be changed by whoever has it."""
    told = account("ana@example.org") | {"name": name}
    assert person_of(told, LIST) == Person("ana@example.org", "manage")


@pytest.mark.parametrize(
    "asked",
    [
        account("eve@example.org"),
        account("ana@example.org", verified=False),
        account("ana@example.org", verified=None),
        account("ana@example.org", verified="false"),
        account(None),
        account(""),
        {},
    ],
)
def test_an_account_that_is_not_listed_or_not_verified_gets_none(asked: dict[str, object]) -> None:
    assert person_of(asked, LIST) is None


def test_what_a_provider_said_holds_until_it_ends_and_a_day_at_the_most() -> None:
    def said(given: timedelta, lasts: timedelta) -> dict[str, object]:
        at = NOW + given
        return {"iat": at.timestamp(), "exp": (at + lasts).timestamp()}

    hour, day = timedelta(hours=1), timedelta(days=1)
    assert is_fresh(said(-hour / 2, hour), NOW)
    assert not is_fresh(said(-hour, hour), NOW)
    assert is_fresh(said(-day + hour, 30 * day), NOW)
    assert not is_fresh(said(-day, 30 * day), NOW)
    assert not is_fresh({}, NOW)
    assert not is_fresh({"exp": "never", "iat": 0}, NOW)


def test_the_file_of_secrets_says_where_people_sign_in_and_who_is_whom(folder: Path) -> None:
    assert sign_in.set_up() is None
    write_secrets(folder, f'{PEOPLE}"tom@example.org" = {{ role = "log", name = " Tom " }}\n')
    assert sign_in.set_up() == LIST
    (folder / "secrets.toml").write_text('[mail]\npassword = "x"\n', encoding="utf-8")
    assert sign_in.set_up() is None


@pytest.mark.parametrize(
    ("people", "auth", "told"),
    [
        (PEOPLE, {"client_id": ""}, r"\[auth\] needs client_id, a text in quotation marks"),
        (PEOPLE, {"redirect_url": "x"}, r"redirect_url, which is no key of it; it takes"),
        (PEOPLE, {"cookie_secret": "short"}, "cookie_secret needs 32 signs or more"),
        (PEOPLE, {"redirect_uri": "https://tracker.example.org/"}, "redirect_uri is the tracker's"),
        (PEOPLE, {"redirect_uri": "tracker/oauth2callback"}, "redirect_uri is the tracker's"),
        (PEOPLE, {"server_metadata_url": "http://x.example/"}, "begins with https://"),
        ("", {}, "says who may come in"),
        ("[people]\n", {}, "says who may come in"),
        ('[people]\nana = "log"\n', {}, "which is no e-mail address"),
        ('[people]\n"ana@example.org" = "chief"\n', {}, "one of look, log, manage"),
        ('[people]\n"ana@example.org" = { name = "Ana" }\n', {}, "one of look, log, manage"),
        ('[people]\n"ana@example.org" = { role = "log", rôle = "x" }\n', {}, "TOML"),
        ('[people]\n"ana@example.org" = { role = "log", nick = "x" }\n', {}, "one of look"),
        ('[people]\n"ana@example.org" = { role = "log", name = 5 }\n', {}, "up to 40 letters"),
        ("[people\n", {}, "cannot be read as a TOML file"),
    ],
)
def test_a_mistake_in_the_file_is_told_in_one_sentence_without_a_secret(
    folder: Path, people: str, auth: dict[str, str], told: str
) -> None:
    write_secrets(folder, people, **auth)
    with pytest.raises(UsageError, match=told) as refused:
        sign_in.set_up()
    said = str(refused.value)
    assert "hush" not in said
    assert "never-told" not in said
    assert "\n" not in said


@pytest.mark.skipif(os.name != "posix", reason="a system without such rights")
@pytest.mark.parametrize("rights", [0o640, 0o604, 0o660, 0o644])
def test_a_file_that_others_may_read_is_refused_before_the_tracker_is_shared(
    folder: Path, rights: int, capsys: pytest.CaptureFixture[str]
) -> None:
    write_secrets(folder).chmod(rights)
    with pytest.raises(UsageError, match="may be read by other people"):
        sign_in.set_up()
    assert main(["--share", "--no-browser"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert len(said.err.splitlines()) == 1
    assert "chmod 600" in said.err
