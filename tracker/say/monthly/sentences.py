"""The review in words: the headline and the sentences of its parts."""

from __future__ import annotations

import numpy as np
import pandas as pd

from tracker.language import N_, _, ngettext
from tracker.review.month import MonthReview
from tracker.review.skipping import Skipping
from tracker.say import numbers, part_types
from tracker.say.maintenance.planned import group_name
from tracker.say.phrases import listed, span, where
from tracker.say.spares.suppliers_shut import shut_sentences
from tracker.workshop import vocabulary as vocab
from tracker.workshop.variants import PartType

NEED_LEAD = N_("Pieces likely to be needed; in brackets the range that holds in 8 of 10 cases.")
NORMAL_LEAD = N_("“Normal” is the range that holds in 8 of 10 months.")
EXPECTED_LEAD = N_(
    "Expected is counted of each part until it failed or came out: where some failed early, less "
    "than a forecast for the whole month."
)
LOTS_NOTE = N_(
    "Lots with three or more parts in the printers in the month. Whether a lot is "
    "suspicious is judged over the whole log."
)
PLANNED_LEAD = N_(
    "Parts that reach, within six months, the age at which a planned change is cheaper "
    "than running to failure in their printer; “saves” is the share of that cost."
)
MOST_UNUSUAL = 3  # told in the sentence, the rarest ones
MOST_KINDS = 6  # of what failed, told one by one
CLAIMS_LEAD = N_("No claim for them is written down; claims are kept on the page Spares.")


def failures_sentence(review: MonthReview) -> str:
    """How many failed, against the range that is normal for the same parts.

    Normal is what holds in 8 of 10 months.
    """
    number = _failed(review)
    failed = (
        ngettext(
            "{number} failed",
            "{number} failed",
            number,
            number=numbers.count(number, "part", "parts"),
        )
        if number
        else _("No part failed")
    )
    if review.expected.empty:
        return f"{failed}."
    every = review.expected.iloc[0]
    normal = span(every["low"], every["high"])
    told = (
        _("{failed}; {normal} is normal for a month", failed=failed, normal=normal)
        if review.whole
        else _("{failed}; {normal} is normal for these days", failed=failed, normal=normal)
    )
    left_out = _left_out(review)
    if left_out:
        return _(
            "{told}, not counting {left_out} {why}.",
            told=told,
            left_out=left_out,
            why=_why_left_out(review),
        )
    return f"{told}."


def what_failed_sentence(review: MonthReview) -> str:
    """Which parts failed, those that cost most together first; "" where none did."""
    events = review.happened.events
    if events.empty:
        return ""
    failed = events.groupby(["part_kind", "variant"], sort=False)["price"].agg(["size", "sum"])
    failed = failed.sort_values("sum", ascending=False, kind="stable")["size"]
    each = [
        part_types.counted(number, PartType(*part))
        for part, number in failed.iloc[:MOST_KINDS].items()
    ]
    more = int(failed.iloc[MOST_KINDS:].sum())
    each += [numbers.count(more, "other part", "other parts")] if more else []
    return _("What failed: {each}.", each=listed(each))


def _failed(review: MonthReview) -> int:
    return int(review.happened.failures["this_month"].sum())


def _left_out(review: MonthReview) -> int:
    """Failures of the month with which no expectation can be compared."""
    return _failed(review) - int(review.expected.iloc[0]["observed"])


def _why_left_out(review: MonthReview) -> str:
    """What keeps those failures out of the comparison."""
    wears = review.happened.events["part_kind"].map(vocab.wears).astype(bool)
    if int((~wears).sum()) == _left_out(review):
        return _("of a kind that does not wear")
    return _("with nothing earlier to judge by") if wears.all() else _("that cannot be compared")


def unusual_sentence(review: MonthReview) -> str:
    """Whether that was unusual, and where; the figures behind it are in the table."""
    if review.expected.empty:
        return _("Nothing known before the month says how many failures are normal.")
    return " ".join(filter(None, (_verdict(review), outside_sentence(review.expected))))


def _verdict(review: MonthReview) -> str:
    rare = review.expected[review.expected["unusual"]]
    every = review.expected.iloc[0]
    if rare.empty and every["observed"] > every["high"]:
        return _(
            "That is more than in a normal month, but luck alone can explain it: no "
            "part, printer, supplier or lot stands out."
        )
    if rare.empty and every["observed"] < every["low"]:
        return _(
            "That is fewer than normal: luck, something that got better – or failures that nobody "
            "wrote down. Ask whoever was at the printers."
        )
    if rare.empty and review.drift:
        return _(
            "No part, printer, supplier or lot stands out in the month; but the lives of all "
            "parts have changed."
        )
    if rare.empty:
        return _(
            "Nothing unusual: no part, printer, supplier or lot had more failures than "
            "luck explains."
        )
    rarest = rare.sort_values("chance", kind="stable").index[:MOST_UNUSUAL]
    each = _beside_normal(rare[rare.index.isin(rarest)], len(rare))
    return _("Unusual, more than luck explains: {each}.", each=each)


