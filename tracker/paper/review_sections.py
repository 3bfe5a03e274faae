"""The sections of the printed review: what happened, expected, kept, and what comes."""

from __future__ import annotations

import pandas as pd

from tracker.paper.blocks import figure, more_in_the_tables, paragraph, shortened, table
from tracker.review.month import MonthReview
from tracker.review.printer_trend import Pace
from tracker.review.routine_kept import kept_by_printer, not_always_kept
from tracker.say import review_sentences, review_tables
from tracker.say.phrases import first_up
from tracker.say.routine_kept import month_sentence
from tracker.say.skipping import skipping_sentence

MOST_PRINTERS = 12
MOST_ROWS = 16
MOST_OVER = 4
MOST_TASKS = 10
_MOST_OF = {"printer": MOST_PRINTERS, "supplier": 6, "batch": 6}  # in the table of expectations


def happened(review: MonthReview) -> str:
    """Failures by part and cause, one by one, and parts used."""
    from tracker.paper.drawings import causes_drawing

    month = review.happened
    told = [
        "<h2>What happened</h2>",
        paragraph(first_up(review_sentences.failures_sentence(review)) + "."),
    ]
    if (month.causes["this_month"] > 0).any():
        caption = (
            "Failures of the month by part and cause, the commonest first; the upright mark is a "
            "usual month."
        )
        told.append(figure(causes_drawing(month.causes), caption))
    told.append(table(review_tables.by_part("Failed, by part", month.failures)))
    told.append(table(review_tables.by_cause(month.causes), MOST_ROWS))
    told.append(table(review_tables.failures(month.events), MOST_ROWS))
    told.append(table(review_tables.by_part("Parts fitted (pieces)", month.parts_used)))
    return "".join(told)


def against_expectation(review: MonthReview) -> str:
    """Observed beside expected, suspicious batches, and what is getting worse."""
    from tracker.paper.drawings import expected_drawing

    told = [f"<h2>Against expectation</h2>{paragraph(review_sentences.unusual_sentence(review))}"]
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
    """Every part kind; of printers, and of suppliers and batches with failures, the rarest."""
    kept = [rows[rows["what"].isin(["all", "part_kind"])]]
    for what, most in _MOST_OF.items():
        own = rows[rows["what"] == what].sort_values("chance", kind="stable")
        if what != "printer":
            own = own[own["observed"] > 0]
        kept.append(own.iloc[:most].sort_index())
    shown = pd.concat(kept)
    return table(review_tables.expectation(shown)) + more_in_the_tables(len(rows) - len(shown))


def getting_worse(review: MonthReview) -> str:
    """Stoppages and drop-outs of each printer added up."""
    both = (review.pace, review.drop_outs)
    pictures = "".join(_pace(pace) for pace in both)
    told = "".join(paragraph(pace.sentence, "lead") for pace in both)
    return f'<h2>Is a printer getting worse?</h2>{told}<div class="pair">{pictures}</div>'


def _pace(pace: Pace) -> str:
    from tracker.paper.drawings import pace_drawing

    if pace.curves.empty:
        return ""
    caption = (
        f"{pace.what.capitalize()}s of each printer added up since it was first watched; a line "
        "bending upwards is getting worse."
    )
    return figure(pace_drawing(pace), caption)


def money(review: MonthReview) -> str:
    """Hours stood still and what the month cost."""
    month = review.happened
    return (
        "<h2>Hours and money</h2>"
        + table(review_tables.hours(shortened(month.hours, MOST_PRINTERS)))
        + table(review_tables.money(month.money, review.money_label, review.currency))
    )


def routine(review: MonthReview) -> str:
    """Share of due tasks done in time, what was skipped, and what that cost."""
    told = f"<h2>Routine kept</h2>{paragraph(month_sentence(review.kept))}"
    told += paragraph(skipping_sentence(review.skipping, review.currency))
    by_printer, by_task = kept_by_printer(review.kept), not_always_kept(review.kept)
    worst = by_printer.sort_values("share", kind="stable").index[:MOST_PRINTERS]
    printers = by_printer[by_printer.index.isin(worst)]
    told += table(review_tables.routine(printers, by_task.iloc[:MOST_TASKS]))
    left_out = len(by_printer) - len(printers) + max(0, len(by_task) - MOST_TASKS)
    told += more_in_the_tables(left_out)
    told += table(review_tables.skipping(review.skipping.rows, review.currency))
    return told + paragraph(review_sentences.untold_sentence(review.skipping), "small")


def ahead(review: MonthReview) -> str:
    """Need of the next months, what to order by when, planned changes, warranty claims."""
    need = paragraph(review_sentences.NEED_LEAD, "lead") + table(review_tables.need(review.need))
    orders = review_tables.orders(review.order_dates, review.orders, review.currency)
    told = [
        "<h2>The next months</h2>",
        need if len(review.need) else "",
        "<h3>What to order by when</h3>",
        paragraph(first_up(review_sentences.orders_sentence(review)), "lead"),
        table(orders, MOST_ROWS),
        "<h3>Planned changes that fall due</h3>",
    ]
    if review.planned.empty:
        told.append(paragraph(first_up(review_sentences.planned_sentence(review.planned))))
    else:
        told.append(paragraph(review_sentences.PLANNED_LEAD, "lead"))
        told.append(table(review_tables.planned(review.planned), MOST_ROWS))
    if len(review.claims):
        told.append("<h3>Failed inside the warranty</h3>")
        told.append(paragraph(review_sentences.CLAIMS_LEAD, "lead"))
        told.append(table(review_tables.claims(review.claims), MOST_ROWS))
    return "".join(told)
