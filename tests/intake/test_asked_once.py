"""A word is asked about once, whichever sheets and files of a load hold it in that role."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tests.intake.sheets import TODAY, book, taken, workshop_of
from tracker.intake.questions import ONE_BY_ONE, YES, Question
from tracker.intake.reading import File, Intake, read_files

WORKSHOP = workshop_of("Left", "Right")
HEAD = ("Drucker", "Teil", "Platz", "Eingebaut am", "Ausgebaut am", "Grund")
OF_2025 = (
    HEAD,
    ("Left", "Tinte-Daempfer XY", "W1", "13.01.2025", "", ""),
    ("Left", "Zauberrad", "hinten", "13.02.2025", "20.03.2025", "müde"),
)
OF_2026 = (
    HEAD,
    ("Right", "Tinte-Daempfer XY", "W2", "14.01.2026", "", ""),
    ("Right", "Zauberrad", "hinten", "15.02.2026", "20.03.2026", "müde"),
    ("Right", "Drehding", "hinten", "16.02.2026", "", ""),
)


def csv(rows: Sequence[Sequence[str]]) -> bytes:
    return "\n".join(map(";".join, rows)).encode()


FILES = [File("2025.csv", csv(OF_2025)), File("2026.csv", csv(OF_2026))]


def read(files: Sequence[File], answers: Mapping[str, str] | None = None) -> Intake:
    return read_files(files, WORKSHOP, answers, today=TODAY)


def about(questions: Sequence[Question], word: str) -> list[Question]:
    """The questions on the word, alone or among others."""
    return [q for q in questions if f"|{word}" in q.key]


def test_words_of_two_files_are_asked_once_and_the_answer_serves_both() -> None:
    questions = read(FILES).questions
    for word in ("Tinte-Daempfer XY", "Zauberrad", "Drehding", "müde"):
        assert len(about(questions, word)) == 1, word
    intake = read(FILES, {q.key: q.proposal for q in questions})
    kinds = sorted(kind for (kind,) in taken(intake, "fittings", "part_kind"))
    assert kinds == ["Drehding", "Zauberrad", "Zauberrad", "damper", "damper"]


def test_words_of_two_sheets_are_asked_once_also_one_by_one() -> None:
    files = [File("teile.xlsx", book({"2025": OF_2025, "2026": OF_2026}))]
    answers: dict[str, str] = {}
    asked: list[Question] = []
    while questions := read(files, answers).questions:
        asked += questions
        answers |= {
            q.key: ONE_BY_ONE if ONE_BY_ONE in q.choices else "cap" if "XY" in q.key else q.proposal
            for q in questions
        }
    single = [q for q in asked if q.choices != (YES, ONE_BY_ONE)]
    assert len(about(single, "Tinte-Daempfer XY")) == 1
    assert len(about(single, "Zauberrad")) == 1
    kinds = sorted(kind for (kind,) in taken(read(files, answers), "fittings", "part_kind"))
    assert kinds == ["Drehding", "Zauberrad", "Zauberrad", "cap", "cap"]


def test_a_yes_holds_when_another_column_is_chosen_in_one_of_the_sheets() -> None:
    questions = read(FILES).questions
    answers = {q.key: q.proposal for q in questions}
    without = {**answers, "2025.csv||1|Teil": "note", "2025.csv||1|Platz": "part_kind"}
    for word in ("Tinte-Daempfer XY", "Zauberrad", "Drehding"):
        assert not about(read(FILES, without).questions, word), word


def test_a_yes_covers_no_word_that_it_did_not_show() -> None:
    (together,) = about(read(FILES[:1]).questions, "Zauberrad")
    changed = {together.key: YES, "2025.csv||1|Teil": "note", "2025.csv||1|Platz": "part_kind"}
    assert about(read(FILES[:1], changed).questions, "hinten")


def test_what_was_answered_for_one_sheet_alone_is_an_answer_still() -> None:
    questions = read(FILES[:1]).questions
    (together,) = about(questions, "Zauberrad")
    assert together.own == "2025.csv||1|fittings|words of cells"
    answers = {together.own: YES, "word|removal_reason|müde": "failed"}
    assert len(taken(read(FILES[:1], answers), "fittings", "part_kind")) == 2


def month(name: str) -> tuple[tuple[object, ...], ...]:
    return (
        (f"Left {name} 2026",),
        ("Tag", "Dampers", "Langspülung", "Wiper"),
        (1, "x", "x", ""),
        (2, "", "x", "x"),
        (3, "x", "", "x"),
    )


def test_the_headings_of_a_calendar_are_asked_once_for_all_months() -> None:
    sheets = {name: month(name) for name in ("Januar", "Februar", "März")}
    files = [File("log.xlsx", book(sheets))]
    (roles,) = about(read(files).questions, "Wiper")
    questions = read(files, {roles.key: ONE_BY_ONE}).questions
    (wiper,) = about(questions, "Wiper")
    answers = {roles.key: ONE_BY_ONE, "log.xlsx|why": "planned", wiper.key: "part:wiper/"}
    for question in about(questions, "Dampers"):
        answers[question.key] = question.proposal
    intake = read(files, answers | {"log.xlsx|März|1|Wiper": "task:clean_wiper_cap"})
    assert [day[:7] for (day,) in taken(intake, "fittings", "fitted_on")] == [
        *["2026-01"] * 2,
        *["2026-02"] * 2,
    ]  # for March something else was said


def test_a_job_that_may_be_a_part_is_asked_once_for_two_logs() -> None:
    log = "Date,Printer,What\n{0}-03-02,Left,Change filters\n{0}-03-09,Left,stir ink\n"
    log += "{0}-03-10,Left,new wiper\n"
    files = [File(f"{year}.csv", log.format(year).encode()) for year in (2025, 2026)]
    (question,) = about(read(files).questions, "Change filters")
    answers = {question.key: "task:Change filters", "2025.csv|why": "planned"}
    intake = read(files, answers | {"2026.csv|why": "planned"})
    tasks = [task for (task,) in taken(intake, "maintenance", "task")]
    assert tasks.count("Change filters") == 2


def test_a_heading_that_is_like_a_column_is_asked_once_for_two_sheets() -> None:
    rows = (("Printer", "Part", "Fitted on", "Suplierr"), ("Left", "cap", "2026-03-02", "Nord"))
    files = [File("parts.xlsx", book({"one": rows, "two": (rows[0], ("Right", *rows[1][1:]))}))]
    (question,) = read(files).questions
    intake = read(files, {question.key: "yes"})
    assert [name for (name,) in taken(intake, "fittings", "supplier")] == ["Nord", "Nord"]
