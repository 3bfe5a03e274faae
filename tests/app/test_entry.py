"""A page of a shared tracker that nobody was let in to shows no word of the workshop."""

from __future__ import annotations

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.app.conftest import ROOT
from tracker.sharing import sign_in


def test_a_server_without_its_door_shows_a_stranger_nothing(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TRACKER_SHARED", "http://192.168.1.5:8501")
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
    """Without the package that signing in needs, a code is the one way in."""
    (folder / "secrets.toml").write_text('[auth]\nclient_id = "x"\n', encoding="utf-8")
    monkeypatch.setenv("TRACKER_SHARED", "http://192.168.1.5:8501")
    at = AppTest.from_file(str(ROOT / "tracker" / "app.py"), default_timeout=60).run()
    assert not at.exception
    assert sign_in.is_set_up()
    asked = [button.label for button in at.button]
    assert asked == (["Sign in"] if sign_in.can_work() else [])
