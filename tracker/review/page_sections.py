"""The sections of the printed review: what happened, expected, kept, and what comes."""

from __future__ import annotations

import pandas as pd

from tracker.decisions import wording
from tracker.records import vocabulary as vocab
from tracker.review import words
from tracker.review.month import MonthReview
from tracker.review.pace import Pace
from tracker.review.page_blocks import (
    compared,
    figure,
    first_up,
    more_in_the_tables,
    paragraph,
    table,
)

MOST_PRINTERS = 12
MOST_ROWS = 16
MOST_OVER = 4
MOST_TASKS = 10


def happened(review: MonthReview) -> str:
    """Failures by part and cause, one by one, and parts used."""
    from tracker.review.drawings import causes_drawing

    month = review.happened
    told = [f"<h2>What happened</h2>{paragraph(first_up(words.failures_sentence(review)) + '.')}"]
    if (month.causes["this_month"] > 0).any():
        caption = (
            "Failures of the month by part and cause, the commonest first; the upright mark is a "
            "usual month."
        )
        told.append(figure(causes_drawing(month.causes), caption))
    if len(month.failures):
        told.append(compared("Failed, by part", _recent(month.failures), vocab.part_label))
        told.append(_causes(review))
    if len(month.events):
        told.append(_events(month.events))
    if len(month.parts_used):
        used = _recent(month.parts_used)
        told.append(compared("Parts fitted (pieces)", used, vocab.part_label))
    return "".join(told)


def _recent(rows: pd.DataFrame) -> pd.DataFrame:
    """What happened in the month or the one before; the whole year is in the CSV tables."""
    return rows[(rows["this_month"] > 0) | (rows["month_before"] > 0)]


def _causes(review: MonthReview) -> str:
    causes = review.happened.causes
    rows = _recent(causes).set_index("part_kind").iloc[:MOST_ROWS]
    labels = [
        f"{vocab.part_label(str(kind))}: {cause}"
        for kind, cause in zip(rows.index, rows["cause"], strict=True)
    ]
    figures = rows.drop(columns="cause").set_axis(labels)
    return compared("Failed, by part and cause", figures, str)


def _events(events: pd.DataFrame) -> str:
    rows = [
        (wording.day(row.removed_on, year=False), row.printer,
         vocab.part_label(row.part_kind)
         + ("" if row.position == row.part_kind else f" {row.position}"),
         wording.days(row.age) if row.age == row.age else "not known",
         row.mode or ("accident" if row.outcome == "accident" else "not noted"),
         " ".join(filter(None, (row.supplier, row.batch))), row.note)
        for row in events.iloc[:MOST_ROWS].itertuples()
    ]  # fmt: skip
    heads = ("Day", "Printer", "Part", "Age", "Cause", "Supplier, batch", "Note")
    noted = len(heads) if any(row[-1] for row in rows) else len(heads) - 1
    return table(heads[:noted], [row[:noted] for row in rows]) + more_in_the_tables(
        len(events) - MOST_ROWS
    )


def against_expectation(review: MonthReview) -> str:
    """Observed beside expected, suspicious batches, and what is getting worse."""
    from tracker.review.drawings import expected_drawing

    told = [f"<h2>Against expectation</h2>{paragraph(words.unusual_sentence(review))}"]
    over = [bad for bad in review.suspicions if bad.is_over]
    told += [paragraph(bad.sentence, "bad") for bad in review.suspicions if not bad.is_over]
    told += [paragraph(bad.sentence, "small") for bad in over[:MOST_OVER]]
    told.append(more_in_the_tables(len(over) - MOST_OVER))
    if len(review.expected):
        caption = (
            "Failures seen beside what the model, as it stood on the day before the month, "
            "expected."
        )
        told.append(figure(expected_drawing(review.expected), caption))
        told.append(_expected(review.expected))
    return "".join(told)


def _expected(rows: pd.DataFrame) -> str:
    printers = rows[rows["what"] == "printer"].sort_values("chance", kind="stable")
    shown = pd.concat(
        [rows[rows["what"].isin(["all", "part_kind"])], printers.iloc[:MOST_PRINTERS].sort_index()]
    )
    cells = [
        (words.who(row["what"], row["name"]), row["observed"],
         wording.figure(row["expected"]), f"{row['low']} to {row['high']}",
         wording.chance(row["chance"]) if row["observed"] else "–")
        for row in shown.to_dict(orient="records")
    ]  # fmt: skip
    heads = ("", "Failed", "Expected", "80 % range", "Chance of so many or more")
    return table(heads, cells, numeric=(1, 2, 3, 4)) + more_in_the_tables(
        len(printers) - MOST_PRINTERS
    )


