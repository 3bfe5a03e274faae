"""A page of a shared tracker that nobody was let in to shows no word of the workshop."""

from __future__ import annotations

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.app.conftest import ROOT
from tests.sharing.test_sign_in import write_secrets
from tracker.sharing import sign_in


def test_a_server_without_its_door_shows_a_stranger_nothing(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TRACKER_SHARED", "http://192.168.1.5:8501")
    (folder / "demo.sqlite").unlink()
    at = AppTest.from_file(str(ROOT / "tracker" / "app.py"), default_timeout=60).run()
    assert not at.exception
    assert [title.value for title in at.title] == ["Not open here"]
    assert [error.value for error in at.error] == [
        "This device was removed from the list, or never paired."
    ]
    assert not at.markdown
    assert not list(folder.iterdir()), "not even the demo was opened"


def test_an_unpaired_device_is_asked_for_its_account_where_accounts_are_set_up_and_can_work(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without the packages that signing in needs, a code is the one way in."""
    write_secrets(folder)
    monkeypatch.setenv("TRACKER_SHARED", "http://192.168.1.5:8501")
    at = AppTest.from_file(str(ROOT / "tracker" / "app.py"), default_timeout=60).run()
    assert not at.exception
    asked = [button.label for button in at.button]
    assert asked == ([] if sign_in.missing() else ["Sign in"])


def test_a_stranger_is_not_told_what_is_wrong_in_the_file_of_secrets(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_secrets(folder, '[people]\n"ana@example.org" = "chief"\n')
    monkeypatch.setenv("TRACKER_SHARED", "http://192.168.1.5:8501")
    at = AppTest.from_file(str(ROOT / "tracker" / "app.py"), default_timeout=60).run()
    assert not at.exception
    told = [error.value for error in at.error]
    assert any("Signing in by an account does not work now" in one for one in told)
    assert not any("ana@example.org" in one or str(folder) in one for one in told)
    assert not at.button
