"""A seeded workshop that lives by known parameters, for the demo and for studies of the methods.

Parts wear (Weibull, with the true effect of planned tasks), meet accidents, go out with another
part or by plan; failures are found at the next nozzle check; a spare from the shelf goes in, or
the printer stands until the delivery. Events are lived through in the order of days, for the
shelf is shared by all printers.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np
import pandas as pd

from tests.simulation.simulated_days import PrinterDays, printer_days
from tests.simulation.simulated_shelf import Lot, Order, Shelf
from tests.simulation.workshop_plan import PartPlan, Truth, WorkshopPlan
from tracker.workshop.records import Records

_DELIVERY, _REFIT, _REMOVAL = 0, 1, 2


@dataclass
class Fitting:
    """One part in one position, as it really lived; days from the simulation's first day."""

    printer: int
    part: PartPlan
    position: str
    fitted: int
    lot: Lot
    scale: float
    threshold: float = np.inf
    other_end: tuple[float, str] = (np.inf, "")
    wear_age: float = np.inf
    ends: int | None = None
    reason: str = ""
    last_ok: int | None = None
    removed: int | None = None


@dataclass
class Stop:
    """A printer standing still for one failed part; ``back`` is the day it ran again."""

    printer: int
    fitting: Fitting
    began: int
    back: int


@dataclass
class History:
    """Everything that happened, before anyone wrote it down."""

    plan: WorkshopPlan
    origin: date
    days: list[PrinterDays]
    shelf: Shelf
    fittings: list[Fitting] = field(default_factory=list)
    stops: list[Stop] = field(default_factory=list)

    @property
    def log_began(self) -> int:
        """First day of the log."""
        return (self.plan.log_began_on - self.origin).days

    @property
    def log_ends(self) -> int:
        """Last day of the log."""
        return (self.plan.log_ends_on - self.origin).days

    def dates(self, days: Iterable[float]) -> pd.DatetimeIndex:
        """Calendar days of numbered days; NaT for NaN."""
        number = np.array(list(days), dtype=float)
        known = ~np.isnan(number)
        offset = np.where(known, number, 0).astype("timedelta64[D]")
        date = np.datetime64(self.origin, "D") + offset
        stamps = np.where(known, date, np.datetime64("NaT")).astype("datetime64[ns]")
        return pd.DatetimeIndex(stamps)


def simulate_workshop(plan: WorkshopPlan, rng: np.random.Generator) -> tuple[Records, Truth]:
    """What would this workshop have written down, and what was the truth behind it?

    Everything random comes from ``rng``; the same plan and seed give the same records.

    >>> from tests.simulation.workshop_plan import study_plan
    >>> records, truth = simulate_workshop(study_plan(printers=2), np.random.default_rng(1))
    >>> len(records.printers), len(records.fittings) == len(truth.lives)
    (2, True)
    """
    from tests.simulation.simulated_log import write_down

    return write_down(live_through(plan, rng), rng)


def live_through(plan: WorkshopPlan, rng: np.random.Generator) -> History:
    """The whole history of the workshop, from its first printer to the end of the log."""
    origin = min([plan.log_began_on, *(printer.started_on for printer in plan.printers)])
    origin -= timedelta(days=1)
    days = [printer_days(plan, printer, origin, rng) for printer in plan.printers]
    shelf = Shelf(plan, origin, rng)
    return _Life(History(plan, origin, days, shelf), rng).run()


