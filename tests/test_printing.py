"""What an answer looks like on a terminal, and how far a long one has come."""

from __future__ import annotations

import io
from datetime import date

import pytest

from tracker.commands import answers, order_dates, routine, stock, whole_routine
from tracker.commands.printing import end_line, progress_line, show
from tracker.commands.table_words import HEADINGS
from tracker.language import speaking
from tracker.say.replay import playing


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_a_terminal_sees_one_line_that_is_left_empty_at_the_end() -> None:
    shown = Terminal()
    tell = progress_line(playing, shown)
    assert tell is not None
    tell(0.4, date(2026, 3, 1))
    assert shown.getvalue().split("\r")[-1].rstrip() == " 40 %  Playing March 2026 again …"
    end_line(shown)
    assert shown.getvalue().split("\r")[-2].strip() == ""
    assert "\n" not in shown.getvalue()


def test_where_nobody_looks_nothing_is_written() -> None:
    shown = io.StringIO()
    assert progress_line(playing, shown) is None
    end_line(shown)
    assert shown.getvalue() == ""


def test_what_is_not_known_is_an_empty_cell(capsys: pytest.CaptureFixture[str]) -> None:
    show("", [{"risk": float("nan"), "day": None, "pieces": 2.0}])
    assert capsys.readouterr().out.splitlines()[-1].split() == ["2"]


def test_a_table_is_headed_and_filled_in_the_language_in_use(
    capsys: pytest.CaptureFixture[str],
) -> None:
    row = {"part_kind": "damper", "variant": "", "chance_of_failure": 0.39349, "printer": "Loft"}
    show("", [row])
    assert capsys.readouterr().out.split() == [
        "part", "kind", "variant", "chance", "of", "failure", "printer", "Damper", "0.393", "Loft",
    ]  # fmt: skip
    with speaking("es"):
        show("", [row])
    assert capsys.readouterr().out.split() == [
        "pieza", "variante", "prob.", "de", "avería", "impresora", "Dámper", "0,393", "Loft",
    ]  # fmt: skip


def test_every_column_that_a_command_shows_has_a_heading_to_translate() -> None:
    shown = {
        *answers._OUTLOOK[:-3], *stock._STOCK, *stock._SITES, *stock._BUDGET,
        *order_dates._PREORDER, *whole_routine._SHOWN, *routine._EFFECT,
    }  # fmt: skip
    shown -= {"chance_of_need", "curve", "reason"}  # in JSON alone
    assert {name.replace("_", " ") for name in shown} <= set(HEADINGS)
