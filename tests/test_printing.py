"""What an answer looks like on a terminal, and how far a long one has come."""

from __future__ import annotations

import io
from datetime import date

import pytest

from tracker.commands.printing import end_line, progress_line, show
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
