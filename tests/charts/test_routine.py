"""The picture of what a routine costs by its interval: work and every kind on each other."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tracker.charts.picture import Band, Points
from tracker.charts.routine import routine_picture
from tracker.charts.screen import on_screen
from tracker.decisions.routine.cost_stack import CostStack

STACK = CostStack(
    every_days=np.array([1.0, 10.0, 100.0]),
    work=np.array([390.0, 39.0, 3.9]),
    by_kind={"head": np.array([5.0, 80.0, 200.0]), "damper": np.array([5.0, 81.0, 96.1])},
    together=np.array([400.0, 200.0, 300.0]),
    low=np.array([380.0, 150.0, 220.0]),
    high=np.array([420.0, 260.0, 410.0]),
)


def test_work_and_every_kind_stand_on_each_other_up_to_the_whole() -> None:
    picture = routine_picture(STACK, "EUR", {}, 10.0, not_told=("head",))
    bands = [mark for mark in picture.marks if isinstance(mark, Band)]
    # What the log knows stands on the ground, so the head comes last and is pale.
    assert [band.name for band in bands] == [
        "Work", "Damper failures", "Printhead failures, the log cannot tell yet",
    ]  # fmt: skip
    assert list(bands[0].low) == [0, 0, 0]
    assert list(bands[1].low) == list(bands[0].high) == [390, 39, 3.9]
    assert list(bands[2].low) == list(bands[1].high) == [395, 120, 100]
    assert list(bands[2].high) == list(STACK.together)
    assert bands[2].opacity < bands[1].opacity == bands[0].opacity
    assert picture.y.title == "€ per printer and year"


def test_no_two_layers_differ_by_colour_alone() -> None:
    picture = routine_picture(STACK, "EUR", {}, 10.0)
    hatches = [mark.hatch for mark in picture.marks if isinstance(mark, Band)]
    assert len(set(hatches)) == 3
    drawn = [trace.fillpattern.shape for trace in on_screen(picture).data if trace.fill]
    assert [shape or "" for shape in drawn] == hatches


def test_the_schedules_and_the_least_cost_sit_on_the_stack() -> None:
    marked = {"In force today: every 32 days": (10 * math.sqrt(10),), "Compared": (1.0, 100.0)}
    picture = routine_picture(STACK, "EUR", marked, 10.0)
    now, compared, least = (mark for mark in picture.marks if isinstance(mark, Points))
    # Half-way between 10 and 100 on the log axis lies half-way between 200 and 300.
    assert list(now.y) == pytest.approx([250])
    assert list(compared.y) == [400, 300]
    assert (list(least.x), list(least.y)) == ([10], [200])
    assert least.name == "Least cost: every 10 days"
    assert len({now.form, compared.form, least.form}) == 3


def test_a_task_that_is_in_no_routine_has_no_mark_for_today() -> None:
    picture = routine_picture(STACK, "EUR", {"In force today: none": (), "Compared": (1.0,)}, 10.0)
    assert [m.name for m in picture.marks if isinstance(m, Points)] == [
        "Compared", "Least cost: every 10 days",
    ]  # fmt: skip