class _Life:
    """The event loop; keeps the queue, what is in each position, and who stands till when."""

    def __init__(self, history: History, rng: np.random.Generator) -> None:
        self.history = history
        self.rng = rng
        self.queue: list[tuple[int, int, int, Fitting | Order]] = []
        self.number = 0
        self.fitted: dict[tuple[int, str, str], Fitting] = {}
        self.stands_till = [0] * len(history.days)
        halved = history.plan.halved_from
        self.halved_day = None if halved is None else (halved - history.origin).days

    def run(self) -> History:
        history = self.history
        for printer, days in enumerate(history.days):
            for part in history.plan.parts:
                if part.goes_into(days.plan.head_type):
                    for position in part.positions(days.plan.channels):
                        self._fit(printer, part, position, days.first, Lot())
        while self.queue:
            day, what, _, subject = heapq.heappop(self.queue)
            if day > history.log_ends:
                break
            if isinstance(subject, Order):
                history.shelf.receive(subject)
            elif what == _REFIT:
                self._refit(subject, day)
            elif subject.removed is None and subject.ends == day:
                self._remove(subject, day)
        self._retire()
        return history

    def _push(self, day: int, what: int, subject: Fitting | Order) -> None:
        self.number += 1
        heapq.heappush(self.queue, (day, what, self.number, subject))

    def _fit(self, printer: int, part: PartPlan, position: str, day: int, lot: Lot) -> None:
        head_type = self.history.days[printer].plan.head_type
        scale = part.scale_of(position) * lot.life_factor
        scale *= part.head_type_factors.get(head_type, 1.0)
        fitting = Fitting(printer, part, position, day, lot, scale)
        self.history.fittings.append(fitting)
        self.fitted[printer, part.kind, position] = fitting
        harder = self.history.days[printer].plan.log_hazard
        fitting.threshold = self.rng.exponential() * float(np.exp(-harder))
        if part.accident_per_year:
            accident = self.rng.exponential(365.25 / part.accident_per_year)
            fitting.other_end = (day + accident, "accident")
        if part.planned_age_days is not None:
            fitting.other_end = min(fitting.other_end, (day + part.planned_age_days, "planned"))
        self._decide_end(fitting)

    def _decide_end(self, fitting: Fitting) -> None:
        part, days = fitting.part, self.history.days[fitting.printer]
        fitting.wear_age = self._wear_age(fitting, fitting.threshold)
        fitting.ends, fitting.reason, fitting.last_ok = None, "", None
        end, reason = min((fitting.fitted + fitting.wear_age, "failed"), fitting.other_end)
        found = None if end >= len(days.working) else days.next_check(int(np.ceil(end)))
        if found is None:
            return
        fitting.ends, fitting.reason = found, reason
        if reason == "failed" and part.seen_in_nozzle_check:
            fitting.last_ok = max(fitting.fitted, days.last_check(int(end)))
        self._push(found, _REMOVAL, fitting)

    def _wear_age(self, fitting: Fitting, threshold: float) -> float:
        """The age at which the cumulative hazard of wear reaches the threshold."""
        part, days = fitting.part, self.history.days[fitting.printer]
        log_hazard = days.log_hazard(part, fitting.fitted, self.halved_day)
        if log_hazard is None and part.clock == "days":
            return float(fitting.scale * threshold ** (1 / part.shape))
        count = len(days.working) - fitting.fitted
        if part.clock == "area":
            clock = days.area_clock()[fitting.fitted :] - days.area_clock()[fitting.fitted]
        else:
            clock = np.arange(count + 1.0)
        steps = np.diff((clock / fitting.scale) ** part.shape)
        if log_hazard is not None:
            steps = steps * np.exp(log_hazard)
        reached = np.concatenate([[0.0], np.cumsum(steps)])
        if reached[-1] <= threshold:
            return float("inf")
        return float(np.interp(threshold, reached, np.arange(count + 1.0)))

    def _remove(self, fitting: Fitting, day: int) -> None:
        printer, part = fitting.printer, fitting.part
        if day < self.stands_till[printer]:  # nobody looks at a printer that stands
            fitting.ends = self.stands_till[printer]
            self._push(fitting.ends, _REMOVAL, fitting)
            return
        shelf = self.history.shelf
        fitting.removed = day
        back = day if shelf.on_hand(part) else shelf.wait_for(part, day)
        if fitting.reason != "planned" or back > day:
            self.history.stops.append(Stop(printer, fitting, day, back))
        self._stand(printer, day, back)
        self._push(back, _REFIT, fitting)
        self._tell_orders()

    def _stand(self, printer: int, day: int, back: int) -> None:
        if back <= day:
            return
        days = self.history.days[printer]
        days.stand(day, min(back, len(days.area)))
        self.stands_till[printer] = max(back, self.stands_till[printer])
        for (where, _, _), fitting in self.fitted.items():
            if where == printer and fitting.removed is None and fitting.part.clock == "area":
                self._decide_end(fitting)  # what is not printed does not wear

    def _refit(self, old: Fitting, day: int) -> None:
        if day > self.history.days[old.printer].last:
            return
        lot = self.history.shelf.take(old.part, day)
        if lot is None:  # another printer's change took the piece: wait for the next delivery
            back = self.history.shelf.wait_for(old.part, day)
            for stop in self.history.stops:
                if stop.fitting is old:
                    stop.back = back
            self._stand(old.printer, day, back)
            self._push(back, _REFIT, old)
            self._tell_orders()
            return
        self._fit(old.printer, old.part, old.position, day, lot)
        head_type = self.history.days[old.printer].plan.head_type
        for part in self.history.plan.parts:
            if part.replaced_with == old.part.kind and part.goes_into(head_type):
                self._change_along(old.printer, part, day)
        self._tell_orders()

    def _change_along(self, printer: int, part: PartPlan, day: int) -> None:
        for position in part.positions(self.history.days[printer].plan.channels):
            fitting = self.fitted[printer, part.kind, position]
            if fitting.removed is not None or fitting.fitted == day:
                continue
            lot = self.history.shelf.take(part, day)
            if lot is None:
                return  # the rest stay in
            fitting.removed, fitting.reason, fitting.last_ok = day, "with_other", None
            self._fit(printer, part, position, day, lot)

    def _tell_orders(self) -> None:
        for order in self.history.shelf.new_orders:
            self._push(order.received, _DELIVERY, order)
        self.history.shelf.new_orders.clear()

    def _retire(self) -> None:
        for fitting in self.history.fittings:
            days = self.history.days[fitting.printer]
            retired = days.plan.retired_on is not None and days.last <= self.history.log_ends
            if retired and fitting.removed is None:
                fitting.removed, fitting.reason, fitting.last_ok = days.last, "retired", None
