"""The appendices of the printed review: every figure, its range and how it was worked out."""

from __future__ import annotations

from collections.abc import Iterable

import pandas as pd

from tracker.charts.added_up import added_up_picture
from tracker.charts.pareto import pareto_picture
from tracker.language import N_, _, month_name
from tracker.paper.blocks import (
    NOTHING,
    Block,
    Item,
    bullets,
    cautions,
    figure,
    heading,
    joined,
    kept_together,
    more_in_the_tables,
    paragraph,
    side_by_side,
    table,
)
from tracker.paper.svg import HALF_WIDTH, svg
from tracker.review.action_list import ListedAction
from tracker.review.month import MonthReview
from tracker.review.printer_trend import PrinterTrend
from tracker.review.routine_kept import kept_by_printer, not_always_kept
from tracker.review.suspicion import Suspicion
from tracker.say.drift import drift_sentence
from tracker.say.listing import Listing
from tracker.say.maintenance.kept import month_sentence
from tracker.say.maintenance.skipping import skipping_sentence
from tracker.say.maintenance.value.value_verdict import answer_in_short
from tracker.say.monthly import sentences as said
from tracker.say.monthly import tables
from tracker.say.monthly.actions import NOTHING_TO_DO, box, dated_reason, marks, worded
from tracker.say.monthly.corrections import corrections_sentence
from tracker.say.monthly.findings import (
    BAND_NOTE,
    key_figures,
    printers_sentence,
    suspicion_evidence,
    suspicion_sentence,
    trend_sentence,
)
from tracker.say.monthly.method import method

MOST_PRINTERS = 12
MOST_ROWS = 16
MOST_OVER = 4
MOST_TASKS = 10
_MOST_OF = {"printer": MOST_PRINTERS, "supplier": 6, "batch": 6}  # in the table of expectations


def every_section(review: MonthReview) -> tuple[Block, ...]:
    """All of them, in their order."""
    return (
        to_do(review),
        happened(review),
        against_expectation(review),
        money(review),
        routine(review),
        getting_worse(review),
        ahead(review),
        _key_figures(review),
        joined(heading(_("How this was worked out")), paragraph(method(review), "small")),
        _corrected(review),
    )


def to_do(review: MonthReview) -> Block:
    """What earlier reviews left, what this one gives to do, and what was noted beside it."""
    actions = worded(review)
    pieces = [heading(_("Every to-do, with its reason")), bullets(_items(actions), "numbered")]
    pieces.append(cautions(()) if actions else paragraph(_(NOTHING_TO_DO)))
    if review.note:
        pieces.append(kept_together(heading(_("Note"), 3), paragraph(review.note)))
    return joined(*pieces)


def _items(actions: Iterable[ListedAction]) -> Iterable[Item]:
    for act in actions:
        why = "" if act.state == "done" else dated_reason(act)
        note = f" – {act.note}" if act.note else ""
        yield Item(f"{box(act)} {act.what}", f"{why}{note}", marks(act))


def happened(review: MonthReview) -> Block:
    """Failures by part and cause, one by one, and parts used."""
    month = review.happened
    picture = NOTHING
    if (month.causes["this_month"] > 0).any():
        picture = figure(
            svg(pareto_picture(month.causes, month_name(review.month))),
            _(
                "Failures of the month by part and cause, the commonest first; the upright "
                "mark is a usual month."
            ),
        )
    return joined(
        heading(_("What happened")),
        paragraph(said.failures_sentence(review)),
        picture,
        table(tables.by_part(_("Failed, by part"), month.failures)),
        table(tables.by_cause(month.causes), MOST_ROWS),
        table(tables.failures(month.events), MOST_ROWS),
        table(tables.by_part(_("Parts fitted (pieces)"), month.parts_used)),
    )


def against_expectation(review: MonthReview) -> Block:
    """Observed beside expected, lives that have changed, and suspicious batches."""
    over = [bad for bad in review.suspicions if bad.is_over]
    pieces = [heading(_("Was that unusual?")), paragraph(said.unusual_sentence(review))]
    if review.drift:
        pieces.append(paragraph(drift_sentence(review.drift), "bad"))
    pieces += [paragraph(_suspicion(bad), "bad") for bad in review.suspicions if not bad.is_over]
    pieces += [paragraph(_suspicion(bad), "small") for bad in over[:MOST_OVER]]
    pieces.append(more_in_the_tables(len(over) - MOST_OVER))
    if len(review.expected):
        pieces.append(paragraph(f"{_(said.NORMAL_LEAD)} {_(said.EXPECTED_LEAD)}", "lead"))
        pieces.append(_expected(review.expected))
    return joined(*pieces)


def _suspicion(bad: Suspicion) -> str:
    return f"{suspicion_sentence(bad)} {suspicion_evidence(bad)}"


