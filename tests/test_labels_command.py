"""The labels on the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tracker.commands import main

DEMO = ("--data", "sample_data")


def test_a_label_for_every_printer_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "labels.html"
    given = ("labels", *DEMO, "--address", "printroom:8501/", "--out", str(out), "--json")
    assert main(given) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["labels"][0] == {
        "printer": "Window",
        "address": "http://printroom:8501/log?printer=Window",
    }
    assert len(told["labels"]) == out.read_text(encoding="utf-8").count('<div class="label">') == 4


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ((), "--address http://printroom:8501"),
        (("--address", "print room"), "is no address of this app"),
    ],
)
def test_what_cannot_be_written_is_said_in_one_line(
    given: tuple[str, ...], said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "labels.html"
    assert main(["labels", *DEMO, *given, "--out", str(out)]) == 2
    told = capsys.readouterr()
    assert said in told.err
    assert told.err.count("\n") == 1
    assert not out.exists()


def test_an_address_that_no_phone_reaches_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = str(tmp_path / "labels.html")
    assert main(["labels", *DEMO, "--address", "http://localhost:8501", "--out", out]) == 0
    assert "leads nowhere from a phone" in capsys.readouterr().out
