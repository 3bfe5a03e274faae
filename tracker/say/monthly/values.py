"""The whole review as tables, as plain values and as lines: for files and the command line."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import date
from functools import partial
from typing import Any

import pandas as pd

from tracker.language import _
from tracker.review.action_list import ListedAction
from tracker.review.month import MonthReview
from tracker.say import numbers, part_types
from tracker.say.drift import drift_sentence
from tracker.say.maintenance.kept import month_sentence
from tracker.say.maintenance.skipping import skipping_sentence
from tracker.say.maintenance.value.value_verdict import answer_in_short
from tracker.say.monthly import sentences as said
from tracker.say.monthly.actions import action_lines, worded
from tracker.say.monthly.answer import headline
from tracker.say.monthly.corrections import corrections_sentence
from tracker.say.monthly.findings import (
    key_figures,
    printers_sentence,
    suspicion_evidence,
    suspicion_sentence,
    trend_sentence,
)
from tracker.say.monthly.tables import MONEY, plain_number
from tracker.say.phrases import span
from tracker.say.spares import preorder, stock

ACTION_COLUMNS = ("month", "what", "why", "state", "assigned_to", "done_on", "note")


def tables(review: MonthReview) -> dict[str, pd.DataFrame]:
    """Every figure as a table, by file name without ending."""
    happened, ahead = review.happened, review.ahead
    named = {
        "failures": happened.failures.reset_index(),
        "causes": happened.causes,
        "failures_one_by_one": happened.events,
        "accidents": happened.accidents.reset_index(),
        "parts_used": happened.parts_used.reset_index(),
        "hours_stood_still": happened.hours.rename_axis("printer").reset_index(),
        "stoppages": happened.stops.rename_axis("printer").reset_index(),
        "money": happened.money.rename_axis("item").reset_index(),
        "against_expectation": review.expected,
        "suspicions": _rows(review.suspicions),
        "routine_kept": review.kept,
        "cost_of_skipping": review.skipping.rows,
        "stoppage_trend": review.stoppage_trend.printers,
        "drop_out_trend": review.drop_out_trend.printers,
        "printer_levels": review.printer_levels,
        "need_ahead": ahead.need,
        "orders": with_reasons(ahead.orders, stock.reason).drop(columns="chance_of_need"),
        "order_dates": with_reasons(
            ahead.order_dates, partial(preorder.reason, currency=review.currency)
        ).drop(columns="curve"),
        "planned_changes": ahead.planned,
        "warranty_claims": ahead.claims,
        "actions": action_table(worded(review)),
        "key_figures": _rows(key_figures(review.key_figures)),
    }
    return {name: table.reset_index(drop=True) for name, table in named.items()}


def with_reasons(rows: pd.DataFrame, reason: Callable[[Any], str]) -> pd.DataFrame:
    """The rows with the words for each in a column ``reason``."""
    return rows.assign(reason=[reason(row) for row in rows.itertuples()])


def as_dict(review: MonthReview) -> dict[str, Any]:
    """The whole review as plain values, days as ISO text; the same each time."""
    return {
        "month": f"{review.month:%Y-%m}",
        "as_of": review.as_of.isoformat(),
        "whole_month": review.whole,
        "workshop": review.workshop,
        "currency": review.currency,
        "months_compared": review.months_compared,
        "headline": headline(review),
        "routine": month_sentence(review.kept),
        "skipping": skipping_sentence(review.skipping, review.currency),
        "does_it_pay": answer_in_short(review.routine_value),
        "stoppage_trend_sentence": trend_sentence(review.stoppage_trend),
        "drop_out_trend_sentence": trend_sentence(review.drop_out_trend),
        "printers_sentence": printers_sentence(review.printer_levels),
        "corrected": corrections_sentence(review.corrections),
        "note": review.note,
        "drift": _plain_drift(review),
        **{name: _plain(table) for name, table in tables(review).items()},
    }


def lines(review: MonthReview) -> list[str]:
    """The review as plain lines for the command line."""
    happened, skipping = review.happened, skipping_sentence(review.skipping, review.currency)
    pays = answer_in_short(review.routine_value)
    corrected = corrections_sentence(review.corrections)
    harder = printers_sentence(review.printer_levels)
    return [
        "",
        _("To do next:"),
        *action_lines(worded(review), review.note),
        "",
        _("What happened (this month; month before; usual):"),
        *(
            _("  {part}: {counts} failed", part=part_types.label(*part), counts=_three(row))
            for part, row in happened.failures.iterrows()
        ),
        *([_("  No failure, this month or in the year before.")] * happened.failures.empty),
        *(
            _("  {printer}: {hours} h stood still (working hours)", printer=name, hours=_three(row))
            for name, row in happened.hours.iterrows()
        ),
        "",
        _("Was that unusual?"),
        f"  {said.unusual_sentence(review)}",
        *(f"  {suspicion_sentence(bad)} {suspicion_evidence(bad)}" for bad in review.suspicions),
        *([f"  {drift_sentence(review.drift)}"] if review.drift else []),
        "",
        _("Money ({currency}; this month; month before; usual):", currency=review.currency),
        *(f"  {_(MONEY[str(name)])}: {_three(row)}" for name, row in happened.money.iterrows()),
        "",
        _("Routine: {kept}", kept=month_sentence(review.kept)),
        *([f"  {skipping}"] if skipping else []),
        *([f"  {pays}"] if pays else []),
        _("Stoppages: {trend}", trend=trend_sentence(review.stoppage_trend)),
        _("Drop-outs: {trend}", trend=trend_sentence(review.drop_out_trend)),
        *([_("Part failures: {harder}", harder=harder)] if harder else []),
        "",
        _("Key figures:"),
        *(f"  {figure.name}: {figure.text}" for figure in key_figures(review.key_figures)),
        "",
        _("Planned changes: {planned}", planned=said.planned_sentence(review.ahead.planned)),
        "",
        _("Need in the next 1, 3 and 6 months (holds in 8 of 10 cases):"),
        *(
            f"  {part_types.of(row)}: {span(row.low_1, row.high_1)}; "
            f"{span(row.low_3, row.high_3)}; {span(row.low_6, row.high_6)}"
            for row in review.ahead.need.itertuples()
        ),
        *(["", corrected] if corrected else []),
    ]


def action_table(actions: Sequence[ListedAction]) -> pd.DataFrame:
    """The worded list as a table with ACTION_COLUMNS, in its order."""
    return pd.DataFrame(
        [{name: getattr(act, name) for name in ACTION_COLUMNS} for act in actions],
        columns=list(ACTION_COLUMNS),
    )


def _plain_drift(review: MonthReview) -> dict[str, Any] | None:
    """The change of lives as plain values, None where there is none."""
    found = review.drift
    if found is None:
        return None
    facts = (found.changed_since, found.factor, found.lower, found.upper)
    return dict(zip(("changed_since", "factor", "lower", "upper"), map(_value, facts), strict=True))


def _three(row: pd.Series) -> str:
    """This month, the month before and the mean, where there is anything earlier."""
    known = [plain_number(row[name]) for name in ("this_month", "month_before")]
    mean = row["mean_before"]
    if pd.isna(mean):
        return known[0]
    return f"{known[0]}; {known[1]}; {numbers.decimal(mean, 1)}"


def _rows(items: Iterable[Any]) -> pd.DataFrame:
    """Results of one sort as a table, a column for each of their fields."""
    return pd.DataFrame(
        [
            {
                name: "; ".join(value) if isinstance(value, tuple) else value
                for name, value in vars(item).items()
            }
            for item in items
        ]
    )


def _plain(table: pd.DataFrame) -> list[dict[str, Any]]:
    return [
        {str(name): _value(value) for name, value in row.items()}
        for row in table.to_dict(orient="records")
    ]


def _value(value: Any) -> Any:
    if isinstance(value, (pd.Timestamp, date)):
        return None if pd.isna(value) else value.isoformat()[:10]
    if hasattr(value, "item"):
        value = value.item()
    if value is None or value is pd.NaT:
        return None
    if isinstance(value, float):
        return round(value, 10) if abs(value) < float("inf") else None
    return value
