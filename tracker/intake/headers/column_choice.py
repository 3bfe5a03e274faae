"""Which header each column is read from: what is sure is taken, the rest asked or refused."""

from __future__ import annotations

from collections.abc import Container, Sequence
from dataclasses import dataclass, field

from tracker.intake.cells.typed import as_text
from tracker.intake.cells.units import factor_to, split_header
from tracker.intake.files.raw_table import RawTable
from tracker.intake.headers.columns import ColumnMatch
from tracker.intake.questions import COLUMNS, Answers, Question
from tracker.language import _
from tracker.workshop.declarations import Column, Table
from tracker.workshop.refusal import Refusal

YES, NO = "yes", "no"


@dataclass(frozen=True)
class ColumnChoice:
    """Column → the match it is read from, with what is asked and refused about the header.

    ``mapping`` is header → column as taken or proposed, "" for a header left out.
    """

    taken: dict[str, ColumnMatch] = field(default_factory=dict)
    mapping: dict[str, str] = field(default_factory=dict)
    questions: list[Question] = field(default_factory=list)
    refusals: list[Refusal] = field(default_factory=list)


def choose_columns(
    raw: RawTable,
    table: Table,
    matches: Sequence[ColumnMatch],
    *,
    answers: Answers | None = None,
    constants: Container[str] = (),
    ask: bool = True,
) -> ColumnChoice:
    """From which header is each column of the table read?

    ``constants`` names columns that need no header. Without ``ask`` a likeness and a missing
    required column are refused instead of asked about.
    """
    choice = ColumnChoice(mapping={match.header: match.column for match in matches})
    for match in matches:
        if match.is_sure:
            choice.taken[match.column] = match
        elif match.column and ask:
            _confirm(choice, raw, table, match, answers)
        elif match.column:
            choice.refusals.append(
                _of_header(
                    raw,
                    table,
                    match.header,
                    _("is no column of the contract"),
                    _("did you mean {column}?", column=match.column),
                )
            )
    asked = {question.column for question in choice.questions}
    for column in table.columns:
        settled = column.name in choice.taken or column.name in asked or column.name in constants
        if column.required and not settled:
            _find(choice, raw, table, column, answers, ask)
    return choice


def _confirm(
    choice: ColumnChoice,
    raw: RawTable,
    table: Table,
    match: ColumnMatch,
    answers: Answers | None,
) -> None:
    """Takes a proposed match that was answered with yes, asks about one not answered.

    It is asked once for all sheets of that table with that heading.
    """
    column = table.column(match.column)
    question = Question(
        column.name,
        _(
            'is "{header}" the column “{name}” ({means})?',
            header=match.header,
            name=column.name,
            means=column.means,
        ),
        (YES, NO),
        tuple(as_text(cell) for cell in raw.columns[raw.header.index(match.header)][:3]),
        COLUMNS,
        raw.source,
        filed=f"column|{table.name}|{match.header}|{column.name}",
        own=f"{raw.source}:{column.name}:{COLUMNS}",
    )
    answer = question.answered(answers)
    if answer == YES:
        choice.taken[column.name] = match
    elif answer == NO:
        choice.mapping[match.header] = ""
    else:
        choice.questions.append(question)


def _find(
    choice: ColumnChoice,
    raw: RawTable,
    table: Table,
    column: Column,
    answers: Answers | None,
    ask: bool,
) -> None:
    """Asks which of the headers left over holds a required column; refuses when none is left."""
    free = tuple(header for header, name in choice.mapping.items() if not name)
    question = Question(
        column.name,
        _("which column holds “{name}” ({means})?", name=column.name, means=column.means),
        free,
        (),
        COLUMNS,
        raw.source,
    )
    is_taken = (answers or {}).get(question.key) in set(choice.mapping) - set(free)
    answer = question.answered(answers) if free and not is_taken else None
    if answer is not None:
        unit = split_header(answer)[1]
        unit = unit if unit and factor_to(column, unit) is not None else ""
        choice.taken[column.name] = ColumnMatch(answer, column.name, 1.0, unit)
        choice.mapping[answer] = column.name
    elif free and ask:
        choice.questions.append(question)
    else:
        problem = _("there is no column {name}", name=column.name)
        mend = _("add it to the header")
        if column.choices and not column.open_choices:
            mend = _(
                "add it to the header, with {choices} in each row",
                choices=_(" or ").join(column.choices),
            )
        choice.refusals.append(_of_header(raw, table, "", problem, mend, column.name))


def _of_header(
    raw: RawTable, table: Table, value: str, problem: str, mend: str, column: str = ""
) -> Refusal:
    return Refusal(table.name, 1, column, value, problem, mend, raw.source)
