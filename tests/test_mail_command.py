"""The weekly mail, handed to a real mail server on this computer."""

from __future__ import annotations

import json
import os
import shutil
from pathlib import Path

import pytest

from tests.mail_server import made_certificate, mail_server
from tracker.commands import main
from tracker.errors import UsageError
from tracker.intake.exchange import read_folder, write_folder
from tracker.workshop.records import Records

PASSWORD = "TRACKER_MAIL_PASSWORD"
AS_OF = ("--as-of", "2026-10-30")
SECRET = "iron & nozzle"


@pytest.fixture
def certificate(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A certificate that this computer trusts during the test."""
    made = made_certificate(tmp_path)
    if made is None:
        if os.environ.get("TRACKER_TESTS_REQUIRE"):
            pytest.fail("TRACKER_TESTS_REQUIRE is set, but openssl is not installed")
        pytest.skip("openssl is not installed")
    monkeypatch.setenv("SSL_CERT_FILE", str(tmp_path / "certificate.pem"))
    return made


def workshop_with(folder: Path, **settings: object) -> str:
    """The demo workshop with these settings added, as a folder of spreadsheets."""
    place = folder / "workshop"
    shutil.copytree("sample_data", place)
    text = (place / "settings.csv").read_text(encoding="utf-8")
    rows = "".join(f'{name},"{value}"\n' for name, value in settings.items())
    (place / "settings.csv").write_text(text + rows, encoding="utf-8")
    return str(place)


def addressed(port: int, **settings: object) -> dict[str, object]:
    given = {"mail_server": "localhost", "mail_port": port, "mail_from": "tracker@shop.example"}
    return given | {"mail_to": "ada@shop.example, ben@shop.example"} | settings


def test_the_mail_goes_out_encrypted_after_signing_in(
    tmp_path: Path, certificate: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    monkeypatch.setenv(PASSWORD, SECRET)
    with mail_server(certificate, users={"tracker": SECRET}) as received:
        folder = workshop_with(tmp_path, **addressed(received.port, mail_user="tracker"))
        assert main(["mail", "--data", folder, *AS_OF]) == 0
    assert capsys.readouterr().out == "Sent to 2 addresses.\n"
    assert received.receivers == [["ada@shop.example", "ben@shop.example"]]
    assert received.signed_in == [("tracker", SECRET)]
    assert [line.split()[0].upper() for line in received.in_the_clear] == ["EHLO", "STARTTLS"]
    (mail,) = received.mails
    assert mail["Subject"].startswith("Larkfield Garment Printing – Week from 30 Oct 2026: ")
    text = mail.get_content()
    assert "Printhead H1 of Yard, in since 24 Jun 2026, failed (nozzles blocked)." in text
    assert "Order 2 × printhead (six-channel head)" in text
    assert "Loft: Wipe the encoder strip (16 days late)" in text
    assert "Switch off and pull the plug" in text


def test_a_server_without_encryption_gets_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with mail_server() as received:
        folder = workshop_with(tmp_path, **addressed(received.port))
        assert main(["mail", "--data", folder, *AS_OF]) == 2
    said = capsys.readouterr().err
    assert "nothing was sent" in said
    assert said.count("\n") == 1
    assert received.mails == []


def test_where_the_workshop_says_so_the_mail_goes_unencrypted(tmp_path: Path) -> None:
    with mail_server() as received:
        folder = workshop_with(tmp_path, **addressed(received.port, mail_encrypted="no"))
        assert main(["mail", "--data", folder, *AS_OF]) == 0
    assert len(received.mails) == 1


def test_a_server_that_nobody_vouches_for_gets_nothing(
    tmp_path: Path, certificate: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    monkeypatch.delenv("SSL_CERT_FILE")
    with mail_server(certificate) as received:
        folder = workshop_with(tmp_path, **addressed(received.port))
        assert main(["mail", "--data", folder, *AS_OF]) == 2
    assert "certificate" in capsys.readouterr().err
    assert received.mails == []


def test_a_wrong_password_and_a_refused_receiver_are_said_in_one_line(
    tmp_path: Path, certificate: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    monkeypatch.setenv(PASSWORD, "wrong")
    nobody = ("ben@shop.example",)
    with mail_server(certificate, users={"tracker": SECRET}, refuses=nobody) as received:
        folder = workshop_with(tmp_path, **addressed(received.port, mail_user="tracker"))
        assert main(["mail", "--data", folder, *AS_OF]) == 2
        said = capsys.readouterr().err
        assert "does not take 'tracker' with the password" in said
        assert "wrong" not in said
        monkeypatch.setenv(PASSWORD, SECRET)
        assert main(["mail", "--data", folder, *AS_OF]) == 2
    assert "did not take ben@shop.example" in capsys.readouterr().err
    assert received.receivers == [["ada@shop.example"]]


def test_no_mail_is_sent_where_no_server_is_set(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["mail", "--data", "sample_data", *AS_OF]) == 2
    said = capsys.readouterr().err
    assert said.startswith("No mail is sent, for no mail server is set;")
    assert said.count("\n") == 1


def test_a_dry_run_shows_the_mail_and_needs_no_server(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["mail", "--data", "sample_data", *AS_OF, "--dry-run", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["sent_to"] == []
    assert "To order" in told["text"]
    assert "**" not in told["text"], "plain text"


@pytest.mark.parametrize(
    ("settings", "said"),
    [
        ({"mail_to": ""}, "mail_to: is not set"),
        ({"mail_to": "ada@shop.example, ben"}, "mail_to: 'ben' is no mail address"),
        ({"mail_from": "a@b.example\nBcc: c@d.example"}, "mail_from"),
        ({"mail_encrypted": "maybe"}, "mail_encrypted: 'maybe' is neither yes nor no"),
        ({"mail_user": "tracker"}, f"environment variable {PASSWORD}"),
        ({"mail_user": "tracker", "mail_encrypted": "no"}, "no password is sent without"),
    ],
)
def test_a_setting_that_cannot_be_is_named(
    settings: dict[str, str], said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    from tests.decisions.workshops import setting
    from tracker.commands.handouts.weekly_mail import MailServer

    monkeypatch.delenv(PASSWORD, raising=False)
    given = {name: value for name, value in (addressed(25) | settings).items() if value != ""}
    with pytest.raises(UsageError) as problem:
        MailServer.of(Records.of({"settings": setting(**given)}))
    assert said in str(problem.value)


def test_the_password_is_neither_kept_nor_shown(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from tracker.commands.handouts.weekly_mail import MailServer

    monkeypatch.setenv(PASSWORD, SECRET)
    records = read_folder(Path(workshop_with(tmp_path, **addressed(587, mail_user="tracker"))))
    server = MailServer.of(records)
    assert server.password == SECRET
    assert SECRET not in repr(server)
    write_folder(records, tmp_path / "kept")
    assert SECRET not in (tmp_path / "kept" / "settings.csv").read_text(encoding="utf-8")
