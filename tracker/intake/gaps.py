"""What every row needs and no column has: taken from a title, asked once for all rows."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import date, timedelta

from tracker.intake.cells.months import bare
from tracker.intake.cells.typed import as_text
from tracker.intake.drafts import Draft
from tracker.intake.files.raw_table import RawTable
from tracker.intake.headers.columns import counts_shelf, match_columns
from tracker.intake.layout.known import HEAD, Known
from tracker.intake.layout.meaning import DAY, sort_of
from tracker.intake.layout.titles import day_told
from tracker.intake.layout.words import COUNTED
from tracker.intake.names import EVERY
from tracker.intake.questions import COLUMNS, Question
from tracker.intake.talk import Talk
from tracker.intake.whose import Whose
from tracker.language import _
from tracker.workshop.declarations import Column, Table

_DAYS_BACK = 92
IN_COLUMN = "column: "  # before a header, among the choices


@dataclass
class Gaps:
    """The required columns that a raw table lacks; ``constants`` and ``mapping`` are filled in."""

    draft: Draft
    raw: RawTable
    table: Table
    mapping: dict[str, str]
    constants: dict[str, str]
    whose: Whose
    known: Known
    talk: Talk
    today: date | None
    notices: list[str] = field(default_factory=list)
    asked: bool = False

    def fill(self) -> None:
        """Settles each gap, or asks about it."""
        taken = self._taken()
        if "printer" in self.constants:
            self.constants["printer"] = self.whose.names.of(self.constants["printer"])
        for column in self.table.columns:
            if not column.required or column.name in taken or column.name in self.constants:
                continue
            if column.name == "printer" and self.table.name != "printers":
                self._printer(column)
            elif column.name == "position" and self.table.name == "fittings":
                self.constants["position"] = ""  # follows from the part, or is asked with it
            elif column.name == "position" and self._only_heads():
                self.constants["position"] = HEAD
            elif column.name == "task" and self.draft.told.task:
                self.constants["task"] = self.draft.told.task
            elif column.name == "part_kind" and self.draft.told.part:
                self.constants["part_kind"] = self.draft.told.part
            elif column.name == "moved_on" and (day := self._day_of_count()):
                self.constants[column.name] = str(day)
                self.notices.append(
                    _(
                        "{name}: no column holds the day, so all rows are of {day}, as the title "
                        "says.",
                        name=self.draft.name,
                        day=day,
                    )
                )
            elif column.kind == "day" and self._lacks_days():
                self._ask(column, self._days(), f"{self.draft.piece.source}|{column.name}")
            elif column.choices and not self.draft.strict:
                self._ask(column, column.choices, f"{self.draft.piece.source}|{column.name}")

        if self.table.name == "stock" and "reason" not in taken and self._counts_shelf():
            self.constants.setdefault("reason", "counted")

    def _counts_shelf(self) -> bool:
        """True where the pieces are those that lie there: on one day, by a heading or the title."""
        over = self.draft.header_of(self.raw, "quantity")
        if over is not None and any(
            as_text(cell)[:1] == "-" for cell in self.raw.column(over).cells
        ):
            return False
        day = self.draft.header_of(self.raw, "moved_on")
        counted = (text for text in (day, *self.draft.titles) if text is not None)
        return (
            "moved_on" in self.constants
            or (over is not None and counts_shelf(over))
            or any(re.search(COUNTED, bare(text)) for text in counted)
        )

    def _day_of_count(self) -> date | None:
        return day_told(self.draft.titles) if self._counts_shelf() else None

    def _lacks_days(self) -> bool:
        """True where no column is left that could hold the day."""
        free = [header for header in self.raw.header if not self.mapping.get(header)]
        days = any(
            sort_of(cell) == DAY for header in free for cell in self.raw.column(header).cells
        )
        return not (self.draft.strict or days or self.today is None)

    def _days(self) -> tuple[str, ...]:
        """Days that may be meant for all rows, today first."""
        assert self.today is not None
        return tuple(str(self.today - timedelta(days=back)) for back in range(_DAYS_BACK))

    def _only_heads(self) -> bool:
        """True where nozzles are checked and no printer has more than its one head."""
        heads = {self.known.positions(printer, "head") for printer in self.whose.printers}
        return self.table.name == "nozzle_checks" and heads == {(HEAD,)}

    def _taken(self) -> set[str]:
        if self.draft.result.mapping is None and not self.draft.strict:
            return set(self.raw.header)
        matches = match_columns(self.raw.header, self.table, self.mapping)
        return {match.column for match in matches if match.column}

    def _printer(self, column: Column) -> None:
        told = self.draft.told
        if told.printer:
            self.constants["printer"] = told.printer
            return
        named = self.whose.names.by_text.get(told.named, "") if told.named else ""
        if named:
            self.constants["printer"] = named
            return
        if len(self.whose.printers) == 1:
            self.constants["printer"] = self.whose.printers[0]
            self.notices.append(
                _(
                    "{name}: no column names a printer, so all rows are of {printers}, the "
                    "only one.",
                    name=self.draft.name,
                    printers=self.whose.printers[0],
                )
            )
            return
        if self.whose.printers:
            self._ask(column, (*self.whose.printers, EVERY), f"{self.draft.piece.key}|printer")

    def _ask(self, column: Column, choices: tuple[str, ...], filed: str) -> None:
        """One value for all rows, or the column that holds it."""
        free = [
            header
            for header, name in self.mapping.items()
            if not name and header in self.raw.header
        ]
        if self.draft.result.mapping is not None:
            named = {*self.mapping}
            free += [header for header in self.raw.header if header not in named]
        free = [
            header for header in free if any(cell != "" for cell in self.raw.column(header).cells)
        ]
        question = Question(
            column.name,
            _(
                "no column holds “{name}” ({means}). Which is it, for all rows?",
                name=column.name,
                means=column.means,
            ),
            (*choices, *(IN_COLUMN + header for header in free)),
            tuple(
                " | ".join(filter(None, self.raw.row_text(at)))
                for at in range(min(2, len(self.raw.row_numbers)))
            ),
            COLUMNS,
            self.draft.piece.source if filed.endswith(column.name) else self.draft.name,
            filed=filed,
        )
        answer = self.talk.ask(question)
        if answer is None:
            self.asked = True
        elif answer.startswith(IN_COLUMN):
            self.mapping[answer.removeprefix(IN_COLUMN)] = column.name
        else:
            self.constants[column.name] = answer