def getting_worse(review: MonthReview) -> str:
    """Stoppages and drop-outs of each printer added up."""
    both = (review.pace, review.drop_outs)
    pictures = "".join(_pace(pace) for pace in both)
    told = "".join(paragraph(pace.sentence, "lead") for pace in both)
    return f'<h2>Is a printer getting worse?</h2>{told}<div class="pair">{pictures}</div>'


def _pace(pace: Pace) -> str:
    from tracker.review.drawings import pace_drawing

    if pace.curves.empty:
        return ""
    caption = (
        f"{pace.what.capitalize()}s of each printer added up since it was first watched; a line "
        "bending upwards is getting worse."
    )
    return figure(pace_drawing(pace), caption)


def money(review: MonthReview) -> str:
    """Hours stood still and what the month cost."""
    spent = review.happened.money
    total = pd.DataFrame([spent.sum(min_count=1)], index=["All"])
    both = pd.concat([spent.rename(index=review.money_label), total])
    hours = review.happened.hours
    return (
        "<h2>Hours and money</h2>"
        + compared(
            "Hours stood still (working hours)", hours, str, lambda h: f"{h:.1f}",
            most=MOST_PRINTERS,
        )
        + compared("Money", both, str, lambda amount: wording.money(amount, review.currency))
    )  # fmt: skip


def routine(review: MonthReview) -> str:
    """Share of due tasks done in time, what was skipped, and what that cost."""
    told = f"<h2>Routine kept</h2>{paragraph(review.kept_sentence)}"
    told += paragraph(review.skipping.sentence)
    if review.kept.empty:
        return told
    counts = ["due", "in_time", "late", "missed"]
    by_printer = review.kept.groupby("printer", sort=False)[counts].sum()
    by_printer["share"] = by_printer["in_time"] / by_printer["due"]
    worst = by_printer.sort_values("share", kind="stable").iloc[:MOST_PRINTERS]
    printers = by_printer[by_printer.index.isin(worst.index)]
    rows = [_kept_row(str(name), "all tasks", row) for name, row in printers.iterrows()]
    not_kept = review.kept[review.kept["share"] < 1]
    by_share = not_kept.assign(kept_not=not_kept["due"] - not_kept["in_time"])
    not_kept = by_share.sort_values("kept_not", ascending=False, kind="stable")
    rows += [
        _kept_row(row["printer"], vocab.task_label(row["task"]), row)
        for _, row in not_kept.iloc[:MOST_TASKS].iterrows()
    ]
    heads = ("Printer", "Task", "Due", "In time", "Late", "Not done", "Share in time")
    left_out = len(by_printer) - len(printers) + max(0, len(not_kept) - MOST_TASKS)
    told += table(heads, rows, numeric=(2, 3, 4, 5, 6)) + more_in_the_tables(left_out)
    return told + _skipping(review)


def _kept_row(printer: str, task: str, row: pd.Series) -> tuple[str, ...]:
    counts = (f"{row[name]:.0f}" for name in ("due", "in_time", "late", "missed"))
    return (printer, task, *counts, f"{100 * row['share']:.0f} %")


def _skipping(review: MonthReview) -> str:
    rows = review.skipping.rows
    told, untold = rows[rows["told"].astype(bool)], rows[~rows["told"].astype(bool)]
    cells = [
        (vocab.task_label(row.task), row.skipped, vocab.part_label(row.part_kind), row.failures,
         wording.figure(row.extra), wording.money(row.cost, review.currency),
         f"{wording.money(row.cost_low, review.currency)} to "
         f"{wording.money(row.cost_high, review.currency)}",
         wording.chance(row.chance_it_cost))
        for row in told.itertuples()
    ]  # fmt: skip
    heads = (
        "Task skipped", "Times", "Part it protects", "Failures so far", "Extra failures", "Cost",
        "80 % range", "Chance it cost",
    )  # fmt: skip
    said = table(heads, cells, numeric=(1, 3, 4, 5, 6, 7)) if cells else ""
    if untold.empty:
        return said
    tasks = []
    for task, kinds in untold.groupby("task", sort=False):
        parts = ", ".join(
            f"{vocab.part_label(row.part_kind).lower()} ({wording.count(row.failures, 'failure')})"
            for row in kinds.itertuples()
        )
        tasks.append(f"{vocab.task_label(str(task))} for {parts}")
    return said + paragraph(f"Effect cannot be told yet: {'; '.join(tasks)}.", "small")


