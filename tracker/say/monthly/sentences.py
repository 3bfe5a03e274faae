"""The review in words: the headline and the sentences of its parts."""

from __future__ import annotations

import pandas as pd

from tracker.review.month import MonthReview
from tracker.review.skipping import Skipping
from tracker.say import numbers, part_types
from tracker.say.maintenance.planned import group_name
from tracker.say.monthly.findings import suspicion_name
from tracker.say.phrases import span, where
from tracker.workshop import vocabulary as vocab

NEED_LEAD = "Pieces likely to be needed, with the range that holds in 8 of 10 cases."
PLANNED_LEAD = (
    "Parts that reach, within six months, the age at which a planned change is cheaper than "
    "running to failure in their printer; “saves” is the share of that cost."
)
MOST_UNUSUAL = 5  # told in the sentence, the rarest ones
CLAIMS_LEAD = "No claim for them is written down; claims are kept on the page Spares."


def failures_sentence(review: MonthReview) -> str:
    """How many failed, against what was expected of the same parts."""
    number = int(review.happened.failures["this_month"].sum())
    failed = f"{numbers.count(number, 'part')} failed" if number else "no part failed"
    if review.expected.empty:
        return failed
    every = review.expected.iloc[0]
    expected = (
        f"where {numbers.figure(every['expected'])} "
        f"{'was' if numbers.figure(every['expected']) == '1' else 'were'} to be expected "
        f"(80 % range {span(every['low'], every['high'])})"
    )
    left_out = _left_out(review)
    if not left_out:
        return f"{failed} {expected}"
    compared = number - left_out
    return (
        f"{failed}, {compared or 'none'} of them {expected} and {left_out} {_why_left_out(review)}"
    )


def _left_out(review: MonthReview) -> int:
    """Failures of the month with which no expectation can be compared."""
    number = int(review.happened.failures["this_month"].sum())
    return number - int(review.expected.iloc[0]["observed"])


def _why_left_out(review: MonthReview) -> str:
    """What keeps those failures out of the comparison."""
    wears = review.happened.events["part_kind"].map(vocab.wears).astype(bool)
    if int((~wears).sum()) == _left_out(review):
        return "of a kind that does not wear"
    return "with nothing earlier to judge by" if wears.all() else "that cannot be compared"


def unusual_sentence(review: MonthReview) -> str:
    """Whether that was unusual, and where."""
    if review.expected.empty:
        return "Nothing was fitted whose failures could be expected."
    left_out = _left_out(review)
    note = f" Left out: {left_out} {_why_left_out(review)}." if left_out else ""
    rare = review.expected[review.expected["unusual"]]
    if rare.empty:
        return (
            f"Nothing stands out in {review.month:%B}: no more failed than chance explains, in "
            f"all, by part, by printer, by supplier and by batch.{note}"
        )
    rarest = rare.sort_values("chance", kind="stable").index[:MOST_UNUSUAL]
    each = [
        f"{who(row['what'], row['name'], row['variant'])}: {row['observed']} failed, "
        f"{numbers.figure(row['expected'])} expected; {numbers.chance(row['chance'])} chance of so "
        "many by luck"
        for row in rare[rare.index.isin(rarest)].to_dict(orient="records")
    ]
    each += [f"and {len(rare) - len(each)} more"] if len(rare) > len(each) else []
    return f"More than chance explains. {'; '.join(each)}.{note}"


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
        kind, _, batch = name.partition(" batch ")
        return f"{part_types.of_all(kind, [variant])} batch {batch}"
    return name


def headline(review: MonthReview) -> str:
    """The month in one sentence."""
    said = failures_sentence(review)
    hours = review.happened.hours["this_month"].sum()
    total = review.happened.money["this_month"].sum()
    before = review.happened.money["mean_before"].sum(min_count=1)
    so_far = "" if review.whole else f" so far (to {numbers.day(review.as_of)})"
    stood = f"{numbers.figure(hours)} h stood still" if hours else "no printer stood still"
    month = f"{review.month:%B %Y}{so_far}: {said}; {stood}"
    month += f"; {numbers.money(total, review.currency)} in all"
    if not pd.isna(before):
        month += f" (usual {numbers.money(before, review.currency)})"
    named = [suspicion_name(bad) for bad in review.suspicions if not bad.is_over]
    month += f". Suspicious: {named[0]}." if named else "."
    if review.silent:
        month += f" Nothing was written down {'in this month' if review.whole else 'so far'}."
    return month


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
        return "nothing within the next month."
    cost = float(dated["unit_cost"].sum() + stocked["cost"].sum())
    return (
        f"{numbers.count(pieces, 'piece')} within the next month, "
        f"{numbers.money(cost, review.currency)} in all."
    )


def planned_sentence(planned: pd.DataFrame) -> str:
    """Which planned changes fall due within six months."""
    if planned.empty:
        return "none within six months."
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
