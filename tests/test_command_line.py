"""The command line: valid JSON, the same bytes twice, refusals in one line."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.command import DEMO, LAST_DAY, ROOT, run, run_apart, said_apart
from tracker.store.database import open_store

ANSWERS = {
    "outlook": (("outlook", "--days", "30"), {"parts"}),
    "stock": (("stock", "--service", "0.95"), {"kinds"}),
    "preorder": (("preorder",), {"parts"}),
    "life": (
        ("life", "--part", "damper"),
        {"shape", "shape_lower", "shape_upper", "scale_days", "b10_days", "mean_life_days",
         "failures", "lives", "families"},
    ),
    "review": (("review", "--month", "2026-09"), {"failures", "drift"}),
    "effect": (
        ("effect", "--part", "damper", "--task", "shake_dampers", "--every", "7",
         "--instead-of", "30"),
        {"hazard_ratio", "lower", "upper", "chance_it_helps", "cox_hazard_ratio", "cox_lower",
         "cox_upper", "failures", "events_needed", "saving_per_printer_year", "saving_p10",
         "saving_p90", "chance_it_pays", "lag_days", "suspect_entries", "log_completeness",
         "log_completeness_lower", "log_completeness_upper", "log_findings"},
    ),
    "effect on all parts": (
        ("effect", "--task", "shake_dampers", "--every", "7", "--instead-of", "30"),
        {"parts", "work_per_printer_year", "saving_per_printer_year", "saving_p10", "saving_p90",
         "chance_it_pays", "break_even", "least_cost_every_days", "suspect_entries",
         "log_completeness", "log_completeness_lower", "log_completeness_upper", "log_findings"},
    ),
    "paper-log": (
        ("paper-log", "--month", "2026-11"),
        {"month", "printers", "file", "sheet"},
    ),
    "routine": (
        ("routine",),
        {"tasks", "saving_per_printer_year", "saving_p10", "saving_p90", "verdict"},
    ),
}  # fmt: skip


@pytest.fixture(scope="module")
def asked_elsewhere() -> dict[str, str]:
    """What another process says, asked in the other order: what it remembers must not show."""
    names = sorted(ANSWERS, reverse=True)
    return dict(zip(names, said_apart([[*ANSWERS[n][0], *DEMO] for n in names]), strict=True))


@pytest.mark.parametrize("name", sorted(ANSWERS))
def test_a_command_prints_one_json_object_the_same_twice(
    name: str, asked_elsewhere: dict[str, str]
) -> None:
    arguments, wanted = ANSWERS[name]
    first = run(*arguments, *DEMO)
    assert first.returncode == 0, first.stderr
    answer = json.loads(first.stdout)
    assert wanted <= set(answer)
    assert asked_elsewhere[name] == first.stdout


def test_a_process_of_its_own_says_the_same() -> None:
    asked = ("life", "--part", "damper", *DEMO)
    assert run_apart(*asked).stdout == run(*asked).stdout


def test_the_review_carries_how_lives_have_changed_or_null() -> None:
    told = json.loads(run("review", "--month", "2026-10", *DEMO).stdout)["drift"]
    assert set(told) == {"changed_since", "factor", "lower", "upper"}
    assert told["lower"] < told["factor"] < told["upper"]
    assert "2025-01-01" < told["changed_since"] < "2026-10-30"
    early = json.loads(run("review", "--month", "2024-06", *DEMO).stdout)
    assert early["drift"] is None, "three months of a log tell no change"


def test_the_whole_routine_tells_every_task_and_what_it_keeps() -> None:
    answer = json.loads(run("routine", *DEMO).stdout)
    tasks = {one["task"]: one for one in answer["tasks"]}
    assert tasks["empty_waste"]["kept"] == "protects people"
    for one in tasks.values():
        low, least, high = (one[f"every_days_{end}"] for end in ("low", "least_cost", "high"))
        assert low <= least <= high
        if one["kept"]:
            assert least == one["every_days_now"]
            assert one["saving_per_printer_year"] == 0
    assert tasks["shake_dampers"]["kept"] is None
    moved = {kind["part_kind"] for kind in tasks["shake_dampers"]["failures_avoided"]}
    assert moved == {"damper", "head"}
    assert answer["saving_p10"] < answer["saving_per_printer_year"] < answer["saving_p90"]
    assert {"against_nothing", "against_common_practice", "by_printer"} <= set(answer)
    assert answer["verdict"].startswith("Does changing the routine pay? ")


def test_the_table_of_the_routine_says_from_how_often_to_how_often_printers_differ() -> None:
    lines = run("routine", *(word for word in DEMO if word != "--json")).stdout.splitlines()
    rows = {
        line.split("  ")[0]: re.split("  +", line.strip())[1:3] for line in lines if "  " in line
    }
    assert rows["Shake dampers, draw off air"][0] == "7 to 30"
    kept = rows["Clean wiper blade and cap edge"]
    assert kept == ["3 to 7", "3 to 7"], "kept as it is on each printer"
    assert rows["Empty the waste tank"] == ["7", "7"]


def test_the_whole_routine_of_an_empty_workshop_says_what_is_missing(tmp_path: Path) -> None:
    (tmp_path / "printers.csv").write_text("printer,started_on\nAda,2025-01-01\n", "utf-8")
    told = run("routine", "--data", str(tmp_path), "--as-of", "2025-06-01", "--json")
    answer = json.loads(told.stdout)
    assert told.returncode == 0
    assert answer["tasks"] == []
    assert answer["saving_per_printer_year"] is None
    assert answer["verdict"].startswith("Cannot tell yet. No printer at work has a routine")


def test_a_task_asked_without_a_part_is_answered_over_all_that_it_protects() -> None:
    asked = ("--task", "shake_dampers", "--every", "7", "--instead-of", "30", *DEMO)
    answer = json.loads(run("effect", *asked).stdout)
    assert [part["part_kind"] for part in answer["parts"]] == ["damper", "head"]
    for part in answer["parts"]:
        alone = json.loads(run("effect", "--part", part["part_kind"], *asked).stdout)
        for key in ("hazard_ratio", "lower", "upper", "failures"):
            assert part[key] == alone[key]
        low, half, high = (
            part[f"failures_avoided_{end}"] for end in ("p10", "per_printer_year", "p90")
        )
        assert low < half < high
        assert part["cost_of_failure"] > 0
    assert answer["saving_p10"] < answer["saving_per_printer_year"] < answer["saving_p90"]
    assert {one["part_kind"] for one in answer["break_even"]} == {"damper", "head"}
    assert "pays once one damper failure costs more than" in answer["verdict"]
    # No log tells of head lives at another pace yet: named, and told without.
    assert answer["log_cannot_tell"] == ["head"]
    spread = answer["saving_without_those"]["p90"] - answer["saving_without_those"]["p10"]
    assert spread < answer["saving_p90"] - answer["saving_p10"]


def test_the_sheet_on_a_task_is_written_where_it_is_wanted(tmp_path: Path) -> None:
    file = tmp_path / "sheet.html"
    asked = ("--task", "wipe_encoder", "--every", "15", "--instead-of", "30", "--out", str(file))
    done = run("effect", *asked, *DEMO)
    assert done.returncode == 0, done.stderr
    answer = json.loads(done.stdout)
    assert answer["file"] == str(file)
    assert "Wipe the encoder strip: every 15\N{NO-BREAK SPACE}days" in file.read_text("utf-8")


def test_every_part_of_the_outlook_has_a_chance_and_an_interval() -> None:
    parts = json.loads(run("outlook", "--days", "30", *DEMO).stdout)["parts"]
    assert len(parts) > 70
    for part in parts:
        assert {"part_kind", "printer", "position", "age_days"} <= set(part)
        assert 0 <= part["chance_of_failure"] <= 1
        assert 0 <= part["days_p10"] <= part["days_p50"] <= part["days_p90"]


def test_a_place_that_stands_empty_is_told_beside_the_outlook() -> None:
    # The head of Door came out on 5 October, and the new one went in on the 23rd.
    asked = ("outlook", "--days", "30", "--data", "sample_data", "--as-of", "2026-10-10")
    assert json.loads(run(*asked, "--json").stdout)["empty"] == [
        {"part_kind": "head", "variant": "six-channel head", "printer": "Door", "position": "H1",
         "empty_since": "2026-10-05"}
    ]  # fmt: skip
    said = "Printhead H1 (six-channel head) of Door stands empty since 5 Oct 2026."
    assert run(*asked).stdout.startswith(said)


def test_chances_of_need_add_up_to_one() -> None:
    kinds = json.loads(run("stock", *DEMO).stdout)["kinds"]
    for kind in kinds:
        assert sum(kind["chance_of_need"]) == pytest.approx(1, abs=1e-6)
        upto = sum(kind["chance_of_need"][: kind["stock_for_service"] + 1])
        assert upto >= 0.95 - 1e-9


WRONG = {
    "no such folder": ("outlook", "--data", "nowhere-at-all"),
    "bad day": ("outlook", "--data", "sample_data", "--as-of", "soon"),
    "bad number": ("outlook", "--data", "sample_data", "--days", "minus"),
    "bad service": ("stock", "--data", "sample_data", "--service", "95"),
    "unknown part": ("life", "--data", "sample_data", "--part", "crankshaft"),
    "unknown task": ("effect", "--data", "sample_data", "--part", "damper", "--task", "dance",
                     "--every", "7", "--instead-of", "30"),
    "task that protects nothing": ("effect", "--data", "sample_data", "--task", "strong_clean",
                                   "--every", "7", "--instead-of", "30"),
    "sheet of one kind": ("effect", "--data", "sample_data", "--part", "damper", "--task",
                          "shake_dampers", "--every", "7", "--instead-of", "30", "--out", "x.html"),
    "unknown command": ("forecast",),
    "options of the app before a command": ("--database", "sqlite:///theirs.sqlite", "check"),
    "bad database": ("outlook", "--database", "nonsense"),
    "bad month": ("review", "--data", "sample_data", "--month", "October"),
}  # fmt: skip


@pytest.mark.parametrize("name", sorted(WRONG))
def test_wrong_input_is_one_line_and_exit_code_two(name: str) -> None:
    done = run(*WRONG[name])
    assert done.returncode == 2
    assert done.stdout == ""
    assert len(done.stderr.strip().splitlines()) == 1
    assert "Traceback" not in done.stderr


def test_a_process_of_its_own_ends_with_that_line_and_code_too() -> None:
    alone, here = run_apart(*WRONG["unknown part"]), run(*WRONG["unknown part"])
    assert (alone.returncode, alone.stdout, alone.stderr) == (2, "", here.stderr)


def test_load_twice_adds_nothing_and_export_gives_the_same_back(
    database_url: str, tmp_path: Path
) -> None:
    first = run("load", "sample_data", "--database", database_url, "--json")
    assert first.returncode == 0, first.stderr
    added = json.loads(first.stdout)["tables"]
    assert added["fittings"]["added"] > 300
    again = json.loads(run("load", "sample_data", "--database", database_url, "--json").stdout)[
        "tables"
    ]
    assert all(counts["added"] == 0 for counts in again.values())
    exported = tmp_path / "out"
    assert run("export", str(exported), "--database", database_url).returncode == 0
    for path in sorted((ROOT / "sample_data").glob("*.csv")):
        own = sorted((exported / path.name).read_text(encoding="utf-8").splitlines())
        assert own == sorted(path.read_text(encoding="utf-8").splitlines()), path.name
    from_database = run(
        "outlook", "--days", "30", "--database", database_url, "--as-of", LAST_DAY, "--json"
    )
    assert from_database.stdout == run("outlook", "--days", "30", *DEMO).stdout


def folder_of_unknown_ages(place: Path) -> str:
    """A printer of each head type; of two heads and three dampers nobody knows the day."""
    place.mkdir()
    (place / "printers.csv").write_text(
        "printer,started_on,head_type\nAda,2026-01-05,six\nBob,2026-01-05,eight\n"
    )
    (place / "fittings.csv").write_text(
        "printer,part_kind,position,fitted_on\nAda,head,H1,\nBob,head,H1,\nAda,damper,C,\n"
        "Ada,damper,W1,\nBob,damper,C,\nBob,wiper,wiper,2026-01-05\n"
    )
    return str(place)


def ages_in(url: str) -> dict[tuple[str, str], float]:
    """Every guess that the database holds, by kind and printer."""
    with open_store(url) as store:
        rows = store.records().fittings
    rows = rows[rows["age_guess_days"].notna()]
    return rows.set_index(["part_kind", "printer"])["age_guess_days"].to_dict()


def test_a_load_says_which_ages_are_not_known_and_how_to_say_them(
    database_url: str, tmp_path: Path
) -> None:
    folder = folder_of_unknown_ages(tmp_path / "in")
    done = run("load", folder, "--database", database_url, "--json")
    (said,) = [note for note in json.loads(done.stdout)["notices"] if "The age of" in note]
    assert "1 printhead (six), 1 printhead (eight) and 3 dampers" in said
    assert "--age" in said
    assert ages_in(database_url) == {}
    # Said afterwards by the same command, the records are completed.
    ages = ("head, six=about-a-year", "damper=Weeks", "head,eight=no idea")
    told = [word for age in ages for word in ("--age", age)]
    done = run("load", folder, "--database", database_url, *told)
    assert done.returncode == 0, done.stderr
    assert "The age of" not in done.stdout
    assert ages_in(database_url) == {
        ("head", "Ada"): 365, ("damper", "Ada"): 21, ("damper", "Bob"): 21,
    }  # fmt: skip


@pytest.mark.parametrize("age", ["damper", "damper=old", "crankshaft=weeks"])
def test_an_age_that_cannot_be_read_is_refused_in_one_line(
    database_url: str, tmp_path: Path, age: str
) -> None:
    folder = folder_of_unknown_ages(tmp_path / "in")
    done = run("load", folder, "--database", database_url, "--age", age)
    assert done.returncode == 2
    assert len(done.stderr.strip().splitlines()) == 1
    assert not list(tmp_path.glob("*.sqlite")), "a file that was not there is not made"


def test_at_a_terminal_a_load_asks_once_for_every_type(database_url: str, tmp_path: Path) -> None:
    pty = pytest.importorskip("pty")
    folder = folder_of_unknown_ages(tmp_path / "in")
    ours, theirs = pty.openpty()
    os.write(ours, b"months\nlong ago\nnew\n\n")
    done = run_apart("load", folder, "--database", database_url, "--json", stdin=theirs)
    os.close(ours)
    os.close(theirs)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["notices"] == []
    # The second answer is none, so the question is put again; an empty line is "no idea".
    assert done.stderr.count("in there for how long?") == 4
    assert "'long ago' is no answer" in done.stderr
    assert ages_in(database_url) == {("head", "Ada"): 120, ("head", "Bob"): 0}


def test_a_backup_brings_everything_back(fresh_url: Callable[[], str], tmp_path: Path) -> None:
    url, other = fresh_url(), fresh_url()
    assert run("load", "sample_data", "--database", url).returncode == 0
    saved = tmp_path / "saved.backup"
    assert run("backup", str(saved), "--database", url).returncode == 0
    assert run("restore", str(saved), "--database", other).returncode == 0
    same = [run("outlook", "--days", "9", "--database", u, "--json").stdout for u in (url, other)]
    assert same[0] == same[1]
    refused = run("restore", str(saved), "--database", other)
    assert refused.returncode == 2
    assert run("check", "--database", other).returncode == 0


@pytest.mark.parametrize("command", ["backup", "check", "outlook"])
def test_a_database_that_is_not_there_is_told_and_none_is_made(
    command: str, tmp_path: Path
) -> None:
    told = [command, str(tmp_path / "saved")] if command == "backup" else [command]
    done = run(*told, "--database", f"sqlite:///{tmp_path / 'workshp.sqlite'}")
    assert done.returncode == 2
    assert "There is no database file" in done.stderr
    assert "workshp.sqlite" in done.stderr
    assert list(tmp_path.iterdir()) == []


def small_log(folder: Path, **files: str) -> tuple[str, ...]:
    folder.mkdir(exist_ok=True)
    for name, text in files.items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    return ("--data", str(folder), "--as-of", "2026-06-30", "--json")


def test_small_and_strange_workshops_get_an_answer_not_an_error(tmp_path: Path) -> None:
    printers = "printer,started_on\nOnly,2026-01-05\n"
    columns = "printer,part_kind,position,fitted_on,removed_on,removal_reason\n"
    logs = {
        "nothing": {},
        "no failure": {
            "printers": printers,
            "fittings": columns + "Only,head,H1,2026-01-05,,\nOnly,damper,W1,2026-01-05,,\n",
        },
        "one printer, three records": {
            "printers": printers,
            "fittings": columns
            + "Only,wiper,wiper,2026-01-05,2026-03-01,failed\nOnly,wiper,wiper,2026-03-01,,\n",
        },
        "unknown part kind": {
            "printers": printers,
            "fittings": columns + "Only,flux_valve,left,2026-01-05,2026-02-01,failed\n"
            "Only,flux_valve,left,2026-02-01,,\n",
        },
    }
    for name, files in logs.items():
        where = small_log(tmp_path / name, **files)
        for command in (
            ("outlook", "--days", "30"), ("stock",), ("preorder",), ("life", "--part", "head"),
            ("review", "--month", "2026-06"),
            ("effect", "--part", "head", "--task", "flush_in_place", "--every", "15",
             "--instead-of", "30"),
            ("effect", "--task", "clean_wiper_cap", "--every", "3", "--instead-of", "7"),
        ):  # fmt: skip
            done = run(*command, *where)
            assert done.returncode == 0, (name, command, done.stderr)
            json.loads(done.stdout)
    done = run("life", "--part", "flux_valve", *small_log(tmp_path / "unknown part kind"))
    assert json.loads(done.stdout)["failures"] == 1


def test_a_refused_folder_names_rows_and_leaves_the_database_alone(
    database_url: str, tmp_path: Path
) -> None:
    assert run("load", "sample_data", "--database", database_url).returncode == 0
    before = run(
        "outlook", "--days", "9", "--database", database_url, "--as-of", LAST_DAY, "--json"
    ).stdout
    folder = tmp_path / "bad"
    small_log(
        folder,
        printers="printer,started_on\nNew,2026-01-05\n",
        fittings="printer,part_kind,position,fitted_on,removed_on\n"
        "New,haed,H1,2026-01-05,\nNew,wiper,wiper,2026-04-02,2026-03-01\n",
    )
    done = run("load", str(folder), "--database", database_url)
    assert done.returncode == 2
    assert "row 2" in done.stderr
    assert "head" in done.stderr
    assert "row 3" in done.stderr
    after = run(
        "outlook", "--days", "9", "--database", database_url, "--as-of", LAST_DAY, "--json"
    ).stdout
    assert after == before


@pytest.mark.parametrize(
    "arguments",
    [
        ("review", "--data", "sample_data", "--out", "{file}/x.html"),
        (
            "effect",
            "--data",
            "sample_data",
            "--task",
            "wipe_encoder",
            "--every",
            "15",
            "--instead-of",
            "30",
            "--out",
            "{file}/x.html",
        ),
        ("export", "--data", "sample_data", "{file}/folder"),
        ("backup", "{file}/copy.db"),
    ],
)
def test_a_place_that_cannot_be_written_is_one_line_and_exit_code_2(
    arguments: tuple[str, ...], tmp_path: Path
) -> None:
    file = tmp_path / "file"
    file.write_text("no folder")
    done = run(*(word.replace("{file}", str(file)) for word in arguments), folder=tmp_path)
    assert done.returncode == 2
    assert len(done.stderr.strip().splitlines()) == 1
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("life", "--part", "head", "--as-of", "2100-01-01"), "lies ahead"),
        (("life", "--part", "head", "--as-of", "2000-01-01"), "nothing was written down before"),
        (("review", "--month", "2000-01"), "nothing was written down before"),
    ],
)
def test_a_day_the_log_knows_nothing_of_is_said_on_standard_error(
    arguments: tuple[str, ...], said: str
) -> None:
    done = run(*arguments, "--data", "sample_data", "--json")
    assert done.returncode == 0, done.stderr
    assert said in done.stderr
    assert json.loads(done.stdout)


def test_a_part_is_known_by_its_label_too() -> None:
    by_label = run("life", "--part", "Printhead", *DEMO)
    assert by_label.returncode == 0, by_label.stderr
    assert by_label.stdout == run("life", "--part", "head", *DEMO).stdout


def test_restoring_over_records_names_the_option_that_replaces_them(tmp_path: Path) -> None:
    assert run("load", "sample_data", folder=tmp_path).returncode == 0
    copy = str(tmp_path / "copy.db")
    assert run("backup", copy, folder=tmp_path).returncode == 0
    done = run("restore", copy, folder=tmp_path)
    assert done.returncode == 2
    assert "--replace" in done.stderr


def test_check_is_of_the_demo_until_a_workshop_is_begun_and_none_is_made(tmp_path: Path) -> None:
    checked = run("check", "--json", folder=tmp_path)
    of_sample = run("check", "--data", "sample_data", "--json", folder=tmp_path)
    assert json.loads(checked.stdout) == json.loads(of_sample.stdout)
    assert checked.returncode == 0
    for command in (
        ("backup", str(tmp_path / "saved.sqlite")),
        ("check", "--accept"),
        ("calendar", "--out", str(tmp_path / "due.ics"), "--keep"),
        ("experiment", "--end", "nothing"),
    ):
        refused = run(*command, folder=tmp_path)
        assert refused.returncode == 2
        assert "No workshop was begun here yet" in refused.stderr
    assert list(tmp_path.iterdir()) == []
