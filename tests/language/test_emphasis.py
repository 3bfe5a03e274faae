"""Two stars make words of a sentence bold, never the words of a workshop that stand in it."""

from __future__ import annotations

from types import SimpleNamespace

import pandas as pd

from pages.shell.words import marked
from tracker.language import _, ngettext, unmarked
from tracker.say.maintenance.due import printer_line
from tracker.say.maintenance.due import task_line as task_in_words

JOINER = "\N{WORD JOINER}"


def test_stars_of_a_name_stay_stars_in_a_sentence_that_is_bold_itself() -> None:
    said = marked(_("**{printer}** – all done", printer="**x** y"))
    assert said.count("**") == 2
    assert said == f"**\\*{JOINER}\\*x\\*{JOINER}\\* y** – all done"
    assert marked(ngettext("{what} is due", "{what} are due", 2, what="**x**")).count("**") == 0
    assert marked(_("{a} and {b}", a="**", b="x**")).count("**") == 0


def test_a_printer_and_a_task_of_such_a_name_are_no_bolder_than_others() -> None:
    assert marked(printer_line("**P**", pd.DataFrame())).count("**") == 2
    row = SimpleNamespace(
        label="**wash**", minutes=float("nan"), every_days=7.0, every_m2=float("nan"),
        area_since_m2=float("nan"), days_late=0, shutdown=None, phase=None, last_done=pd.NaT,
        task="wash",
    )  # fmt: skip
    assert "**" not in marked(task_in_words(row))


def test_single_stars_and_sums_are_left_alone() -> None:
    assert unmarked("3 * 4 *x*") == "3 * 4 *x*"
