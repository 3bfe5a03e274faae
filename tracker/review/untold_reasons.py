"""Which parts came out and nobody wrote down why?"""

from __future__ import annotations

from datetime import date

import pandas as pd

from tracker.lives.life_table import FITTING_DAY_UNKNOWN, life_table
from tracker.workshop import vocabulary as words
from tracker.workshop.moved_parts import went_on_from
from tracker.workshop.records import Records

COLUMNS = ("removed_on", "printer", "part_kind", "variant", "position", "age")


def untold_reasons(records: Records, as_of: date) -> pd.DataFrame:
    """The parts whose reason nobody wrote down by that day, the latest first.

    Index: the fitting; columns COLUMNS, ``age`` in days (NaN: fitting day unknown). Lives take
    them as not failed. Left out are those that teach no life: of kinds that do not wear, out
    before the log began, or put in again later and so known to have worked.
    """
    known = records.known_at(as_of)
    lives = life_table(known, as_of)
    wearing = [kind for kind in lives["part_kind"].unique() if words.wears(kind)]
    asked = (lives["outcome"] == "unknown") & lives["part_kind"].isin(wearing)
    asked &= lives["why_not"].isin(["", FITTING_DAY_UNKNOWN])
    went_on = went_on_from(known)
    asked.iloc[went_on[went_on >= 0]] = False
    order = ["removed_on", "printer", "part_kind", "position"]
    rows = lives.loc[asked, list(COLUMNS)]
    return rows.sort_values(order, ascending=[False, True, True, True])
