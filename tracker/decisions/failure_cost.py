"""What does one failure cost? Term by term, each with its range, its source and its place to edit.

The log speaks where it holds enough, the workshop's own figures where it does not, and the trade's
guesses last (common practice, no source). Money in currency units.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.decisions.cost_terms import (
    TAKES_ALONG_GUESS,
    CostTerm,
    FailureCost,
    Source,
)
from tracker.decisions.downtime import Downtime
from tracker.decisions.ordering.lead_time import LeadTime, lead_time, lead_times
from tracker.decisions.ordering.purchases import Price, price_of, prices
from tracker.lives.life_table import life_table
from tracker.lives.stood_hours import stood_hours
from tracker.models.normal import NORMAL_90
from tracker.workshop.parts.facts import PartFacts
from tracker.workshop.records import Records
from tracker.workshop.remembered.reads import found_once
from tracker.workshop.variants import PartType, fittings_in_use

LEAST_SCRAP, LEAST_STOPPAGES, LEAST_FAILURES = 3, 5, 3
BEFORE_DAYS, AFTER_DAYS = 14, 14  # trouble shows before a failure, damage to others after it
# How many failures of the log the guess is worth that a part takes another one with it: common
# practice, no source.
_GUESS_WORTH = 20.0
_FAR = 1e6  # days between two printers' places on one line, beyond any log
BROKE = ("failed", "accident")


@dataclass(frozen=True, eq=False)
class _Dated:
    """Amounts of ``printers`` on days: ``usual`` a day of each; ``day`` of each amount, printer
    after printer on one line, and what was ``reached`` before each, 0 first.
    """

    printers: pd.Index
    usual: Array
    day: Array
    reached: Array

    @classmethod
    def of(
        cls, printer: pd.Series, day: pd.Series, amount: pd.Series, watched: Mapping[str, float]
    ) -> _Dated:
        """``watched``: days of each printer in the log."""
        of_row, printers = pd.factorize(printer)
        amounts = amount.to_numpy(dtype=np.float64)
        days = np.array([watched.get(str(name), 1.0) for name in printers])
        usual = np.bincount(of_row, amounts, len(printers)) / days
        dated = np.flatnonzero(day.notna())
        line = of_row[dated] * _FAR + _days(day)[dated]
        order = np.argsort(line, kind="stable")
        reached = np.append(0.0, np.cumsum(amounts[dated][order]))
        return cls(pd.Index(printers), usual, line[order], reached)

    def beyond_usual(self, broke: pd.DataFrame, first: int, last: int) -> Array:
        """For each failure, the printer's amounts from ``first`` to ``last`` days after it, less
        its usual. All at once: a fleet has thousands of failures.
        """
        of_failure = self.printers.get_indexer(pd.Index(broke["printer"]))
        failed = of_failure * _FAR + _days(broke["removed_on"])
        until = self.reached[np.searchsorted(self.day, failed + last, side="right")]
        before = self.reached[np.searchsorted(self.day, failed + first, side="left")]
        beyond = until - before - np.append(self.usual, 0.0)[of_failure] * (last - first + 1)
        return np.where(of_failure >= 0, beyond, 0.0)


@dataclass(frozen=True, eq=False)
class FailureCosts:
    """What failures cost in a workshop, as known on a day; the log is read once for all kinds."""

    known: Records
    as_of: date
    lives: pd.DataFrame
    downtime: Downtime
    prices: dict[str, Price]
    stood: pd.DataFrame

    @classmethod
    def of(cls, known: Records, as_of: date) -> FailureCosts:
        """``known``: the records as known on ``as_of``."""
        return known.once(cls._counted, as_of)

    @classmethod
    def _counted(cls, known: Records, as_of: date) -> FailureCosts:
        return cls(
            known,
            as_of,
            life_table(known, as_of),
            Downtime.of(known, as_of),
            prices(known),
            stood_hours(known, as_of),
        )

    def of_kind(
        self, part_kind: str, variant: str = "", *, spare_on_shelf: bool, alone: bool = False
    ) -> FailureCost:
        """Every term of one failure's cost.

        ``alone`` leaves out what the failure does to other parts. Terms that are nothing are left
        out, except the part and the work.
        """
        return self.known.once(_cost_of, self.as_of, part_kind, variant, spare_on_shelf, alone)

    def _reckoned(
        self, part_kind: str, variant: str, spare_on_shelf: bool, alone: bool
    ) -> FailureCost:
        facts = self.known.part_facts(part_kind, variant)
        terms = [
            self._part(facts),
            self._parts_along(facts),
            self._work(facts),
            self._recovery(facts),
            self._spoiled(facts),
            self._change(facts),
            self._waiting(facts) if not spare_on_shelf else None,
            self._symptom_work(part_kind),
            None if alone else self._takes_along(part_kind, facts),
        ]
        counted = [
            term for term in terms if term and (term.amount > 0 or term.name in ("part", "work"))
        ]
        return FailureCost(part_kind, variant, spare_on_shelf, tuple(counted))

    def _part(self, facts: PartFacts) -> CostTerm:
        price = price_of(self.known, PartType(facts.part_kind, facts.variant))
        if price.purchases:
            amount, source = price.amount, "own order"
            return CostTerm("part", amount, amount, amount, source, price.purchases)  # type: ignore[arg-type]
        return CostTerm.known(
            "part", facts.unit_cost, _stated(facts, "unit_cost"), ("parts", "unit_cost")
        )

    def _parts_along(self, facts: PartFacts) -> CostTerm | None:
        amount = 0.0
        for kind in self.known.part_kinds():
            other = self.known.part_facts(kind)
            if kind != facts.part_kind and other.replaced_with == facts.part_kind:
                price = self.prices.get(kind)
                amount += taken_along(self.known, kind, facts.part_kind) * (
                    price.amount if price else other.unit_cost
                )
        return CostTerm("parts_along", amount, amount, amount, "catalogue") if amount else None

    def _work(self, facts: PartFacts) -> CostTerm:
        amount = facts.hours_to_change * self._labour
        source = _stated(facts, "hours_to_change")
        return CostTerm.known("work", amount, source, ("parts", "hours_to_change"))

    def _recovery(self, facts: PartFacts) -> CostTerm:
        work = facts.recovery_minutes / 60 * self._labour
        ink = facts.refill_ml / 1000 * self.known.number("fluid_per_litre")
        guessed = {"recovery_minutes", "refill_ml"} & facts.guessed
        source: Source = "guess" if guessed else "catalogue"
        return CostTerm.known("recovery", work + ink, source, ("parts", "recovery_minutes"))

    def _spoiled(self, facts: PartFacts) -> CostTerm:
        stops = self.known.stoppages
        noted = stops.loc[stops["part_kind"] == facts.part_kind, "scrap_cost"].dropna()
        if len(noted) >= LEAST_SCRAP:
            return CostTerm.counted("spoiled", noted)
        source = _stated(facts, "spoiled_per_failure")
        edit = ("parts", "spoiled_per_failure")
        return CostTerm.known("spoiled", facts.spoiled_per_failure, source, edit)

    def _change(self, facts: PartFacts) -> CostTerm:
        """Standing while the part is changed: by the log where it tells, else the hours to change.

        A stoppage that waited for a delivery would count the wait twice; the middle half of the
        stoppages is kept.
        """
        hours = self.stood[self.stood["part_kind"] == facts.part_kind]
        each = hours.groupby("stoppage")["hours"].sum()
        if len(each) >= LEAST_STOPPAGES:
            low, high = each.quantile([0.25, 0.75])
            usual = each[(each >= low) & (each <= high)]
            return CostTerm.counted("downtime", usual * self.downtime.per_hour)
        amount = self.downtime.of_hours(facts.hours_to_change + facts.recovery_minutes / 60)
        source = _stated(facts, "hours_to_change")
        return CostTerm.known("downtime", amount, source, ("parts", "hours_to_change"))

    def _waiting(self, facts: PartFacts) -> CostTerm:
        """The mean over deliveries, with what nine and one in ten of them exceed; of a kind with
        several types any of them.
        """
        waits, leads = self.downtime, self._leads(facts)
        amount = float(np.mean([waits.until_delivered(lead) for lead in leads]))
        early, late = (
            float(np.mean([waits.waiting(lead.quantile(share)) for lead in leads]))
            for share in np.array([0.1, 0.9])
        )
        orders = sum(lead.orders for lead in leads)
        source = "own order" if orders else _stated(facts, "lead_days")
        low, high = min(early, amount), max(late, amount)
        return CostTerm("waiting", amount, low, high, source, orders, ("parts", "lead_days"))

    def _leads(self, facts: PartFacts) -> list[LeadTime]:
        learnt = lead_times(self.known, self.as_of)
        kind, own = facts.part_kind, PartType(facts.part_kind, facts.variant)
        if own in learnt:
            return [learnt[own]]
        return [lead for part, lead in learnt.items() if part.part_kind == kind] or [
            lead_time(facts)
        ]

    def _symptom_work(self, part_kind: str) -> CostTerm | None:
        """Symptom-driven tasks in the days up to a failure, beyond the printer's usual number."""
        broke, called = self._failures(part_kind), self._called_for
        if len(broke) < LEAST_FAILURES or not len(called.printers):
            return None
        spent = called.beyond_usual(broke, -BEFORE_DAYS, 0)
        term = CostTerm.counted("symptom_work", pd.Series(spent))
        return term if term.amount > 0 else None

    @found_once
    def _called_for(self) -> _Dated:
        """What the tasks that a symptom called for cost."""
        called = self.known.finding(_called_for)
        cost = called["minutes"].fillna(0) / 60 * self._labour
        cost += called["fluid_ml"].fillna(0) / 1000 * self.known.number("fluid_per_litre")
        return self._dated(called["printer"], called["done_on"], cost)

    def _takes_along(self, part_kind: str, facts: PartFacts) -> CostTerm | None:
        """The chance that a costlier part of the printer breaks soon after, times what that costs.

        Counted beyond the printer's usual rate and shrunk towards the trade's guess (a beta prior
        worth _GUESS_WORTH failures).
        """
        broke = self._failures(part_kind)
        amount = low = high = 0.0
        for kind in self.known.part_kinds():
            other = self.known.part_facts(kind)
            guess = TAKES_ALONG_GUESS.get((part_kind, kind), 0.0)
            if kind == part_kind or not guess or other.unit_cost <= facts.unit_cost:
                continue
            theirs = self._failures(kind)
            each = pd.Series(1.0, theirs.index)
            dated = self._dated(theirs["printer"], theirs["removed_on"], each)
            beyond = float(dated.beyond_usual(broke, 1, AFTER_DAYS).sum())
            worth = len(broke) + _GUESS_WORTH
            chance = max(0.0, beyond + guess * _GUESS_WORTH) / worth
            error = NORMAL_90 * np.sqrt(chance * (1 - chance) / (worth + 1))
            cost = self.of_kind(kind, spare_on_shelf=True, alone=True).total
            amount += chance * cost
            low += max(0.0, chance - error) * cost
            high += (chance + error) * cost
        if not amount:
            return None
        return CostTerm(
            "takes_along", amount, low, high, "log" if len(broke) else "guess", len(broke)
        )

    def _failures(self, part_kind: str) -> pd.DataFrame:
        return self._broke.get(part_kind, self.lives.iloc[:0])

    @found_once
    def _broke(self) -> dict[str, pd.DataFrame]:
        """The failures of each kind, on a day that is known."""
        broke = self.lives["outcome"].isin(BROKE) & self.lives["removed_on"].notna()
        rows = self.lives[broke]
        return {str(kind): own for kind, own in rows.groupby("part_kind")}

    def _dated(self, printer: pd.Series, day: pd.Series, amount: pd.Series) -> _Dated:
        return _Dated.of(printer, day, amount, self.known.finding(_days_watched, self.as_of))

    @property
    def _labour(self) -> float:
        return max(0.0, self.known.number("labour_per_hour"))


