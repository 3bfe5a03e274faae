"""The paper log: one sheet of A4 per printer and month to write on beside the machine.

The sheet it is typed into (``log_grid``) has the same tables under the same headings.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from tracker.decisions.printer_month import PrinterMonth
from tracker.language import _
from tracker.paper import blocks
from tracker.paper.blocks import Block, Box
from tracker.paper.page import Page, Sheet
from tracker.say import paper_log as say
from tracker.workshop import vocabulary as vocab

_WIDTH, _DAY_WIDTH, _CHANNEL_WIDTH = 192.0, 14.0, 7.5  # mm; the tasks share what is left
_FEW_TASKS = 6  # whose short headings leave room for taller boxes on the page
_OTHER, _CHANGES, _STOPS = 3, 4, 2  # lines to write on
_OTHER_WIDTHS = (13.0, 42.0, 30.0, 85.0, 20.0)
_CHANGE_WIDTHS = (20.0, 28.0, 20.0, 32.0, 34.0, 22.0, 34.0)
_STOP_WIDTHS = (26.0, 26.0, 36.0, 24.0, 30.0)
_MONDAY = 0


def log_sheets(
    months: Sequence[PrinterMonth], workshop: str, as_of: date, *, is_demo: bool = False
) -> str:
    """A self-contained HTML file: for each printer its page of that month.

    Days down, the tasks of its routine across with the due ones marked, the missing nozzles of
    each check beside them; below, other work, part changes, stoppages, the counter.
    """
    month = months[0].month
    page = Page(
        workshop=workshop,
        title=_("Paper log, {say}", say=say.title(month)),
        known=say.printed_for(month, as_of),
        is_demo=is_demo,
    )
    return page.forms([Sheet(f"{one.printer}, {say.title(month)}", _sheet(one)) for one in months])


def _sheet(one: PrinterMonth) -> tuple[Block, ...]:
    return (
        blocks.paragraph(say.cautions(one.due), "small"),
        _calendar(one),
        _lines(
            Box(say.other_work(one.printer), aside=_(say.OTHER_HINT)),
            say.OTHER_WORK, _OTHER_WIDTHS, _OTHER, {say.WHY: _(say.EITHER_WHY)},
        ),
        _lines(
            Box(say.part_changes(one.printer), aside=_(say.CHANGE_HINT)),
            say.PART_CHANGES, _CHANGE_WIDTHS, _CHANGES,
        ),
        blocks.side_by_side(
            _lines(
                Box(say.stoppages(one.printer), aside=_(say.STOP_HINT)),
                say.STOPPAGES, _STOP_WIDTHS, _STOPS,
            ),
            _lines(Box(_(say.COUNTER_TITLE)), say.COUNTER, (1.0, 1.0), 1),
        ),
    )  # fmt: skip


def _calendar(one: PrinterMonth) -> Block:
    why = f"{_(say.WHY)}: {_(say.PLANNED)}"
    groups = [Box(why, "group", 1 + len(one.due), aside=_(say.PLANNED_HINT))]
    heads = [Box(_(say.DAY)), *(Box(vocab.task_label(task)) for task in one.due)]
    channels = sum(len(head.channels) for head in one.heads)
    left = _WIDTH - _DAY_WIDTH - channels * _CHANNEL_WIDTH
    widths = [_DAY_WIDTH, *[left / len(one.due)] * len(one.due)]
    for head in one.heads:
        groups.append(
            Box(
                say.missing_nozzles(head.position),
                "group edge",
                len(head.channels),
                aside=_(say.MISSING_HINT),
            )
        )
        heads += [Box(channel, _edge(at)) for at, channel in enumerate(head.channels)]
        widths += [_CHANNEL_WIDTH] * len(head.channels)
    rows = [_day(one, day) for day in one.days]
    kind = "roomy" if len(one.due) <= _FEW_TASKS else ""
    return blocks.boxes([groups, heads], rows, widths, kind=kind)


def _day(one: PrinterMonth, day: date) -> list[Box]:
    always = [
        "closed" if day in one.closed else "",
        "week" if day.weekday() == _MONDAY and day.day > 1 else "",
    ]

    def kind(*more: str) -> str:
        return " ".join(filter(None, (*always, *more)))

    marks = [
        Box("○", kind("due")) if day in days else Box(kind=kind()) for days in one.due.values()
    ]
    counts = [Box(kind=kind(_edge(at))) for head in one.heads for at in range(len(head.channels))]
    return [Box(say.weekday(day), kind("name")), *marks, *counts]


def _edge(at: int) -> str:
    """A thick line before the first column of a group."""
    return "" if at else "edge"


def _lines(
    title: Box, heads: Sequence[str], widths: Sequence[float], count: int,
    printed: Mapping[str, str] | None = None,
) -> Block:  # fmt: skip
    """Empty lines under a title and headings, with what is printed in each line already."""
    told = printed or {}
    rows = [[Box(told.get(head, "")) for head in heads] for _line in range(count)]
    top = [replace(title, kind="group", across=len(heads))]
    return blocks.boxes([top, [Box(_(head)) for head in heads]], rows, widths, kind="lines")
