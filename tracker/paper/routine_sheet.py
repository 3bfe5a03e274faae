"""One printed sheet that shows an owner or a customer whether a routine pays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import pandas as pd

from tracker.decisions.routine.answer import LAGS_TEXT, RoutineEffect
from tracker.paper import blocks
from tracker.paper.blocks import Block
from tracker.paper.page import Page
from tracker.say import numbers
from tracker.say.listing import Listing
from tracker.say.routine import saving_in_words
from tracker.workshop import vocabulary as vocab

_SHOWN = (1, 3, 7, 14, 30, 60, 90, 180)  # days between two times, beside those compared


@dataclass(frozen=True, eq=False)
class SheetLines:
    """What the page says of the same answer: its costs and its evidence line by line, and the
    ratio by the days left out as a table in words."""

    costs: Sequence[str]
    evidence: Sequence[str]
    lags: pd.DataFrame


def routine_sheet(effect: RoutineEffect, lines: SheetLines, workshop: str, currency: str) -> str:
    """A self-contained HTML page: the verdict, the money, the evidence, the doubts, the cautions.

    It fits on one side of A4 or Letter.
    """
    page = Page(
        workshop=workshop,
        title=f"Does it pay? {vocab.task_label(effect.task)}",
        known=f"as known on {numbers.day(effect.as_of)}",
        one_side=True,
    )
    doubts = [note for note in (effect.disagreement, *effect.notes) if note]
    task = vocab.TASKS.get(effect.task)
    return page.html(
        blocks.paragraph(effect.verdict, "answer"),
        _worth(effect, currency) if effect.is_enough else blocks.NOTHING,
        blocks.heading("What is counted in money"),
        blocks.bullets(lines.costs),
        blocks.heading("The evidence"),
        blocks.side_by_side(
            blocks.bullets(lines.evidence),
            blocks.joined(
                blocks.paragraph(f"The ratio by the days left out before each day. {LAGS_TEXT}"),
                blocks.table(_as_listing(lines.lags)),
            ),
        ),
        _before_after(effect),
        blocks.heading("What to know before relying on it") if doubts else blocks.NOTHING,
        blocks.bullets(doubts),
        blocks.heading("Cautions"),
        blocks.cautions(task.cautions if task else ()),
    )


def _worth(effect: RoutineEffect, currency: str) -> Block:
    money = partial(numbers.money, currency=currency)
    least = effect.least_cost()
    savings = [
        f"{name} a spare on the shelf: {saving_in_words(saving, money)}."
        for name, saving in (("With", effect.with_spare), ("Without", effect.without_spare))
    ]
    shown = {effect.every_days, effect.instead_of_days, least.every_days, *_SHOWN}
    curve = least.curve[least.curve["every_days"].isin(shown)]
    rows = Listing(
        ("every … days", "failures", "cost", "80 % range"),
        tuple(_interval(row, money) for row in curve.itertuples()),
        numeric=(0, 1, 2, 3),
    )
    return blocks.joined(
        blocks.heading("What it is worth"),
        blocks.side_by_side(
            blocks.bullets([*savings, *effect.interval_lines()]),
            blocks.joined(
                blocks.paragraph("Work and failures together, per printer and year:", "lead"),
                blocks.table(rows),
            ),
        ),
    )


def _interval(row: Any, money: Any) -> tuple[str, ...]:
    return (
        f"{row.every_days:g}",
        f"{row.failures_per_year:.1f}",
        money(row.cost),
        f"{money(row.p10)} to {money(row.p90)}",
    )


def _before_after(effect: RoutineEffect) -> Block:
    sentences = effect.history.sentences()
    if not sentences:
        return blocks.NOTHING
    return blocks.joined(
        blocks.heading("Before and after the schedule changed"),
        blocks.bullets(sentences),
        blocks.paragraph(" ".join(effect.history.remarks()), "small"),
    )


def _as_listing(rows: pd.DataFrame) -> Listing:
    """A table in words, all of its columns numbers."""
    cells = tuple(tuple(map(str, row)) for row in rows.itertuples(index=False))
    return Listing(tuple(map(str, rows.columns)), cells, tuple(range(len(rows.columns))))