def ahead(review: MonthReview) -> str:
    """Need of the next months, what to order by when, planned changes, warranty claims."""
    pieces = [_need(review), _orders(review), _planned(review), _claims(review)]
    told = "".join(piece for piece in pieces if piece)
    return f"<h2>The next months</h2>{told}" if told else ""


def _need(review: MonthReview) -> str:
    if review.need.empty:
        return ""
    rows = [
        (vocab.part_label(row.part_kind), row.fitted,
         *(f"{wording.figure(getattr(row, f'mean_{m}'))} "
           f"({getattr(row, f'low_{m}')} to {getattr(row, f'high_{m}')})" for m in (1, 3, 6)))
        for row in review.need.itertuples()
    ]  # fmt: skip
    heads = ("Part", "Fitted", "1 month", "3 months", "6 months")
    lead = "Pieces likely to be needed, with the range that holds in 8 of 10 cases."
    return paragraph(lead, "lead") + table(heads, rows, numeric=(1, 2, 3, 4))


def _orders(review: MonthReview) -> str:
    dated, stocked = review.order_dates, review.orders
    rows = []
    for (kind, day), same in dated.groupby(["part_kind", "order_by"], sort=False):
        others = f" and {len(same) - 1} more" if len(same) > 1 else ""
        first = next(same.itertuples())
        rows.append(
            (vocab.part_label(str(kind)), words.place(first) + others, str(len(same)),
             wording.day(day), wording.money(same["unit_cost"].sum(), review.currency))
        )  # fmt: skip
    rows += [
        (vocab.part_label(row.part_kind), "shelf", f"{row.order_now:.0f}", "now",
         wording.money(row.cost, review.currency))
        for row in stocked.itertuples() if row.part_kind not in set(dated["part_kind"])
    ]  # fmt: skip
    if not rows:
        return "<h3>What to order by when</h3><p>Nothing within the next month.</p>"
    heads = ("Part", "For", "Pieces", "Order by", "Cost")
    return (
        "<h3>What to order by when</h3>"
        + table(heads, rows[:MOST_ROWS], numeric=(2, 3, 4))
        + more_in_the_tables(len(rows) - MOST_ROWS)
    )


def _planned(review: MonthReview) -> str:
    head = "<h3>Planned changes that fall due</h3>"
    if review.planned.empty:
        return head + paragraph(first_up(words.planned_sentence(review.planned)))
    rows = [
        (vocab.part_label(row.part_kind), words.place(row), wording.days(row.age_days),
         wording.days(row.change_at_days), wording.day(row.due_on), wording.chance(row.saving))
        for row in review.planned.iloc[:MOST_ROWS].itertuples()
    ]  # fmt: skip
    heads = ("Part", "In", "Age now", "Change at", "Due on", "Saves")
    lead = (
        "Parts that reach, within six months, the age at which a planned change is cheaper than "
        "running to failure; “saves” is the share of that cost."
    )
    return (
        head
        + paragraph(lead, "lead")
        + table(heads, rows, numeric=(2, 3, 4, 5))
        + more_in_the_tables(len(review.planned) - MOST_ROWS)
    )


def _claims(review: MonthReview) -> str:
    if review.claims.empty:
        return ""
    rows = [
        (vocab.part_label(row.part_kind), words.place(row), row.supplier, row.serial,
         wording.day(row.failed_on), wording.days(row.age_days), wording.day(row.warranty_ends))
        for row in review.claims.iloc[:MOST_ROWS].itertuples()
    ]  # fmt: skip
    heads = ("Part", "From", "Supplier", "Serial", "Failed on", "Age", "Warranty to")
    return (
        "<h3>Failed inside the warranty</h3>"
        + paragraph("Whether a claim was made is not written down.", "lead")
        + table(heads, rows)
        + more_in_the_tables(len(review.claims) - MOST_ROWS)
    )