def _expected(rows: pd.DataFrame) -> Block:
    """Every part kind; of printers, and of suppliers and batches with failures, the rarest."""
    kept = [rows[rows["what"].isin(["all", "part_kind"])]]
    for what, most in _MOST_OF.items():
        own = rows[rows["what"] == what].sort_values("chance", kind="stable")
        if what != "printer":
            own = own[own["observed"] > 0]
        kept.append(own.iloc[:most].sort_index())
    shown = pd.concat(kept)
    return joined(table(tables.expectation(shown)), more_in_the_tables(len(rows) - len(shown)))


_ADDED_UP = {
    "stoppage": N_(
        "Stoppages of each printer added up since it was first watched; a line bending upwards "
        "is getting worse."
    ),
    "drop-out": N_(
        "Drop-outs of each printer added up since it was first watched; a line bending upwards "
        "is getting worse."
    ),
}


def getting_worse(review: MonthReview) -> Block:
    """Stoppages and drop-outs of each printer added up."""
    both = (review.stoppage_trend, review.drop_out_trend)
    harder = printers_sentence(review.printer_levels)
    return joined(
        heading(_("Is a printer worse than the others, or getting worse?")),
        *([paragraph(harder, "lead")] if harder else []),
        *(paragraph(trend_sentence(trend), "lead") for trend in both),
        side_by_side(*map(_added_up, both)),
        *([paragraph(_(BAND_NOTE))] if any(len(trend.mean) for trend in both) else []),
    )


def _added_up(trend: PrinterTrend) -> Block:
    if trend.curves.empty:
        return NOTHING
    return figure(
        svg(added_up_picture(trend), HALF_WIDTH),
        _(_ADDED_UP[trend.what]),
    )


def money(review: MonthReview) -> Block:
    """Hours stood still and what the month cost."""
    month = review.happened
    return joined(
        heading(_("Hours and money")),
        table(tables.hours(shortened(month.hours, MOST_PRINTERS))),
        table(tables.money(month.money, review.currency)),
    )


def shortened(rows: pd.DataFrame, most: int) -> pd.DataFrame:
    """The ``most`` rows with the largest figures, in the order given; the others added up."""
    if len(rows) <= most + 1:
        return rows
    order = rows.sort_values(["this_month", "mean_before"], ascending=False, kind="stable")
    kept = rows.index.isin(order.index[:most])
    rest = pd.DataFrame(
        [rows[~kept].sum(min_count=1)], index=[_("{count} others together", count=len(rows) - most)]
    )
    return pd.concat([rows[kept], rest])


def routine(review: MonthReview) -> Block:
    """Share of due tasks done in time, what was skipped, what that cost, and whether it pays."""
    by_printer, by_task = kept_by_printer(review.kept), not_always_kept(review.kept)
    worst = by_printer.sort_values("share", kind="stable").index[:MOST_PRINTERS]
    printers = by_printer[by_printer.index.isin(worst)]
    left_out = len(by_printer) - len(printers) + max(0, len(by_task) - MOST_TASKS)
    return joined(
        heading(_("Routine kept")),
        paragraph(month_sentence(review.kept)),
        paragraph(skipping_sentence(review.skipping, review.currency)),
        table(tables.routine(printers, by_task.iloc[:MOST_TASKS])),
        more_in_the_tables(left_out),
        table(tables.skipping(review.skipping.rows, review.currency)),
        paragraph(said.untold_sentence(review.skipping), "small"),
        paragraph(answer_in_short(review.routine_value)),
    )


def ahead(review: MonthReview) -> Block:
    """Need of the next months, what to order by when, planned changes, warranty claims."""
    months = review.ahead
    orders = tables.orders(months.order_dates, months.orders, review.currency)
    pieces = [heading(_("The next months"))]
    if len(months.need):
        pieces += [paragraph(_(said.NEED_LEAD), "lead"), table(tables.need(months.need))]
    pieces += [
        heading(_("What to order by when"), 3),
        paragraph(said.orders_sentence(review), "lead"),
        table(orders, MOST_ROWS),
        heading(_("Planned changes that fall due"), 3),
    ]
    if months.planned.empty:
        pieces.append(paragraph(said.changes_due_sentence(months.planned)))
    else:
        pieces.append(paragraph(_(said.PLANNED_LEAD), "lead"))
        pieces.append(table(tables.planned(months.planned), MOST_ROWS))
    if len(months.claims):
        pieces += [
            heading(_("Failed inside the warranty"), 3),
            paragraph(_(said.CLAIMS_LEAD), "lead"),
            table(tables.claims(months.claims), MOST_ROWS),
        ]
    return joined(*pieces)


def _key_figures(review: MonthReview) -> Block:
    rows = tuple(
        (figure.name, figure.text, f"{figure.definition} ({figure.standard})")
        for figure in key_figures(review.key_figures)
    )
    listing = Listing((_("Figure"), _("Value"), _("How it is worked out")), rows)
    return joined(heading(_("Key figures")), table(listing))


def _corrected(review: MonthReview) -> Block:
    corrected = corrections_sentence(review.corrections)
    return joined(heading(_("Corrected since")), paragraph(corrected)) if corrected else NOTHING
