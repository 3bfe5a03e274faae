"""What ``load`` says on the command line about what it took in."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from tests.command import run, run_apart


def test_load_says_what_is_new_and_what_is_doubtful(database_url: str, tmp_path: Path) -> None:
    folder = tmp_path / "march"
    folder.mkdir()
    (folder / "printers.csv").write_text("printer,started_on\nAda,2026-01-05\n", "utf-8")
    (folder / "fittings.csv").write_text(
        "printer,part_kind,position,fitted_on,removed_on\n"
        "Ada,wiper,wiper,2026-01-05,2026-03-01\nAda,wiper,wiper,2026-03-01,\n",
        "utf-8",
    )
    first = run("load", str(folder), "--database", database_url)
    assert first.returncode == 0, first.stderr
    assert "folder march: 3 rows added, 0 completed, 0 already there." in first.stdout
    notes = [line for line in first.stdout.splitlines() if line.startswith("Note: ")]
    assert any("fittings row 2" in line for line in notes), "removed, but no reason given"
    again = json.loads(run("load", str(folder), "--database", database_url, "--json").stdout)
    assert again["batch"] is None, "nothing new, nothing to undo"
    assert [f"Note: {notice}" for notice in again["notices"]] == notes
    said = run("load", str(folder), "--database", database_url).stdout
    assert "nothing new, all 3 rows are already there" in said


CALENDAR = "March 2026 - Ada\nDay,Stir ink\n2,x\n3,\n4,x\n"


def test_a_calendar_is_loaded_when_its_question_is_answered(
    database_url: str, tmp_path: Path
) -> None:
    file = tmp_path / "march.csv"
    file.write_text(CALENDAR, "utf-8")
    asked = run("load", str(file), "--database", database_url)
    assert asked.returncode == 2
    assert len(asked.stderr.strip().splitlines()) == 1
    assert "2 questions to answer first" in asked.stderr
    assert '--answer "name|Ada=a new printer"' in asked.stderr
    told = ("--answer", "name|Ada=a new printer", "--answer", "march.csv|why=planned")
    done = run("load", str(file), "--database", database_url, *told)
    assert done.returncode == 0, done.stderr
    assert "march.csv, rows 2 to 5: a calendar of tasks" in done.stdout
    assert "Ada: stir or shake the white ink on 2 and 4 March 2026." in done.stdout
    assert "march.csv: 3 rows added" in done.stdout


def test_what_is_open_is_json_with_the_keys_that_answers_take(
    database_url: str, tmp_path: Path
) -> None:
    file = tmp_path / "march.csv"
    file.write_text(CALENDAR, "utf-8")
    asked = run("load", str(file), "--database", database_url, "--json")
    assert asked.returncode == 2
    told = json.loads(asked.stdout)
    keys = {question["key"]: question["answers"] for question in told["questions"]}
    assert keys["march.csv|why"][:2] == ["planned", "symptom"]
    assert "a new printer" in keys["name|Ada"]
    (table,) = told["tables"]
    assert (table["key"], "stock" in table["answers"]) == ("march.csv||1|is", True)
    left_out = run(
        "load", str(file), "--database", database_url, "--json",
        "--answer", f"{table['key']}=leave out",
    )  # fmt: skip
    assert left_out.returncode == 0, left_out.stderr
    assert not any(
        any(counts.values()) for counts in json.loads(left_out.stdout)["tables"].values()
    )


def test_an_answer_that_nothing_asks_for_is_refused_with_the_nearest_keys(
    database_url: str, tmp_path: Path
) -> None:
    file = tmp_path / "march.csv"
    file.write_text(CALENDAR, "utf-8")
    told = ("--answer", "name|Ada=a new printer", "--answer", "march.cvs|why=planned")
    refused = run("load", str(file), "--database", database_url, *told)
    assert refused.returncode == 2
    assert "'march.cvs|why'" in refused.stderr
    assert "the nearest keys are 'march.csv|why'" in refused.stderr


def test_words_of_two_files_are_asked_once_and_may_be_answered_for_one_file_alone(
    database_url: str, tmp_path: Path
) -> None:
    files = [tmp_path / "one.csv", tmp_path / "two.csv"]
    head = "printer,part,place,fitted,removed,why out\n"
    for month, file in enumerate(files, start=1):
        rows = f"Ada,Zorbel,left,2026-0{month}-03,2026-0{month}-20,planned\n"
        file.write_text(head + rows + rows.replace("Zorbel", "Blinkwerk"), "utf-8")
    to = (*map(str, files), "--database", database_url, "--answer", "name|Ada=a new printer")
    asked = json.loads(run("load", *to, "--json").stdout)["questions"]
    assert [question["key"].partition("|together|")[0] for question in asked] == [
        "one.csv||1|fittings|words of cells"
    ]
    alone = ("--answer", "one.csv||1|fittings|words of cells=yes")
    (left,) = json.loads(run("load", *to, *alone, "--json").stdout)["questions"]
    done = run("load", *to, *alone, "--answer", f"{left['key']}=yes")
    assert done.returncode == 0, done.stderr
    assert "5 rows added" in done.stdout


def test_hours_beside_a_change_are_loaded_once_and_their_column_is_remembered(
    database_url: str, tmp_path: Path
) -> None:
    file = tmp_path / "changes.csv"
    text = "Date,Printer,Part,Why out,Downtime,Old serial\n2026-03-11,Ada,wiper,failed,3,W1\n"
    file.write_text(text, "utf-8")
    to = ("load", str(file), "--database", database_url, "--json")
    answers = ("--answer", "name|Ada=a new printer")
    answers += ("--answer", "column|fittings|Downtime|hours_down=yes")
    first = run(*to, *answers)
    assert first.returncode == 0, first.stderr
    assert json.loads(first.stdout)["tables"]["stoppages"]["added"] == 1
    again = run(*to)
    assert again.returncode == 0, again.stderr
    assert json.loads(again.stdout)["batch"] is None


def test_every_mistake_is_written_to_a_file_and_counted(database_url: str, tmp_path: Path) -> None:
    file, mistakes = tmp_path / "counters.csv", tmp_path / "mistakes.csv"
    rows = "".join(f"Ada,2026-03-{day},1\n" for day in range(33, 43))
    file.write_text(f"printer,read_on,area_m2\n{rows}", "utf-8")
    told = ("--answer", "name|Ada=a new printer", "--mistakes", str(mistakes))
    done = run("load", str(file), "--database", database_url, *told)
    assert done.returncode == 2
    assert "10 mistakes" in done.stderr
    lines = mistakes.read_text("utf-8").splitlines()
    assert lines[0].startswith("file,sheet,row,column,written,what is wrong")
    assert len(lines) == 11
    assert lines[1].startswith("counters.csv,,2,read_on,2026-03-33,")
    assert lines[1].endswith("Ada | 2026-03-33 | 1")


def test_at_a_terminal_each_question_is_put_until_it_is_answered(
    database_url: str, tmp_path: Path
) -> None:
    pty = pytest.importorskip("pty", reason="no terminals on this system")
    file = tmp_path / "march.csv"
    file.write_text(CALENDAR, "utf-8")
    own, terminal = pty.openpty()
    os.write(own, b"99\n1\nperhaps\nplanned\n")
    done = run_apart("load", str(file), "--json", "--database", database_url, stdin=terminal)
    os.close(own)
    os.close(terminal)
    assert done.returncode == 0, done.stderr
    assert "  1 a new printer (likely)" in done.stderr
    assert done.stderr.count("Number or answer: ") == 4, "99 and perhaps are no answers"
    tables = json.loads(done.stdout)["tables"]
    assert (tables["printers"]["added"], tables["maintenance"]["added"]) == (1, 2)
