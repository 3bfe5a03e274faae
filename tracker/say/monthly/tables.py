"""The review's tables in words, the same on the page and on paper."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

import pandas as pd

from tracker.language import N_, _
from tracker.say import numbers, part_types
from tracker.say.listing import Listing
from tracker.say.monthly.sentences import who
from tracker.say.phrases import shortened, span, where
from tracker.workshop import vocabulary as vocab

_LONGEST_CELL = 34
# Short: on a phone the amounts stand beside them.
MONEY = {
    "parts": N_("Parts fitted"),
    "labour": N_("Changing them (usual hours)"),
    "routine": N_("Tasks (minutes noted)"),
    "standing": N_("Margin lost while standing"),
    "scrap": N_("Spoiled goods"),
    "credited": N_("Credited under warranty"),
}


def failures(events: pd.DataFrame) -> Listing:
    """The month's failures one by one; the notes only where there are any."""
    rows = [
        (
            numbers.day(row.removed_on, year=False),
            row.printer,
            part_types.named(row),
            numbers.days(row.age) if row.age == row.age else _("not known"),
            vocab.said(row.mode)
            or (_("accident") if row.outcome == "accident" else _("not noted")),
            " ".join(filter(None, (row.supplier, row.batch))),
            row.note,
        )
        for row in events.itertuples()
    ]
    heads = (_("Day"), _("Printer"), _("Part"), _("Age"), _("Cause"), _("Supplier, lot"), _("Note"))
    noted = len(heads) if any(row[-1] for row in rows) else len(heads) - 1
    return Listing(heads[:noted], tuple(row[:noted] for row in rows))


def failures_in_short(events: pd.DataFrame) -> Listing:
    """The same in four columns: day, where, what and why."""
    whole = failures(events)
    return Listing(
        (_("Failed on"), _("Printer"), _("Part"), _("Cause")),
        tuple(
            (row[0], row[1], shortened(row[2], _LONGEST_CELL), shortened(row[4], _LONGEST_CELL))
            for row in whole.rows
        ),
    )


def expectation(rows: pd.DataFrame) -> Listing:
    """Failures beside what is normal and what is expected on average, a row for each comparison."""
    return Listing(
        (
            "",
            _("Failed"),
            _("Normal"),
            _("Expected of these parts"),
            _("Chance of so many or more by luck"),
        ),
        tuple(
            (
                who(row["what"], row["name"], row["variant"]),
                f"{row['observed']}",
                span(row["low"], row["high"]),
                numbers.figure(row["expected"]),
                numbers.chance(row["chance"]) if row["observed"] else "–",
            )
            for row in rows.to_dict(orient="records")
        ),
        (1, 2, 3, 4),
    )


def compared(
    title: str, rows: pd.DataFrame, label: Callable[[str], str], say: Callable[[float], str]
) -> Listing:
    """This month, the month before and the yearly mean, where there is anything earlier."""
    known = not rows["month_before"].isna().all()
    heads = (title, _("This month"), _("Month before"), _("Usual"))[: 4 if known else 2]
    names = ["this_month", "month_before", "mean_before"][: len(heads) - 1]
    return Listing(
        heads,
        tuple(
            (label(str(key)), *(say(row[name]) for name in names)) for key, row in rows.iterrows()
        ),
        (1, 2, 3),
    )


def by_part(title: str, rows: pd.DataFrame) -> Listing:
    """Pieces by type of part, where there were any this month or the month before."""
    rows = _recent(rows)
    labels = [part_types.label(*part) for part in rows.index]
    return compared(title, rows.set_axis(labels), str, plain_number)


def by_cause(causes: pd.DataFrame) -> Listing:
    """Failures by part and cause, where there were any this month or the month before."""
    rows = _recent(causes)
    labels = [
        f"{part_types.label(kind, variant)}: {vocab.said(cause)}"
        for kind, variant, cause in zip(
            rows["part_kind"], rows["variant"], rows["cause"], strict=True
        )
    ]
    figures = rows.drop(columns=["part_kind", "variant", "cause"]).set_axis(labels)
    return compared(_("Failed, by part and cause"), figures, str, plain_number)


def _recent(rows: pd.DataFrame) -> pd.DataFrame:
    """What happened in the month or the one before; the whole year is in the CSV tables."""
    return rows[(rows["this_month"] > 0) | (rows["month_before"] > 0)]


def hours(rows: pd.DataFrame) -> Listing:
    """Working hours stood still, by printer."""
    return compared(
        _("Hours stood still (working hours)"), rows, str, lambda h: numbers.decimal(h, 1)
    )


def money(rows: pd.DataFrame, currency: str) -> Listing:
    """What the month cost, item by item and in all: as written, the items add up to the total.

    With cents where any item has some.
    """
    rows = rows.map(lambda amount: numbers.half_up(amount, 2))
    cents = bool((rows.fillna(0.0) % 1 != 0).any(axis=None))
    total = pd.DataFrame([rows.sum(min_count=1)], index=[_("All")])
    names = {key: _(name) for key, name in MONEY.items()}
    both = pd.concat([rows.rename(index=names), total])
    return compared(_("Money"), both, str, partial(numbers.money, currency=currency, cents=cents))


