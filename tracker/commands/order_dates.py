"""When to order each costly part."""

from __future__ import annotations

import argparse
from datetime import date

from tracker.commands.printing import as_json, nothing_fitted, rows_of, show
from tracker.commands.sources import records_and_day
from tracker.language import _
from tracker.say import numbers
from tracker.workshop.records import Records

_PREORDER = (
    "part_kind", "variant", "printer", "position", "order_by", "costs_alike_from",
    "costs_alike_until", "costs_alike_within", "risk_if_ordered_now",
    "risk_if_waiting_30_days", "curve", "verdict", "risk_limit_by", "spares",
    "risk_before_arrival", "median_if_guess_halved", "median_if_guess_doubled", "reason",
    "lead_days", "lead_days_late",
)  # fmt: skip


def suppliers_shut(records: Records, as_of: date) -> list[dict[str, object]]:
    """Which suppliers send nothing soon, and the last day to order each type before."""
    from tracker.decisions.ordering.shut_ahead import shut_ahead

    return [
        {
            **vars(one),
            "order_by": [{**part._asdict(), "day": day} for part, day in one.order_by.items()],
        }
        for one in shut_ahead(records, as_of)
    ]


def preorder(options: argparse.Namespace) -> int:
    """When to order each costly part."""
    from tracker.decisions.ordering.shut_ahead import shut_ahead
    from tracker.decisions.preorder import preorder as order_dates
    from tracker.say.spares import preorder as preorder_words
    from tracker.say.spares.suppliers_shut import shut_sentences
    from tracker.say.spares.thin import standing_guessed

    records, as_of = records_and_day(options)
    table = order_dates(
        records,
        as_of,
        risk_limit=options.risk_limit,
        express_premium=options.express_premium,
        doing=dict(options.doing or ()),
    )
    currency = records.setting("currency")
    table = table.assign(
        verdict=[preorder_words.verdict(row) for row in table.itertuples()],
        reason=[preorder_words.reason(row, currency) for row in table.itertuples()],
    )
    if options.json:
        parts = rows_of(table, _PREORDER)
        shut = suppliers_shut(records, as_of)
        return as_json({"as_of": as_of, "parts": parts, "suppliers_shut": shut})
    sentence = _("Costly parts on {day}, the most urgent first.", day=numbers.day(as_of))
    columns = tuple(name for name in _PREORDER if name not in ("curve", "reason"))
    show(sentence if len(table) else nothing_fitted(as_of), rows_of(table, columns))
    for said in shut_sentences(shut_ahead(records, as_of), as_of):
        print(said)
    if len(table) and (guess := standing_guessed(records)):
        print(guess)
    return 0
