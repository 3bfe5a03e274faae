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


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (["outlook", "--days"], "se espera un valor"),
        (["life"], "faltan estos argumentos: --part"),
        (["outlook", "--numbers", "x"], "no es una de las opciones"),
        (["outlook", "--nowhere"], "argumentos desconocidos: --nowhere"),
    ],
)
def test_what_the_parser_refuses_is_said_in_spanish(
    asked: list[str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*asked, "--language", "es"]) == 2
    said = capsys.readouterr().err
    assert told in said
    assert "argument " not in said


def test_the_help_is_in_spanish_from_its_first_word(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["life", "--help", "--language", "es"])
    said = capsys.readouterr().out
    assert said.startswith("uso: ")
    assert "muestra esta ayuda y termina" in said
    assert not {"usage:", "options:"} & set(said.split())
