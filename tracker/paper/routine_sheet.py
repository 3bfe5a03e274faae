"""One printed sheet that shows an owner or a customer whether a routine pays."""

from __future__ import annotations

from functools import partial
from typing import Any

import pandas as pd

from tracker.decisions.routine.effect import RoutineEffect
from tracker.paper import blocks
from tracker.paper.blocks import Block
from tracker.paper.page import Page
from tracker.say import numbers
from tracker.say.listing import Listing
from tracker.say.maintenance.change import history_remarks, history_sentences
from tracker.say.maintenance.doubts import doubts
from tracker.say.maintenance.evidence import LAGS_TEXT, cost_lines, evidence_lines, lag_table
from tracker.say.maintenance.verdict import interval_lines, verdict, with_and_without_a_spare
from tracker.workshop import vocabulary as vocab

_SHOWN = (1, 3, 7, 14, 30, 60, 90, 180)  # days between two times, beside those compared


def routine_sheet(effect: RoutineEffect, workshop: str, currency: str) -> str:
    """A self-contained HTML page: the verdict, the money, the evidence, the doubts, the cautions.

    It fits on one side of A4 or Letter.
    """
    page = Page(
        workshop=workshop,
        title=f"Does it pay? {vocab.task_label(effect.task)}",
        known=f"as known on {numbers.day(effect.as_of)}",
        one_side=True,
    )
    found = doubts(effect)
    task = vocab.TASKS.get(effect.task)
    return page.html(
        blocks.paragraph(verdict(effect), "answer"),
        _worth(effect, currency) if effect.is_enough else blocks.NOTHING,
        blocks.heading("What is counted in money"),
        blocks.bullets(cost_lines(effect)),
        blocks.heading("The evidence"),
        blocks.side_by_side(
            blocks.bullets(evidence_lines(effect)),
            blocks.joined(
                blocks.paragraph(f"The ratio by the days left out before each day. {LAGS_TEXT}"),
                blocks.table(_as_listing(lag_table(effect))),
            ),
        ),
        _before_after(effect),
        blocks.heading("What to know before relying on it") if found else blocks.NOTHING,
        blocks.bullets(found),
        blocks.heading("Cautions"),
        blocks.cautions(task.cautions if task else ()),
    )


def _worth(effect: RoutineEffect, currency: str) -> Block:
    money = partial(numbers.money, currency=currency)
    least = effect.least_cost()
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
            blocks.bullets([*with_and_without_a_spare(effect), *interval_lines(effect)]),
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
    sentences = history_sentences(effect.history)
    if not sentences:
        return blocks.NOTHING
    return blocks.joined(
        blocks.heading("Before and after the schedule changed"),
        blocks.bullets(sentences),
        blocks.paragraph(" ".join(history_remarks(effect.history)), "small"),
    )


def _as_listing(rows: pd.DataFrame) -> Listing:
    """A table in words, all of its columns numbers."""
    cells = tuple(tuple(map(str, row)) for row in rows.itertuples(index=False))
    return Listing(tuple(map(str, rows.columns)), cells, tuple(range(len(rows.columns))))