def outside_sentence(expected: pd.DataFrame) -> str:
    """Which types of part lie outside their own range without standing out, and why that is not
    counted: the dots that the picture shows beside their band; "" where none does.
    """
    types = expected[expected["what"] == "part_kind"]
    seen = types["observed"].astype(float)
    beyond = np.maximum(seen - types["high"], types["low"] - seen)
    outside = types[(beyond > 0) & ~types["unusual"].astype(bool)]
    if outside.empty:
        return ""
    furthest = beyond[outside.index].sort_values(ascending=False, kind="stable").index
    return _(
        "Outside its normal range, but not counted as unusual: {each}. Of {types} compared luck "
        "alone puts up to one in five outside.",
        each=_beside_normal(outside.loc[furthest[:MOST_UNUSUAL]], len(outside)),
        types=numbers.count(len(types), "type of part", "types of part"),
    )


def _beside_normal(rows: pd.DataFrame, among: int) -> str:
    """What failed beside what is normal for it, row by row, and how many more there are."""
    each = [
        _(
            "{what}: {observed} failed where {normal} is normal",
            what=who(row["what"], row["name"], row["variant"]),
            observed=row["observed"],
            normal=span(row["low"], row["high"]),
        )
        for row in rows.to_dict(orient="records")
    ]
    each += [_("and {count} more", count=among - len(each))] if among > len(each) else []
    return "; ".join(each)


def who(what: str, name: str, variant: str) -> str:
    """A row of the table of expectations by the name people call it."""
    if what == "all":
        return _("All parts together")
    if what == "part_kind":
        return part_types.label(name, variant)
    if what == "supplier":
        kind, _between, supplier = name.partition(" from ")
        return _(
            "{kind} from {supplier}", kind=part_types.of_all(kind, [variant]), supplier=supplier
        )
    if what == "batch":
        kind, _between, lot = name.partition(" batch ")
        return _("{kind} lot {lot}", kind=part_types.of_all(kind, [variant]), lot=lot)
    return name


def untold_sentence(skipping: Skipping) -> str:
    """Which skipped tasks may have an effect that the log cannot tell yet; "" where none."""
    rows = skipping.rows
    tasks = []
    for task, kinds in rows[~rows["told"].astype(bool)].groupby("task", sort=False):
        parts = ", ".join(
            _(
                "{part} ({failures})",
                part=vocab.part_label(row.part_kind).lower(),
                failures=numbers.count(row.failures, "failure", "failures"),
            )
            for row in kinds.itertuples()
        )
        tasks.append(_("{task} for {parts}", task=vocab.task_label(str(task)), parts=parts))
    return _("Effect cannot be told yet: {tasks}.", tasks="; ".join(tasks)) if tasks else ""


def orders_sentence(review: MonthReview) -> str:
    """How much is to be ordered within the next month, as seen on the review's last day, and which
    suppliers send nothing soon.
    """
    return " ".join([_to_order(review), *shut_sentences(review.ahead.shut, review.as_of)])


def _to_order(review: MonthReview) -> str:
    dated, stocked = review.ahead.order_dates, review.ahead.orders
    pieces = len(dated) + int(stocked["order_now"].sum())
    if not pieces:
        return _(
            "Nothing had to be ordered within the next month, as seen on {day}.",
            day=numbers.day(review.as_of),
        )
    cost = float(dated["unit_cost"].sum() + stocked["cost"].sum())
    return _(
        "To order within the next month, as seen on {day}: {pieces} for {cost}.",
        day=numbers.day(review.as_of),
        pieces=numbers.count(pieces, "piece", "pieces"),
        cost=numbers.money(cost, review.currency),
    )


def changes_due_sentence(planned: pd.DataFrame) -> str:
    """How many planned changes fall due within six months."""
    if planned.empty:
        return _("No planned change falls due within six months.")
    return ngettext(
        "{count} planned change falls due within six months, the first by {first}.",
        "{count} planned changes fall due within six months, the first by {first}.",
        len(planned),
        count=numbers.decimal(len(planned)),
        first=numbers.day(min(planned["due_on"])),
    )


def planned_sentence(planned: pd.DataFrame) -> str:
    """Which planned changes fall due within six months."""
    if planned.empty:
        return _("None within six months.")
    kinds = []
    for _key, rows in planned.groupby(["part_kind", "group"], sort=False):
        named = ", ".join(
            _("{place} by {due_on}", place=where(row), due_on=numbers.day(row.due_on))
            for row in rows.iloc[:6].itertuples()
        )
        more = _(" and {count} more", count=len(rows) - 6) if len(rows) > 6 else ""
        ages = rows["change_at_days"]
        low, high = numbers.days(ages.min()), numbers.days(ages.max())
        kinds.append(
            _(
                "{group} at {age} of age (saves {saving} against running to failure): "
                "{named}{more}",
                group=group_name(next(rows.itertuples())),
                age=low if low == high else numbers.day_range(ages.min(), ages.max()),
                saving=numbers.chance(rows["saving"].mean()),
                named=named,
                more=more,
            )
        )
    return f"{'; '.join(kinds)}."