def plain_number(value: float) -> str:
    """One decimal where there is one.

    >>> plain_number(3.0), plain_number(0.25)
    ('3', '0.3')
    """
    return numbers.decimal(value, 0 if numbers.half_up(value, 1).is_integer() else 1)


def routine(by_printer: pd.DataFrame, by_task: pd.DataFrame) -> Listing:
    """Due tasks and those done in time: each printer's in all, then those not always kept."""

    def cells(printer: str, task: str, row: pd.Series) -> tuple[str, ...]:
        counts = (f"{row[name]:.0f}" for name in ("due", "in_time", "late", "missed"))
        return (printer, task, numbers.percent(row["share"]), *counts)

    rows = [cells(str(name), _("all tasks"), row) for name, row in by_printer.iterrows()]
    rows += [
        cells(row["printer"], vocab.task_label(row["task"]), row)
        for _key, row in by_task.iterrows()
    ]
    heads = (
        _("Printer"),
        _("Task"),
        _("Share in time"),
        _("Due"),
        _("In time"),
        _("Late"),
        _("Not done"),
    )
    return Listing(heads, tuple(rows), (2, 3, 4, 5, 6))


def skipping(rows: pd.DataFrame, currency: str) -> Listing:
    """What skipping each task is estimated to have cost, where the log shows an effect.

    Where it did no harm the money stays empty: by luck alone such a row comes too.
    """
    say = partial(numbers.money, currency=currency)

    def estimate(row: Any) -> tuple[str, ...]:
        if row.chance_it_cost <= 0.5:
            return ("–", "–", _("{extra} fewer", extra=numbers.figure(-row.extra)))
        cost = _("{low} to {high}", low=say(row.cost_low), high=say(row.cost_high))
        return (say(row.cost), cost, numbers.figure(row.extra))

    return Listing(
        (
            _("Task skipped"),
            _("Part it protects"),
            _("Cost"),
            _("80 % range"),
            _("Extra failures"),
            _("Chance it cost"),
            _("Times"),
            _("Failures so far"),
        ),
        tuple(
            (
                vocab.task_label(row.task),
                vocab.part_label(row.part_kind),
                *estimate(row),
                numbers.chance(row.chance_it_cost),
                f"{row.skipped}",
                f"{row.failures}",
            )
            for row in rows[rows["told"].astype(bool)].itertuples()
        ),
        (2, 3, 4, 5, 6, 7),
    )


def need(rows: pd.DataFrame) -> Listing:
    """Pieces likely to be needed in one, three and six months, with their range."""
    return Listing(
        (_("Part"), _("Fitted"), _("1 month"), _("3 months"), _("6 months")),
        tuple(
            (
                part_types.of(row),
                f"{row.fitted}",
                *(
                    f"{numbers.figure(getattr(row, f'mean_{m}'))} "
                    f"({span(getattr(row, f'low_{m}'), getattr(row, f'high_{m}'))})"
                    for m in (1, 3, 6)
                ),
            )
            for row in rows.itertuples()
        ),
        (1, 2, 3, 4),
    )


def orders(dated: pd.DataFrame, stocked: pd.DataFrame, currency: str) -> Listing:
    """What to order by when: costly parts by their dates, the others now."""
    rows = []
    for (*_kind, day), same in dated.groupby(["part_kind", "variant", "order_by"], sort=False):
        others = _(" and {count} more", count=len(same) - 1) if len(same) > 1 else ""
        first = next(same.itertuples())
        rows.append(
            (
                part_types.of(first),
                str(len(same)),
                numbers.day(day),
                where(first) + others,
                numbers.money(same["unit_cost"].sum(), currency),
            )
        )
    rows += [
        (part_types.of(row), f"{row.order_now:.0f}", _("now"), _("shelf"),
         numbers.money(row.cost, currency))
        for row in stocked.itertuples()
    ]  # fmt: skip
    return Listing(
        (_("Part"), _("Pieces"), _("Order by"), _("For"), _("Cost")), tuple(rows), (1, 2, 4)
    )


def planned(rows: pd.DataFrame) -> Listing:
    """Planned changes that fall due, the earliest first."""
    return Listing(
        (_("Part"), _("In"), _("Due on"), _("Saves"), _("Change at"), _("Age now")),
        tuple(
            (
                part_types.of(row),
                where(row),
                numbers.day(row.due_on),
                numbers.chance(row.saving),
                numbers.days(row.change_at_days),
                numbers.days(row.age_days)
                if row.age_known
                else _("about {age}", age=numbers.days(row.age_days)),
            )
            for row in rows.itertuples()
        ),
        (2, 3, 4, 5),
    )


def claims(rows: pd.DataFrame) -> Listing:
    """Parts that failed inside their warranty and are not claimed yet."""
    return Listing(
        (
            _("Part"),
            _("From"),
            _("Warranty to"),
            _("Failed on"),
            _("Age"),
            _("Supplier"),
            _("Serial"),
        ),
        tuple(
            (
                part_types.of(row),
                where(row),
                numbers.day(row.warranty_ends),
                numbers.day(row.failed_on),
                numbers.days(row.age_days),
                row.supplier,
                row.serial,
            )
            for row in rows.itertuples()
        ),
    )
