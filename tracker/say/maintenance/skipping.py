"""What skipping due tasks is estimated to have cost, in words."""

from __future__ import annotations

from functools import partial

import pandas as pd

from tracker.language import _, ngettext
from tracker.review.skipping import Skipping
from tracker.say import numbers
from tracker.say.phrases import quoted
from tracker.workshop import vocabulary


def skipping_sentence(skipping: Skipping, currency: str) -> str:
    """What was not done, how much work that is and what it cost as far as the log shows; "" where
    all was done."""
    if not skipping.skipped:
        return ""
    rows = skipping.rows
    first = ngettext(
        "{count} due task was not done: about {work} of work",
        "{count} due tasks were not done: about {work} of work",
        skipping.skipped,
        count=numbers.decimal(skipping.skipped),
        work=numbers.working_time(skipping.minutes_not_done),
    )
    clear = rows[rows["told"].astype(bool)]
    if clear.empty:
        if rows.empty:
            return _(
                "{first}. None of them is known to protect a part that is fitted.", first=first
            )
        return _(
            "{first}; what it cost cannot be told yet: too few failures, or tasks always "
            "done at one pace.",
            first=first,
        )
    sentences = [f"{first}."]
    is_harmful = clear["chance_it_cost"] > 0.5
    if is_harmful.any():
        sentences.append(_harm(skipping, clear.loc[is_harmful, "task"], currency))
    if not is_harmful.all():
        sentences += [_no_harm(row) for _, row in clear[~is_harmful].iterrows()]
        sentences.append(_("With many tasks looked at this can be luck; it is no reason to skip."))
    if len(clear) < len(rows):
        sentences.append(_("For the other tasks it cannot be told yet."))
    return " ".join(sentences)


def _harm(skipping: Skipping, tasks: pd.Series, currency: str) -> str:
    names = ", ".join(dict.fromkeys(quoted(vocabulary.task_label(task)) for task in tasks))
    cost = numbers.within(
        skipping.cost,
        skipping.cost_low,
        skipping.cost_high,
        partial(numbers.about_money, currency=currency),
        beside=_(
            "{chance_it_cost} chance that it cost anything",
            chance_it_cost=numbers.chance(skipping.chance_it_cost),
        ),
    )
    return _(
        "Skipping {names} is estimated to have cost {cost} in failures.", names=names, cost=cost
    )


def _no_harm(row: pd.Series) -> str:
    """Skipping went with fewer failures, in words: signs turned, for they are said as fewer."""
    part = vocabulary.part_label(row["part_kind"]).lower()
    most, least = (numbers.figure(-row[name]) for name in ("extra_low", "extra_high"))
    return _(
        "Skipping “{task}” did no harm that the log shows: {extra} {part} failures fewer "
        "than expected had it been done ({least} to {most} fewer in 8 of 10 cases; "
        "{chance_it_cost} chance that it did harm).",
        task=vocabulary.task_label(row["task"]),
        extra=numbers.figure(-row["extra"]),
        part=part,
        least=least,
        most=most,
        chance_it_cost=numbers.chance(row["chance_it_cost"]),
    )
