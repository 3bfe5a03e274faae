"""No file puts more than three questions; the others are put as one, each with its proposal."""

from __future__ import annotations

from tests.intake.sheets import TODAY, read, taken
from tracker.intake.pieces import Intake
from tracker.intake.questions import ONE_BY_ONE

# Neither month, printer nor reason; numbers and words among the marks; unsure columns.
UNCLEAR = "Day,Dampers,Wiper,Cap\n1,x,5,\n2,late,,x\n3,x,7,\n4,,x,x\n5,x,,late\n"


def asked_in_all(text: str) -> tuple[Intake, list[str]]:
    """The reading once whatever is proposed was taken, and the keys of what was asked."""
    answers: dict[str, str] = {}
    while questions := (intake := read(text, answers=answers)).questions:
        answers |= {question.key: question.proposal for question in questions}
    return intake, list(answers)


def test_a_sheet_with_six_things_unclear_asks_three_times_at_most() -> None:
    intake, asked = asked_in_all(UNCLEAR)
    assert len(asked) <= 3
    rows = taken(intake, "maintenance", "printer", "task", "done_on")
    assert len(rows) == 10  # the cells that are filled
    assert {row[0] for row in rows} == {"Left"}
    assert {row[2][:7] for row in rows} == {f"{TODAY:%Y-%m}"}


def test_questions_put_together_show_what_is_proposed_and_can_be_asked_one_by_one() -> None:
    together = next(q for q in read(UNCLEAR).questions if "|together|" in q.key)
    assert any("which month" in shown and shown.count("2026-11") for shown in together.examples)
    questions = read(UNCLEAR, answers={together.key: ONE_BY_ONE}).questions
    assert {q.own or q.key for q in questions} == {"log.csv||1|month", "log.csv||1|roles"}