def _cost_of(known: Records, as_of: date, *asked: Any) -> FailureCost:
    return FailureCosts.of(known, as_of)._reckoned(*asked)


def positions_per_printer(known: Records, part_kind: str) -> float:
    """How many parts of this kind does a printer hold, on average over those that hold any?"""
    return known.once(_positions_per_printer).get(part_kind, 0.0)


def _positions_per_printer(known: Records) -> dict[str, float]:
    """Positions that hold a part or wait for one; of a kind without any all that ever did, so that
    one named anew does not count twice.
    """
    places = known.fittings[["part_kind", "printer", "position"]]
    used = places[fittings_in_use(known)]
    places = pd.concat([used, places[~places["part_kind"].isin(used["part_kind"])]])
    found = places.drop_duplicates().groupby("part_kind")
    found = found.agg({"printer": "nunique", "position": "size"})
    return dict(zip(found.index, found["position"] / found["printer"], strict=True))


def taken_along(known: Records, part_kind: str, leader: str) -> float:
    """How many parts of the kind go out along with one of the leading kind, on average? Where a
    printer holds several of these, each takes its share.
    """
    return positions_per_printer(known, part_kind) / (positions_per_printer(known, leader) or 1.0)


def _days(moments: pd.Series) -> Array:
    """Days since 1970-01-01."""
    found: Array = (moments.to_numpy() - np.datetime64(0, "ns")) / np.timedelta64(1, "D")
    return found


def _stated(facts: PartFacts, name: str) -> Source:
    return "guess" if name in facts.guessed else "catalogue"


def _days_watched(known: Records, as_of: date) -> dict[str, float]:
    """Days of the log on which each printer was there, at least one."""
    log_began = [] if known.log_began_on is None else [pd.Timestamp(known.log_began_on)]
    columns = (known.printers[name] for name in ("printer", "started_on", "retired_on"))
    there: dict[str, tuple[list[pd.Timestamp], list[pd.Timestamp]]] = {}
    for printer, started, retired in zip(*columns, strict=True):
        began, ended = there.setdefault(str(printer), ([*log_began], [pd.Timestamp(as_of)]))
        began.extend([] if pd.isna(started) else [started])
        ended.extend([] if pd.isna(retired) else [retired])
    return {
        printer: max(float((min(ended) - max(began)).days), 1.0) if began else 1.0
        for printer, (began, ended) in there.items()
    }


def _called_for(known: Records) -> pd.DataFrame:
    """The tasks that a symptom called for."""
    symptom = np.flatnonzero(known.codes("maintenance", "why").is_word("symptom"))
    log = known.coded_table("maintenance").cut(symptom).frame
    return log[["printer", "done_on", "minutes", "fluid_ml"]]
