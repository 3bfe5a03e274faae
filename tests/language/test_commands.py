"""The command line speaks the language asked for; JSON is the same in every language."""

from __future__ import annotations

from pathlib import Path

import pytest

from tracker.commands import main

DEMO = str(Path(__file__).parent.parent.parent / "sample_data")


def test_a_refusal_is_said_in_the_language_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    asked = ["outlook", "--days", "30", "--data", DEMO, "--doing", "humidify=3"]
    assert main([*asked, "--language", "es"]) == 2
    assert "nada en el registro dice" in capsys.readouterr().err
    assert main(asked) == 2
    assert "nothing in the log tells" in capsys.readouterr().err


def test_json_is_the_same_in_every_language(capsys: pytest.CaptureFixture[str]) -> None:
    answers = []
    for language in ("en", "es"):
        asked = ["life", "--part", "damper", "--data", DEMO, "--json", "--language", language]
        assert main(asked) == 0
        answers.append(capsys.readouterr().out)
    assert answers[0] == answers[1]
