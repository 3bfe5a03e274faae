"""Are suppliers and lots written down for parts that failed above all, as where they are looked up
for a claim? Then every part of a lot seems to fail, and lots cannot be compared.
"""

from __future__ import annotations

import pandas as pd

# Of parts that went in in the same quarters, where the others bear a lot less than so many times as
# often as those that failed, it was looked up for these (common practice, no source).
LEAST_RATIO = 0.5
OF_ORIGIN = ("batch", "supplier")


def known_of_failed(fittings: pd.DataFrame, failed: pd.Series, column: str) -> frozenset[str]:
    """The part kinds of which the column is known of failed parts above all.

    ``fittings`` with ``part_kind``, ``fitted_on`` and the column, "" where it is not known;
    ``failed``: which of them failed. Held against each other are parts that went in in the same
    quarter, for habits of writing change with time.
    """
    rows = pd.DataFrame(
        {
            "kind": fittings["part_kind"].astype(str),
            "quarter": fittings["fitted_on"].dt.to_period("Q"),
            "failed": failed.astype(bool),
            "known": fittings[column].ne(""),
        }
    ).dropna(subset="quarter")
    counted = rows.groupby(["kind", "quarter", "failed"])["known"].agg(["sum", "size"]).unstack()
    both = counted.dropna()
    if both.empty or ("size", True) not in both or ("size", False) not in both:
        return frozenset()
    of_failed, of_others = both["sum", True], both["sum", False] / both["size", False]
    alike = of_others * both["size", True]  # were failed parts looked up no more than others
    sums = pd.DataFrame({"known": of_failed, "alike": alike}).groupby(level="kind").sum()
    return frozenset(sums.index[sums["alike"] < LEAST_RATIO * sums["known"]])
