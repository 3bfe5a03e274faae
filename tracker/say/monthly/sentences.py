"""The review in words: the headline and the sentences of its parts."""

from __future__ import annotations

import pandas as pd

from tracker.review.month import MonthReview
from tracker.review.skipping import Skipping
from tracker.say import numbers, part_types
from tracker.say.drift import since_words
from tracker.say.maintenance.kept import month_sentence
from tracker.say.maintenance.planned import group_name
from tracker.say.monthly.findings import suspicion_sentence, worse_printers_sentence
from tracker.say.phrases import first_down, listed, span, where
from tracker.workshop import vocabulary as vocab

NEED_LEAD = "Pieces likely to be needed; in brackets the range that holds in 8 of 10 cases."
NORMAL_LEAD = "“Normal” is the range that holds in 8 of 10 months."
LOTS_NOTE = (
    "Lots with three or more parts in the printers in the month. Whether a lot is suspicious is "
    "judged over the whole log."
)
PLANNED_LEAD = (
    "Parts that reach, within six months, the age at which a planned change is cheaper than "
    "running to failure in their printer; “saves” is the share of that cost."
)
MOST_UNUSUAL = 3  # told in the sentence, the rarest ones
MOST_KINDS = 6  # of what failed, told one by one
MOST_SUSPICIONS = 2  # told in short
CLAIMS_LEAD = "No claim for them is written down; claims are kept on the page Spares."


def failures_sentence(review: MonthReview) -> str:
    """How many failed, against the range that is normal for the same parts.

    Normal is what holds in 8 of 10 months.
    """
    number = _failed(review)
    failed = f"{numbers.count(number, 'part')} failed" if number else "No part failed"
    if review.expected.empty:
        return f"{failed}."
    every = review.expected.iloc[0]
    time = "a month" if review.whole else "these days"
    normal = f"{failed}; {span(every['low'], every['high'])} is normal for {time}"
    left_out = _left_out(review)
    beside = f", not counting {left_out} {_why_left_out(review)}" if left_out else ""
    return f"{normal}{beside}."


def what_failed_sentence(review: MonthReview) -> str:
    """Which parts failed, the most first; "" where none did."""
    failed = review.happened.failures["this_month"]
    failed = failed[failed > 0].sort_values(ascending=False, kind="stable")
    if failed.empty:
        return ""
    each = [
        numbers.count(number, vocab.part_label(kind).lower()) + (f" ({variant})" if variant else "")
        for (kind, variant), number in failed.iloc[:MOST_KINDS].items()
    ]
    more = int(failed.iloc[MOST_KINDS:].sum())
    each += [numbers.count(more, "other part")] if more else []
    return f"What failed: {listed(each)}."


def _failed(review: MonthReview) -> int:
    return int(review.happened.failures["this_month"].sum())


def _left_out(review: MonthReview) -> int:
    """Failures of the month with which no expectation can be compared."""
    return _failed(review) - int(review.expected.iloc[0]["observed"])


def _why_left_out(review: MonthReview) -> str:
    """What keeps those failures out of the comparison."""
    wears = review.happened.events["part_kind"].map(vocab.wears).astype(bool)
    if int((~wears).sum()) == _left_out(review):
        return "of a kind that does not wear"
    return "with nothing earlier to judge by" if wears.all() else "that cannot be compared"


def unusual_sentence(review: MonthReview) -> str:
    """Whether that was unusual, and where; the figures behind it are in the table."""
    if review.expected.empty:
        return "Nothing was fitted of which failures could be expected."
    rare = review.expected[review.expected["unusual"]]
    every = review.expected.iloc[0]
    if rare.empty and every["observed"] > every["high"]:
        return (
            "That is more than in a normal month, but luck alone can explain it: no part, "
            "printer, supplier or lot stands out."
        )
    if rare.empty:
        return (
            "Nothing unusual: no part, printer, supplier or lot had more failures than luck "
            "explains."
        )
    rarest = rare.sort_values("chance", kind="stable").index[:MOST_UNUSUAL]
    each = [
        f"{who(row['what'], row['name'], row['variant'])}: {row['observed']} failed where "
        f"{span(row['low'], row['high'])} is normal"
        for row in rare[rare.index.isin(rarest)].to_dict(orient="records")
    ]
    each += [f"and {len(rare) - len(each)} more"] if len(rare) > len(each) else []
    return f"Unusual, more than luck explains: {'; '.join(each)}."


