"""Is one printer harder on its parts than the others? Told from part failures alone.

Every printer has a level of its own in the life model, which all its parts share. A printer is
called harder where parts fail in it at WORTH_TELLING times the rate of the others or more, at the
same age, kind, time and routine, and the 95 % limits of that factor leave out 1. Levels are pulled
together as far as the printers look alike, so that luck seldom names one
(``tests/bench/suspicion_study.py``).
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.forecast.fitted_lives import FittedLives
from tracker.models.life_model.whole.findings import WORTH_TELLING, limits

COLUMNS = ("printer", "failures", "factor", "lower", "upper", "harder")


def printer_levels(fitted: FittedLives) -> pd.DataFrame:
    """How hard is each printer on its parts, against the mean of the others?

    COLUMNS, the hardest first: printers with parts in them now; ``failures`` by wear seen in it;
    ``factor`` on the hazard with its 95 % limits. Empty where fewer than two have parts in them.

    >>> from datetime import date
    >>> from tracker.forecast.fitted_lives import fit_lives
    >>> from tracker.workshop.records import Records
    >>> len(printer_levels(fit_lives(Records(), date(2026, 1, 31))))
    0
    """
    told, draws = fitted.told, fitted.draws
    if told is None or draws is None:
        return pd.DataFrame(columns=list(COLUMNS))
    lives = told.history.lives
    units = np.unique(lives.unit[told.running])
    if len(units) < 2:
        return pd.DataFrame(columns=list(COLUMNS))
    level = draws.unit[:, units]
    others = (level.sum(axis=1, keepdims=True) - level) / (len(units) - 1)
    factor = np.exp(level - others)
    failures = np.bincount(lives.unit, lives.failed, len(told.printers)).astype(int)
    rows = [
        (told.printers[unit], int(failures[unit]), *_limits(column, draws.weight))
        for unit, column in zip(units, factor.T, strict=True)
    ]
    table = pd.DataFrame(rows, columns=list(COLUMNS[:-1]))
    harder = (table["factor"] >= WORTH_TELLING) & (table["lower"] > 1)
    table = table.assign(harder=harder)
    return table.sort_values("factor", ascending=False, kind="stable", ignore_index=True)


def _limits(factor: Array, weight: Array) -> tuple[float, float, float]:
    found = limits(factor, weight)
    return found.estimate, found.lower, found.upper
