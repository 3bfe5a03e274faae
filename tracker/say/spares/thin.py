"""What rests on a starting guess and not on the log or a setting yet: said before anything else."""

from __future__ import annotations

from typing import Any

import pandas as pd

from tracker.language import _
from tracker.say import numbers
from tracker.say.phrases import first_down
from tracker.workshop.records import Records

THIN = 2  # failures of a kind below which what is told of it is mostly a starting guess


def is_guess(row: Any) -> bool:
    """Do so few failures stand behind it? ``row`` of ``stock_table`` or ``preorder``.

    What the workshop changes by plan is needed when its parts reach that age: that rests on its own
    habit (``planned_practice``), whatever life is guessed.
    """
    by_plan = not pd.isna(getattr(row, "planned_age_days", None))
    return bool(row.failures < THIN) and not by_plan


def by_guess(row: Any, told: str) -> str:
    """The sentence, and before it that it is a guess which failures will change; ``row`` of
    ``stock_table`` or ``preorder``. ``life_guessed``: nobody here set the typical life.
    """
    if not is_guess(row):
        return told
    if row.life_guessed:
        return _("By the trade's guess, until more parts fail here: {told}", told=first_down(told))
    return _("By your starting guess, until more parts fail here: {told}", told=first_down(told))


def all_guessed(lines: pd.DataFrame, table: pd.DataFrame) -> bool:
    """Does every order rest on a guess of the trade? ``lines`` of ``order_proposal``."""
    rows = lines[["part_kind", "variant"]].merge(table, on=["part_kind", "variant"])
    return bool(len(rows)) and all(is_guess(row) and row.life_guessed for row in rows.itertuples())


def standing_guessed(records: Records) -> str:
    """That nobody said what a standing printer loses, so that all money here hangs on a guess; ""
    where the workshop set it.
    """
    if records.is_set("margin_per_hour"):
        return ""
    lost = numbers.money(records.number("margin_per_hour"), records.setting("currency"))
    return _(
        "A standing printer is counted at a guessed {lost} a working hour: say under Records, "
        "Settings what you lose.",
        lost=lost,
    )
