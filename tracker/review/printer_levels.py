"""Is one printer harder on its parts than the others, and does it stop more often?

The first is told from part failures alone. Every printer has a level of its own in the life model,
which all its parts share. A printer is called harder where parts fail in it at WORTH_TELLING times
the rate of the others or more, at the same age, kind, time and routine, and the 95 % limits of that
factor leave out 1. Levels are pulled together as far as the printers look alike, so that luck
seldom names one (``tests/bench/suspicion_study.py``).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.forecast.fitted_lives import FittedLives, fit_lives
from tracker.lives.open_days import Closures
from tracker.models.events import rate_ratio
from tracker.models.life_model.life_forecast import Limits
from tracker.models.life_model.whole.findings import WORTH_TELLING, limits
from tracker.workshop.columns.day_numbers import day_number, day_of
from tracker.workshop.records import Records

COLUMNS = ("printer", "failures", "factor", "lower", "upper", "harder")
LEVEL = 0.8  # of the limits of one printer's level
YEAR_DAYS = 365


@dataclass(frozen=True)
class StoppageLevel:
    """Stoppages of one printer in the last year on its open days: how many (``here``), how many
    were ``usual`` (the others' rate on as many open days), and the ``ratio`` of the two rates with
    exact 80 % limits."""

    here: int
    usual: float
    ratio: Limits


@dataclass(frozen=True)
class PrinterLevel:
    """One printer against the others: how many times as long parts last in it (``lives``, 80 %
    limits; None where no other has parts in it), its ``failures`` by wear so far, and its
    ``stoppages`` (None where none was written down, or there is no other printer)."""

    printer: str
    lives: Limits | None
    failures: int
    stoppages: StoppageLevel | None


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
    factor = np.exp(_against_others(draws.unit[:, units]))
    failures = np.bincount(lives.unit, lives.failed, len(told.printers)).astype(int)
    rows = [
        (told.printers[unit], int(failures[unit]), *_limits(column, draws.weight))
        for unit, column in zip(units, factor.T, strict=True)
    ]
    table = pd.DataFrame(rows, columns=list(COLUMNS[:-1]))
    harder = (table["factor"] >= WORTH_TELLING) & (table["lower"] > 1)
    table = table.assign(harder=harder)
    return table.sort_values("factor", ascending=False, kind="stable", ignore_index=True)


def printer_level(records: Records, as_of: date, printer: str) -> PrinterLevel:
    """Do parts last as long in that printer as in the others, and does it stop as often?

    A factor on the hazard becomes one on lives by the wear-out of the parts in it: lives are
    hazard^(-1/shape) times as long.
    """
    fitted = fit_lives(records, as_of)
    return PrinterLevel(printer, *_lives(fitted, printer), _stoppages(fitted.known, as_of, printer))


def _lives(fitted: FittedLives, printer: str) -> tuple[Limits | None, int]:
    told, draws = fitted.told, fitted.draws
    if told is None or draws is None or printer not in told.printers:
        return None, 0
    lives = told.history.lives
    unit = told.printers.index(printer)
    failures = int(lives.failed[lives.unit == unit].sum())
    units = np.unique(lives.unit[told.running])
    if len(units) < 2 or unit not in units:
        return None, failures
    groups = np.unique(lives.group[told.running & (lives.unit == unit)])
    shape = np.exp(np.log(draws.shape[:, groups]).mean(axis=1))
    harder = _against_others(draws.unit[:, units])[:, units == unit][:, 0]
    return limits(np.exp(-harder / shape), draws.weight, level=LEVEL), failures


def _against_others(level: Array) -> Array:
    """Each printer's level minus the mean of the others': (draws, printers)."""
    others = (level.sum(axis=1, keepdims=True) - level) / (level.shape[1] - 1)
    found: Array = level - others
    return found


def _stoppages(known: Records, as_of: date, printer: str) -> StoppageLevel | None:
    closures = Closures.of(known)
    end = day_number(as_of) + 1
    printers = known.printers.drop_duplicates("printer", keep="last")
    open_days: dict[str, int] = {}
    for row in printers[printers["retired_on"].isna()].itertuples():
        first = max(end - YEAR_DAYS, day_number(row.started_on.date()), _log_began(known))
        closed = closures.closed_days(str(row.printer), np.array([first]), np.array([end]))
        open_days[str(row.printer)] = max(0, end - first - int(closed[0]))
    mine = open_days.pop(printer, 0)
    others = sum(open_days.values())
    began = known.stoppages["began_at"] >= pd.Timestamp(day_of(end - YEAR_DAYS))
    counted = known.stoppages[began]["printer"].value_counts()
    here = int(counted.get(printer, 0))
    elsewhere = int(counted.reindex(list(open_days)).fillna(0).sum())
    if not (mine and others and here + elsewhere):
        return None
    ratio = rate_ratio(here, mine, elsewhere, others, level=LEVEL)
    usual = elsewhere * mine / others
    return StoppageLevel(here, usual, Limits(ratio.ratio, ratio.lower, ratio.upper, LEVEL))


def _log_began(known: Records) -> int:
    """Before the first stoppage was written down nobody can tell whether there was none."""
    return day_number(known.stoppages["began_at"].min().date()) if len(known.stoppages) else 0


def _limits(factor: Array, weight: Array) -> tuple[float, float, float]:
    found = limits(factor, weight)
    return found.estimate, found.lower, found.upper
