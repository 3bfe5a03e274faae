"""The command ``experiment``: propose, keep, read out, end; what cannot be is one sentence."""

from __future__ import annotations

import json
from contextlib import redirect_stderr, redirect_stdout
from datetime import timedelta
from io import StringIO
from pathlib import Path
from typing import Any

import pytest

from tests.bench.experiment_study import EVERY, INSTEAD, LAST_DAY, TASK, asked
from tracker.commands import main
from tracker.decisions.due import due_list
from tracker.store.database import open_store

ASKED = ("--task", TASK, "--every", str(EVERY), "--instead-of", str(INSTEAD))


@pytest.fixture
def url(database_url: str) -> str:
    with open_store(database_url) as store:
        store.load(asked()[0], "simulated")
    return database_url


def run(url: str, *arguments: str, as_of: object = LAST_DAY) -> tuple[int, str, str]:
    out, wrong = StringIO(), StringIO()
    with redirect_stdout(out), redirect_stderr(wrong):
        code = main(["experiment", "--database", url, "--as-of", str(as_of), *arguments])
    return code, out.getvalue(), wrong.getvalue()


def answer(url: str, *arguments: str, as_of: object = LAST_DAY) -> dict[str, Any]:
    code, out, wrong = run(url, *arguments, "--json", as_of=as_of)
    assert code == 0, wrong
    found: dict[str, Any] = json.loads(out)
    return found


def test_a_proposal_is_kept_followed_read_out_and_ended(url: str) -> None:
    proposed = answer(url, *ASKED)
    assert proposed["worth_doing"]
    assert proposed["batch"] is None
    assert proposed["chance_of_answer"] >= 0.75
    assert len(proposed["phases"]) == 12
    start = LAST_DAY + timedelta(days=5)
    kept = answer(url, *ASKED, "--start", str(start))
    assert kept["starts_on"] == str(start)
    assert kept["batch"] is not None
    with open_store(url) as store:
        due = due_list(store.records(), start)
    assert sorted(due.loc[due["task"] == TASK, "every_days"]) == [7, 7, 30, 30]
    (running,) = answer(url, as_of=start + timedelta(days=40))["experiments"]
    assert (running["stage"], running["verdict"], running["arms"]) == ("running", None, [])
    ended = answer(url, "--end", kept["experiment"], as_of=start + timedelta(days=40))
    assert ended["ended_on"] == str(start + timedelta(days=40))
    (over,) = answer(url, as_of=start + timedelta(days=60))["experiments"]
    assert (over["stage"], over["ends_on"]) == ("ended", ended["ended_on"])
    assert over["as_meant"]["events"] == over["failures"]
    assert [arm["every_days"] for arm in over["arms"]] == [7, 30]


def test_it_answers_in_words_too(url: str) -> None:
    code, said, _ = run(url, *ASKED)
    assert code == 0
    assert said.startswith("Shake dampers, draw off air every 7 days or every 30 days: worth")
    assert "P1" in said
    assert run(url)[1].startswith("No experiment is written down; propose one with --task")


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("--task", TASK), "give --task, --every and --instead-of together, or none of them."),
        (("--start", str(LAST_DAY)), "--start: needs --task, --every and --instead-of"),
        ((*ASKED, "--start", "2024-03-01"), "--start 2024-03-01: is past"),
        ((*ASKED[:3], "30", *ASKED[4:]), "give two different intervals."),
        (("--end", "Nothing"), "No experiment is written down, so none is called 'Nothing'."),
    ],
)
def test_what_cannot_be_is_one_sentence(
    url: str, arguments: tuple[str, ...], sentence: str
) -> None:
    code, out, wrong = run(url, *arguments)
    assert (code, out) == (2, "")
    assert sentence in wrong
    assert len(wrong.strip().splitlines()) == 1


def test_a_folder_is_only_read(tmp_path: Path) -> None:
    (tmp_path / "printers.csv").write_text("printer,started_on\nAda,2026-01-05\n", "utf-8")
    wrong = StringIO()
    with redirect_stderr(wrong):
        assert main(["experiment", "--data", str(tmp_path), "--end", "Any"]) == 2
    assert "load it into a database" in wrong.getvalue()