def who(what: str, name: str, variant: str) -> str:
    """A row of the table of expectations by the name people call it."""
    if what == "all":
        return "All parts together"
    if what == "part_kind":
        return part_types.label(name, variant)
    if what == "supplier":
        kind, _, supplier = name.partition(" from ")
        return f"{part_types.of_all(kind, [variant])} from {supplier}"
    if what == "batch":
        kind, _, lot = name.partition(" batch ")
        return f"{part_types.of_all(kind, [variant])} lot {lot}"
    return name


def headline(review: MonthReview) -> str:
    """The month in two sentences: failures beside what is normal, then hours and money."""
    hours = review.happened.hours["this_month"].sum()
    total = review.happened.money["this_month"].sum()
    before = review.happened.money["mean_before"].sum(min_count=1)
    so_far = "" if review.whole else f" so far (to {numbers.day(review.as_of)})"
    stood = f"Printers stood still for {numbers.figure(hours)} h" if hours else (
        "No printer stood still"
    )  # fmt: skip
    cost = numbers.money(total, review.currency)
    usual = numbers.about_money(before, review.currency)
    beside = "" if pd.isna(before) else f", where {usual} is usual"
    month = f"{review.month:%B %Y}{so_far}"
    silent = " Nothing was written down " + ("in this month." if review.whole else "so far.")
    return (
        f"{month}: {first_down(failures_sentence(review))} {stood}, and the month cost "
        f"{cost}{beside}.{silent if review.silent else ''}"
    )


def in_short(review: MonthReview) -> tuple[str, ...]:
    """What a meeting has to know beside the headline, a line for each thing; the same on page and
    paper."""
    bad = [suspicion_sentence(bad) for bad in review.suspicions if not bad.is_over]
    more = len(bad) - MOST_SUSPICIONS
    return tuple(
        filter(
            None,
            (
                what_failed_sentence(review),
                unusual_sentence(review),
                *bad[:MOST_SUSPICIONS],
                f"{numbers.count(more, 'more lot or supplier', 'more lots or suppliers')} "
                "failed early." if more > 0 else "",
                f"{since_words(review.drift)}." if review.drift else "",
                worse_printers_sentence(review),
                month_sentence(review.kept),
                orders_sentence(review),
            ),
        )
    )  # fmt: skip


def untold_sentence(skipping: Skipping) -> str:
    """Which skipped tasks may have an effect that the log cannot tell yet; "" where none."""
    rows = skipping.rows
    tasks = []
    for task, kinds in rows[~rows["told"].astype(bool)].groupby("task", sort=False):
        parts = ", ".join(
            f"{vocab.part_label(row.part_kind).lower()} ({numbers.count(row.failures, 'failure')})"
            for row in kinds.itertuples()
        )
        tasks.append(f"{vocab.task_label(str(task))} for {parts}")
    return f"Effect cannot be told yet: {'; '.join(tasks)}." if tasks else ""


def orders_sentence(review: MonthReview) -> str:
    """How much is to be ordered within the next month."""
    dated, stocked = review.ahead.order_dates, review.ahead.orders
    pieces = len(dated) + int(stocked["order_now"].sum())
    if not pieces:
        return "Nothing has to be ordered within the next month."
    cost = float(dated["unit_cost"].sum() + stocked["cost"].sum())
    return (
        f"To order within the next month: {numbers.count(pieces, 'piece')} for "
        f"{numbers.money(cost, review.currency)}."
    )


def changes_due_sentence(planned: pd.DataFrame) -> str:
    """How many planned changes fall due within six months."""
    if planned.empty:
        return "No planned change falls due within six months."
    due = numbers.count(len(planned), "planned change falls", "planned changes fall")
    first = numbers.day(min(planned["due_on"]))
    return f"{due} due within six months, the first by {first}."


def planned_sentence(planned: pd.DataFrame) -> str:
    """Which planned changes fall due within six months."""
    if planned.empty:
        return "None within six months."
    kinds = []
    for _, rows in planned.groupby(["part_kind", "group"], sort=False):
        named = ", ".join(
            f"{where(row)} by {numbers.day(row.due_on)}" for row in rows.iloc[:6].itertuples()
        )
        more = f" and {len(rows) - 6} more" if len(rows) > 6 else ""
        ages = rows["change_at_days"]
        low, high = numbers.days(ages.min()), numbers.days(ages.max())
        kinds.append(
            f"{group_name(next(rows.itertuples()))} at "
            f"{low if low == high else numbers.day_range(ages.min(), ages.max())} of age "
            f"(saves {numbers.chance(rows['saving'].mean())} against running to failure): "
            f"{named}{more}"
        )
    return f"{'; '.join(kinds)}."
