"""A list of usual figures to correct: what was changed is kept, and each figure is read again.

A browser's own checks may alter what was typed, so the cells are text and are checked here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import pandas as pd
import streamlit as st

from pages.forms.fields import number_in
from pages.sections.start import said
from tracker.errors import RecordError
from tracker.language import _
from tracker.workshop.declarations import Column

EMPTIED = "–"
_ALL, _WIDTH = 355, 70  # pixels of a phone, of one figure; the name has the rest


@dataclass(frozen=True)
class FigureList:
    """A list by its name; ``rows`` are labels by their keys, ``columns`` heads by their names.

    ``usual`` holds the figure of each (row, column) as text; where ``of`` is another, the list on
    screen begins anew with what is usual then.
    """

    name: str
    about: str
    rows: Mapping[str, str]
    columns: Mapping[str, str]
    usual: Mapping[tuple[str, str], str]
    of: str = ""

    def text(self, row: str, column: str) -> str:
        """What stands in a cell now; "" where it was emptied."""
        kept = said.answer(self._at(row, column), self.usual[row, column])
        return "" if kept == EMPTIED else kept

    def changed(self, row: str, column: str) -> bool:
        """Does a cell say something else than what is usual?"""
        return self.text(row, column) != self.usual[row, column]

    def number(self, row: str, column: str, rule: Column) -> float | None:
        """A cell as a number, None where it was emptied; RecordError says what cannot be."""
        text = self.text(row, column)
        field = f"{self.rows[row]}, {self.columns[column].lower()}"
        number = number_in(text, rule, field)
        if number is None:
            return None
        if rule.at_most is not None and number > rule.at_most:
            raise RecordError(
                _(
                    "{field}: {text} is more than {at_most}; write at most {at_most}.",
                    field=field,
                    text=text,
                    at_most=f"{rule.at_most:g}",
                )
            )
        return number

    def show(self) -> None:
        """The list on screen; a tap on a cell corrects it."""
        editor, begun = f"list-{self.name}{self.of}", f"listed-{self.name}{self.of}"
        if editor not in st.session_state:  # what it begins with stays while it is on screen
            st.session_state[begun] = self._frame()
        shown = st.data_editor(
            st.session_state[begun], key=editor, hide_index=True, width="stretch",
            num_rows="fixed", disabled=["what"],
            column_config={
                "what": st.column_config.TextColumn(
                    self.about, width=_ALL - _WIDTH * len(self.columns)
                ),
                **{
                    name: st.column_config.TextColumn(head, width=_WIDTH)
                    for name, head in self.columns.items()
                },
            },
        )  # fmt: skip
        for row in self.rows:
            for column in self.columns:
                cell = shown.loc[row, column]
                text = "" if cell is None or cell != cell else str(cell).strip()
                usual = text == self.usual[row, column]
                said.put(self._at(row, column), "" if usual else text or EMPTIED)

    def _frame(self) -> pd.DataFrame:
        rows = {
            row: {"what": label} | {column: self.text(row, column) for column in self.columns}
            for row, label in self.rows.items()
        }
        return pd.DataFrame.from_dict(rows, orient="index", dtype=object)

    def _at(self, row: str, column: str) -> str:
        return f"{self.name}:{row}:{column}"
