"""Should a working part be changed by plan, at a certain age? One rule for every page.

A planned change costs the part, what goes along and the work, at an hour when no job waits, and
the cleans and refill after it; a failure costs standing hours, spoiled goods and what it does to
other parts as well. A spare is taken to be on the shelf.

A change pays where ``best_age`` calls it worthwhile (it saves 1 % or more and is more likely than
not to save anything) and all that do would together save the workshop an hour's wages in a year.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from tracker.arrays import Array, Ints
from tracker.decisions.cost_terms import FailureCost
from tracker.decisions.failure_cost import FailureCosts
from tracker.decisions.replacement_age import (
    ReplacementAge,
    best_ages,
    chance_of_saving,
    ends_80,
)
from tracker.decisions.routine.cost import open_days_per_year
from tracker.forecast.fitted_lives import FittedLives, fit_lives
from tracker.forecast.steady_lives import as_today, in_order_of_hazard, new_parts
from tracker.lives.open_days import closed_share
from tracker.models.life_model.whole import LifeDraws
from tracker.workshop.records import Records

PRINTER_COLUMNS = (
    "part_kind",
    "ink",
    "variant",
    "group",
    "printer",
    "fitted",
    "age",
    "saving",
    "per_year",
    "chance_it_pays",
    "pays",
)
GROUP_COLUMNS = (
    "part_kind",
    "group",
    "printers",
    "worthwhile_in",
    "age",
    "age_low",
    "age_high",
    "earliest",
    "latest",
    "saving",
    "per_year",
    "per_year_p10",
    "per_year_p90",
    "chance_it_pays",
    "planned",
    "failing",
    "pays",
)
Group = tuple[str, str, str]  # kind, ink, type
_STAND_INS = 24  # printers of a fleet reckoned for each group; the others are like one of them
_TOGETHER = 4  # of them, next to each other in hazard: few enough to stay in the cache


@dataclass(frozen=True, eq=False)
class PlannedAges:
    """At what age is a planned change cheapest, and does it pay?

    ``by_printer``, one row per printer and group (part kind, ink and type) that is fitted there:
    PRINTER_COLUMNS. ``group`` is the ink or type where the kind has several (else ""); ``fitted``
    counts the parts; ``age`` in open days is infinite where a change
    is not worthwhile, ``saving`` the share of the run-to-failure cost that it saves and
    ``per_year`` the money, in currency units per position; ``pays`` is the advice.

    ``by_group``, one row per group: GROUP_COLUMNS. Over the ``worthwhile_in`` of its ``printers``
    in which a change is worthwhile: the middle ``age`` (infinite where there are none), the lowest
    and highest one with the printers they belong to (``earliest``, ``latest``), and what a change
    saves in a mean position, with its 80 % range (below 0: lost) and the chance that it saves
    anything. ``planned`` and ``failing`` are the two costs.
    """

    by_printer: pd.DataFrame
    by_group: pd.DataFrame


def planned_ages(
    records: Records, as_of: date, *, fitted: FittedLives | None = None
) -> PlannedAges:
    """Which parts are best changed by plan, at what age, and which are run to failure?

    The life is that of a new part in that printer at today's hazard (``forecast.steady_lives``):
    a printer that is harder on its parts gets an earlier age. In a fleet, printers of about the
    same hazard share one answer. Kinds whose level decides (the waste tank) are left out.
    ``fitted`` may be given where ``fit_lives`` of that day was already asked.
    """
    fitted = fit_lives(records, as_of) if fitted is None else fitted
    found = _groups(fitted)
    tables = [group.by_printer() for group in found]
    none = pd.DataFrame(columns=list(PRINTER_COLUMNS))
    printers = pd.concat(tables, ignore_index=True) if tables else none
    groups = pd.DataFrame([group.line() for group in found], columns=list(GROUP_COLUMNS))
    in_a_year = float((printers["fitted"] * printers["per_year"]).sum())
    worth_it = in_a_year >= fitted.known.number("labour_per_hour")
    for table in (printers, groups):
        table["pays"] = np.isfinite(table["age"].astype(float)) & worth_it
    return PlannedAges(printers, groups)


@dataclass(frozen=True, eq=False)
class _Group:
    """A group's answers, one for each of its ``printers`` with the parts ``fitted`` there;
    ``open_days`` of a year, on which alone parts live.
    """

    name: Group
    label: str
    printers: tuple[str, ...]
    fitted: Ints
    answers: tuple[ReplacementAge, ...]
    weight: Array
    cost: FailureCost
    open_days: float

    def by_printer(self) -> pd.DataFrame:
        """PRINTER_COLUMNS but the last."""
        answers = self.answers
        return pd.DataFrame(
            {
                **dict(zip(PRINTER_COLUMNS[:3], self.name, strict=True)),
                "group": self.label,
                "printer": self.printers,
                "fitted": self.fitted,
                "age": [own.age for own in answers],
                "saving": [own.saving if own.worthwhile else 0.0 for own in answers],
                "per_year": [self.open_days * own.saved_mean for own in answers],
                "chance_it_pays": [own.chance_it_pays for own in answers],
            }
        )

    def line(self) -> dict[str, object]:
        """GROUP_COLUMNS but the last."""
        worth = [row for row, own in enumerate(self.answers) if own.worthwhile]
        worth.sort(key=lambda row: self.answers[row].age)
        ages = [self.answers[row].age for row in worth] or [np.inf]
        share = self.fitted[worth] / max(self.fitted[worth].sum(), 1)
        saved, to_failure = np.zeros(len(self.weight)), 0.0
        for part, row in zip(share, worth, strict=True):
            saved = saved + part * self.answers[row].saved
            to_failure += part * self.answers[row].run_to_failure_rate
        mean = float(self.weight @ saved)
        low, high = ends_80(saved, self.weight)
        return {
            "part_kind": self.name[0],
            "group": self.label,
            "printers": len(self.printers),
            "worthwhile_in": len(worth),
            "age": ages[(len(ages) - 1) // 2],
            "age_low": ages[0],
            "age_high": ages[-1],
            "earliest": self.printers[worth[0]] if worth else "",
            "latest": self.printers[worth[-1]] if worth else "",
            "saving": mean / to_failure if worth else 0.0,
            "per_year": self.open_days * mean,
            "per_year_p10": self.open_days * low,
            "per_year_p90": self.open_days * high,
            "chance_it_pays": chance_of_saving(saved, self.weight),
            "planned": self.cost.planned,
            "failing": self.cost.total,
        }


def _groups(fitted: FittedLives) -> list[_Group]:
    """Every group in use that a planned change costs anything of, in the order of the kinds."""
    if fitted.draws is None or fitted.told is None:
        return []
    today = as_today(fitted.draws)
    costs = FailureCosts.of(fitted.known, fitted.as_of)
    parts = fitted.parts(fitted.running.index)
    open_days = open_days_per_year(closed_share(fitted.known, fitted.as_of))
    found = []
    for kind in fitted.known.part_kinds():
        for group, (name, label) in groups_in_use(fitted, kind).items():
            cost = costs.of_kind(kind, name[2], spare_on_shelf=True)
            if cost.planned <= 0:
                continue
            units, fitted_there = np.unique(parts.unit[parts.group == group], return_counts=True)
            answers = _answers(today, group, units, cost)
            names = tuple(fitted.told.printers[unit] for unit in units)
            found.append(
                _Group(name, label, names, fitted_there, answers, today.weight, cost, open_days)
            )
    return found


def _answers(
    today: LifeDraws, group: int, units: Ints, cost: FailureCost
) -> tuple[ReplacementAge, ...]:
    """The answer for a new part in each of these printers, or in one much like it."""
    order = in_order_of_hazard(today, group, units)
    alike = np.array_split(order, min(len(units), _STAND_INS))
    middle = np.array([rows[len(rows) // 2] for rows in alike])
    lives = new_parts(today, group, units[middle])
    together = np.split(np.arange(len(middle)), np.arange(_TOGETHER, len(middle), _TOGETHER))
    answers = [
        own for rows in together for own in best_ages(lives.take(rows), cost.planned, cost.total)
    ]
    like = np.empty(len(units), np.int64)
    like[order] = np.repeat(np.arange(len(alike)), [len(rows) for rows in alike])
    return tuple(answers[own] for own in like)


def groups_in_use(fitted: FittedLives, part_kind: str) -> dict[int, tuple[Group, str]]:
    """The groups of a kind that are fitted now, by number: the group, and what tells it from the
    others, its ink or type ("" where there is but one).
    """
    if fitted.told is None or fitted.running.empty:
        return {}
    running = np.unique(fitted.parts(fitted.running.index).group)
    names = {int(group): fitted.told.groups[group] for group in running}
    names = {group: name for group, name in names.items() if name[0] == part_kind}
    apart = [i for i in (1, 2) if len({name[i] for name in names.values()}) > 1]
    return {
        group: (name, ", ".join(name[i] for i in apart if name[i])) for group, name in names.items()
    }
