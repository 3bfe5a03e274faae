"""Which parts failed inside their warranty, and what became of the claim?"""

from __future__ import annotations

from datetime import date

import pandas as pd

from tracker.lives.life_table import life_table
from tracker.workshop.records import Records
from tracker.workshop.variants import types_in

REMIND_DAYS = 30  # before the warranty ends
_OF_THE_PART = ("part_kind", "variant", "printer", "position", "supplier", "batch", "serial")


def failed_in_warranty(known: Records, lives: pd.DataFrame) -> pd.DataFrame:
    """Every part that failed inside its warranty, by the fitting's index.

    Columns ``part_kind, variant, printer, position, supplier, batch, serial, failed_on, age_days,
    warranty_days, warranty_ends, claim, claim_amount``. ``lives``: the life table of ``known``,
    the records as known on a day. The warranty counts from the fitting, which is on the safe side
    only where the part was bought not long before. Accidents are no claim.
    """
    rows = lives[lives["outcome"] == "failed"]
    days = {part: known.part_facts(*part).warranty_days for part in set(types_in(rows))}
    warranty = pd.Series([days[part] for part in types_in(rows)], rows.index, dtype=float)
    inside = rows["age"] <= warranty
    rows, warranty = rows[inside], warranty[inside]
    said = known.fittings.loc[rows.index]
    return pd.DataFrame(
        {
            **{name: rows[name] for name in _OF_THE_PART},
            "failed_on": rows["removed_on"],
            "age_days": rows["age"],
            "warranty_days": warranty,
            "warranty_ends": rows["new_on"] + pd.to_timedelta(warranty, unit="D"),
            "claim": said["claim"],
            "claim_amount": said["claim_amount"],
        }
    )


def claims_open(records: Records, as_of: date) -> pd.DataFrame:
    """Claims that wait for somebody: sent and not answered, or not sent while there is time.

    Rows of ``failed_in_warranty``, and of parts claimed outside it; the warranty that ends first
    comes first.
    """
    known = records.known_at(as_of)
    lives = life_table(known, as_of)
    inside = failed_in_warranty(known, lives)
    to_send = inside[(inside["claim"] == "") & (inside["warranty_ends"] >= pd.Timestamp(as_of))]
    sent = known.fittings[known.fittings["claim"] == "sent"]
    of_sent = inside.reindex(sent.index)
    for name in (*_OF_THE_PART, "claim", "claim_amount"):
        of_sent[name] = sent[name]
    of_sent["failed_on"] = sent["removed_on"]
    both = pd.concat([to_send, of_sent]) if len(of_sent) else to_send
    return both.sort_values("warranty_ends", kind="stable")


def warranty_ending(records: Records, as_of: date) -> pd.DataFrame:
    """Failed parts nobody has claimed whose warranty ends within REMIND_DAYS."""
    rows = claims_open(records, as_of)
    until = pd.Timestamp(as_of) + pd.Timedelta(days=REMIND_DAYS)
    return rows[(rows["claim"] == "") & (rows["warranty_ends"] <= until)]
