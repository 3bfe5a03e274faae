"""What does a printer cost that stands still? One answer for every decision."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TypeVar

import numpy as np

from tracker.arrays import Array
from tracker.decisions.ordering.lead_time import LeadTime
from tracker.lives.open_days import closed_share
from tracker.workshop.records import Records
from tracker.workshop.working_days import WorkingDays

Days = TypeVar("Days", float, Array)
_EVEN_SHARES = (np.arange(1000) + 0.5) / 1000  # of deliveries


@dataclass(frozen=True)
class Downtime:
    """The margin lost while a printer stands, in currency units.

    ``per_hour``: lost in a working hour, after what the other printers take over.
    ``hours_per_day``: working hours of a working day. ``open_share``: share of all days on which
    the workshop works, closed days left out. ``courier_days, courier_cost``: how fast a courier or
    an express order brings a part, and what that costs more; infinite where there is none.
    """

    per_hour: float
    hours_per_day: float
    open_share: float
    courier_days: float = float("inf")
    courier_cost: float = float("inf")

    @classmethod
    def of(cls, known: Records, as_of: date) -> Downtime:
        """As set by the workshop and read off its log; ``known`` as known on that day."""
        taken_over = min(1.0, max(0.0, known.number("taken_over_share")))
        express = known.setting("courier_days").strip() and known.setting("courier_cost").strip()
        infinite = float("inf")
        return cls(
            per_hour=max(0.0, known.number("margin_per_hour")) * (1 - taken_over),
            hours_per_day=max(0.0, known.number("hours_per_day")),
            open_share=WorkingDays.of(known, as_of).share * (1 - closed_share(known, as_of)),
            courier_days=max(0.0, known.number("courier_days")) if express else infinite,
            courier_cost=max(0.0, known.number("courier_cost")) if express else infinite,
        )

    @property
    def per_day(self) -> float:
        """Lost on a day of the calendar, working or not, on average."""
        return self.per_hour * self.hours_per_day * self.open_share

    @property
    def longest_wait_days(self) -> float:
        """Days of the calendar after which a wait costs no more, for express would be cheaper.

        Express costs its price and the days it takes itself, min(c·w, e + c·min(w, d)), which is
        c·min(w, d + e/c). Infinite where there is no express delivery, or nothing is lost.

        >>> Downtime(10, 8, 0.5, courier_days=2, courier_cost=60).longest_wait_days
        3.5
        """
        if not np.isfinite(self.courier_cost) or self.per_day <= 0:
            return float("inf")
        return self.courier_days + self.courier_cost / self.per_day

    def of_hours(self, hours: float) -> float:
        """Lost in so many working hours."""
        return self.per_hour * hours

    def waiting(self, days: Days) -> Days:
        """Lost while a part is waited for, ``days`` of the calendar until it is delivered.

        Nobody waits for longer than an express delivery costs: that is the upper bound, whatever
        the usual delivery time.

        >>> Downtime(10, 8, 0.5).waiting(10.0)
        400.0
        >>> Downtime(10, 8, 0.5, courier_days=2, courier_cost=60).waiting(10.0)
        140.0
        """
        least = self.per_day * np.minimum(days, self.longest_wait_days)
        return least if np.ndim(days) else float(least)  # type: ignore[return-value]

    def until_delivered(self, lead: LeadTime) -> float:
        """Lost on average while a part ordered now is waited for: few, but long waits cost most.

        >>> from tracker.decisions.ordering.lead_time import lead_time_of
        >>> Downtime(10, 8, 0.5).until_delivered(lead_time_of(10.0, 10.0))
        400.0
        """
        return float(self.waiting(lead.quantile(_EVEN_SHARES)).mean())
