"""What would the stock advice have cost, beside two simple habits?

The pieces that the workshop really needed (``needs``) are walked over three times, each
with a shelf of its own: with this program's advice as it would have been given then, with always
one piece of every kind on the shelf, and with ordering when something breaks. Everything else is
alike: an empty shelf on the log's first day, whole packs, the first WARM_UP_DAYS lived through
but not counted (no one has evidence then), and the same deliveries, drawn DRAWS times from the
type's delivery time as it is known today. A printer that waits for two pieces stands once.

Money: margin lost by printers standing, money tied up in pieces on the shelf, pieces grown too
old, and pieces left at the end at their full price (though they will be used later). Pieces that
were used cost everyone the same and are not counted. The printers' further history is taken as it
was, also where another shelf would have had them printing again on another day.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.decisions.downtime import Downtime
from tracker.decisions.ordering.daily_costs import holding_share_per_day
from tracker.decisions.ordering.lead_time import LeadTime, lead_times
from tracker.decisions.ordering.purchases import type_prices
from tracker.models.normal import NORMAL_975
from tracker.replay.advice import Advice, Level
from tracker.replay.findings import (
    ADVICE,
    KIND_COLUMNS,
    LEAST_DAYS,
    LEAST_NEEDS,
    NONE,
    ONE,
    POLICIES,
    SERVICE_COLUMNS,
    WARM_UP_DAYS,
    AdviceCost,
    PolicyCost,
    Service,
)
from tracker.replay.needs import Progress, first_day_of, needs
from tracker.replay.past_advice import advice_of, review_days
from tracker.replay.shelf import BaseStock, Habit, Walk, walk
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType, of_type

DRAWS = 20
_SEED = 20


@dataclass(frozen=True)
class ScoredTime:
    """The time over which ways of ordering are compared: ``days`` from the day ``begins`` (None: a
    log without a day), in which so many pieces were needed (``needs``).
    """

    begins: date | None
    days: int
    needs: int

    @classmethod
    def of(cls, records: Records, as_of: date) -> ScoredTime:
        """All of the log but its first WARM_UP_DAYS."""
        first_day = first_day_of(records)
        if first_day is None:
            return cls(None, 0, 0)
        begins = first_day + timedelta(days=WARM_UP_DAYS)
        counted = needs(records, as_of)["needed_on"].dt.date >= begins
        return cls(begins, max(0, (as_of - begins).days), int(counted.sum()))

    @property
    def is_enough(self) -> bool:
        """Whether a comparison over it says anything."""
        return self.days >= LEAST_DAYS and self.needs >= LEAST_NEEDS


def advice_cost(
    records: Records,
    as_of: date,
    *,
    draws: int = DRAWS,
    rng: np.random.Generator | None = None,
    advice: Advice | None = None,
    service: float | None = None,
    progress: Progress | None = None,
) -> AdviceCost:
    """What would the advice have cost against always one on the shelf and against none?

    ``rng`` draws the deliveries (a fixed seed where None); ``advice`` is what was advised, where
    already there or other than this program's (``advice_of``); ``service`` is the level asked for
    (the workshop's setting where None); ``progress`` is told how far it has come.
    """
    rng = np.random.default_rng(_SEED) if rng is None else rng
    time = ScoredTime.of(records, as_of)
    currency = records.setting("currency")
    if time.begins is None or not time.is_enough:
        return AdviceCost(
            time.begins, time.days, time.needs, currency, (),
            pd.DataFrame(columns=list(KIND_COLUMNS)), None,
            pd.DataFrame(columns=list(SERVICE_COLUMNS)),
        )  # fmt: skip
    advice = advice_of(records, as_of, progress) if advice is None else advice
    first_day = time.begins - timedelta(days=WARM_UP_DAYS)
    played = _Played.of(records, as_of, first_day, needs(records, as_of), advice, draws, rng)
    policies, by_kind = played.costs()
    asked = records.number("service_level") if service is None else service
    is_floor = service is not None or records.is_set("service_level")
    kept, kept_by_kind = played.service(asked, is_floor=is_floor)
    return AdviceCost(
        time.begins, time.days, time.needs, currency, policies, by_kind, kept, kept_by_kind
    )


@dataclass(frozen=True, eq=False)
class _Kind:
    """One type of part's world, the same for every policy."""

    needed: NDArray[np.int64]
    printer: NDArray[np.int64]
    stops: NDArray[np.bool_]
    deliveries: NDArray[np.int64]  # (draws, days)
    price: float
    pack_size: int
    shelf_life_days: float
    levels: Mapping[int, Level]


@dataclass(frozen=True, eq=False)
class _Played:
    """Every kind walked with every policy and every draw of deliveries."""

    last: int
    reviews: Sequence[int]
    draws: int
    downtime: Downtime
    holding_share_per_day: float
    kinds: Mapping[PartType, _Kind]
    walks: Mapping[tuple[PartType, str], Sequence[Walk]]

    @classmethod
    def of(
        cls,
        records: Records,
        as_of: date,
        first_day: date,
        wanted: pd.DataFrame,
        advice: Advice,
        draws: int,
        rng: np.random.Generator,
    ) -> _Played:
        last = (as_of - first_day).days
        day = (wanted["needed_on"] - pd.Timestamp(first_day)).dt.days.to_numpy()
        printer = pd.factorize(wanted["printer"])[0]
        known = records.known_at(as_of)
        leads, cost_of = lead_times(known, as_of), type_prices(known)
        kinds, walks = {}, {}
        for part, advised in advice.habits.items():
            facts = records.part_facts(*part)
            own = of_type(wanted, part).to_numpy() & (day > 0)
            pack = max(1, facts.pack_size)
            kinds[part] = one = _Kind(
                needed=day[own],
                printer=printer[own],
                stops=wanted["stops"].to_numpy(dtype=bool)[own],
                deliveries=_deliveries(leads[part], (draws, last + 1), rng),
                price=cost_of[part].amount,
                pack_size=pack,
                shelf_life_days=facts.shelf_life_days,
                levels=advice.levels.get(part, {}),
            )
            habits: dict[str, Habit] = {
                ADVICE: advised,
                ONE: BaseStock(1, pack),
                NONE: BaseStock(0, pack),
            }
            for policy, habit in habits.items():
                walks[part, policy] = [
                    walk(
                        one.needed.tolist(), habit, deliveries.tolist(), last,
                        shelf_life_days=one.shelf_life_days, pack_size=pack,
                        scored_from=WARM_UP_DAYS,
                    )
                    for deliveries in one.deliveries
                ]  # fmt: skip
        return cls(
            last=last,
            reviews=review_days(records, first_day, as_of),
            draws=draws,
            downtime=Downtime.of(known, as_of),
            holding_share_per_day=holding_share_per_day(records),
            kinds=kinds,
            walks=walks,
        )

    def costs(self) -> tuple[tuple[PolicyCost, ...], pd.DataFrame]:
        """Every policy over all kinds, and every kind with every policy."""
        rows: list[dict[str, Any]] = []
        policies = []
        for policy in POLICIES:
            own = [self._kind_cost(kind, policy) for kind in self.kinds]
            rows += own
            sums = {name: sum(row[name] for row in own) for name in _SUMMED}
            # Over kinds: a printer that waits for a head and its dampers stands once.
            stood = np.array([self._stood(self.kinds, policy, draw) for draw in range(self.draws)])
            lost = np.array([self._lost(self.kinds, policy, draw) for draw in range(self.draws)])
            money = lost + sum(row["other"] for row in own)
            low, high = np.quantile(money, (0.1, 0.9))
            policies.append(
                PolicyCost(
                    policy=policy,
                    downtime_days=float(stood.mean()),
                    downtime_cost=float(lost.mean()),
                    low=float(low),
                    high=float(high),
                    **sums,
                )
            )
        return tuple(policies), pd.DataFrame(rows, columns=list(KIND_COLUMNS))

    def _kind_cost(self, kind: PartType, policy: str) -> dict[str, Any]:
        one, walks = self.kinds[kind], self.walks[kind, policy]
        scored = one.needed >= WARM_UP_DAYS
        stood = np.mean([self._stood([kind], policy, draw) for draw in range(self.draws)])
        holding = (
            np.array([found.piece_days for found in walks]) * one.price * self.holding_share_per_day
        )
        aged = np.array([found.aged for found in walks]) * one.price
        left = np.array([found.left for found in walks]) * one.price
        downtime_cost = float(
            np.mean([self._lost([kind], policy, draw) for draw in range(self.draws)])
        )
        other = holding + aged + left
        return {
            **kind._asdict(),
            "policy": policy,
            "needs": int(scored.sum()),
            "missing": float(np.mean([(found.served > one.needed)[scored] for found in walks]))
            * int(scored.sum())
            if scored.any()
            else 0.0,
            "downtime_days": float(stood),
            "downtime_cost": downtime_cost,
            "holding": float(holding.mean()),
            "aged": float(aged.mean()),
            "left_over": float(left.mean()),
            "money": downtime_cost + float(other.mean()),
            "other": other,
        }

    def _lost(self, kinds: Iterable[PartType], policy: str, draw: int) -> float:
        """What those days cost; a wait costs no more than an express delivery."""
        longest = self.downtime.longest_wait_days
        return self.downtime.per_day * self._stood(kinds, policy, draw, longest=longest)

    def _stood(
        self,
        kinds: Iterable[PartType],
        policy: str,
        draw: int,
        *,
        longest: float = float("inf"),
    ) -> float:
        """Printer-days standing on scored days, each printer once at a time.

        Of each wait at most the ``longest`` days count.
        """
        printer, start, end = [], [], []
        for kind in kinds:
            one, found = self.kinds[kind], self.walks[kind, policy][draw]
            waited = one.stops & (found.served > one.needed) & (found.served > WARM_UP_DAYS)
            printer.append(one.printer[waited])
            start.append(np.maximum(one.needed[waited], WARM_UP_DAYS))
            end.append(np.minimum(found.served[waited], start[-1] + longest))
        return _union(np.concatenate(printer), np.concatenate(start), np.concatenate(end))

    def service(self, asked: float, *, is_floor: bool) -> tuple[Service | None, pd.DataFrame]:
        """The service level kept over the review cycles, all kinds kept by stock and each."""
        rows, apart = [], 0.0
        for kind, one in self.kinds.items():
            kept, exact, foretold = [], [], []
            for place, day in enumerate(self.reviews[:-1]):
                level = one.levels.get(day)
                if day < WARM_UP_DAYS or level is None:
                    continue
                following = self.reviews[place + 1]
                ends = following + one.deliveries[:, following]
                if ends.max() > self.last:
                    continue
                needed = np.searchsorted(one.needed, ends, side="right") - np.searchsorted(
                    one.needed, day, side="right"
                )
                spares = np.array([found.spares[day] for found in self.walks[kind, ADVICE]])
                # A cycle lasts until a delivery of the next one: neighbours share those days.
                apart += min(1.0, (following - day) / float(ends.mean() - day))
                kept.append(float(np.mean(needed <= spares)))
                exact.append(float(np.mean(level.within(asked, needed))))
                foretold.append(float(np.mean([level.foretold(held) for held in spares])))
            if kept:
                means = (float(np.mean(own)) for own in (exact, foretold, kept))
                rows.append((*kind, len(kept), asked, *means))
        table = pd.DataFrame(rows, columns=list(SERVICE_COLUMNS))
        cycles = int(table["cycles"].sum())
        if not cycles:
            return None, table
        share = table["cycles"].to_numpy() / cycles
        exact_all, foretold_all, kept_all = (
            float(share @ table[name]) for name in ("kept_as_asked", "foretold", "kept")
        )
        limits = _wilson(exact_all, apart)
        return Service(asked, is_floor, cycles, exact_all, foretold_all, kept_all, *limits), table


_FAR = 1e6  # longer than any log, in days: keeps printers apart on one line of days
_SUMMED = ("needs", "missing", "holding", "aged", "left_over")


def _deliveries(
    lead: LeadTime, shape: tuple[int, int], rng: np.random.Generator
) -> NDArray[np.int64]:
    """How long an order placed on each day up to today takes, in whole days."""
    drawn = rng.standard_normal(shape)
    takes = np.full(shape, lead.typical_days)
    if lead.log_spread > 0:
        takes = np.maximum(1, np.exp(lead.log_middle + lead.log_spread * drawn))
    waits = lead.shut.wait(np.arange(1.0 - shape[1], 1.0), takes)
    return np.asarray(np.rint(waits), dtype=np.int64)


def _union(printer: NDArray[np.int64], start: NDArray[np.int64], end: NDArray[np.float64]) -> float:
    """Total length of the spans, those of one printer that overlap counted once."""
    begins, ends = printer * _FAR + start, printer * _FAR + end
    order = np.argsort(begins, kind="stable")
    begins, ends = begins[order], ends[order]
    until = np.concatenate(([-np.inf], np.maximum.accumulate(ends)[:-1]))
    return float(np.maximum(ends - np.maximum(begins, until), 0.0).sum())


def _wilson(share: float, number: float) -> tuple[float, float]:
    """95 % limits of a share of so many cycles (Wilson, 1927, JASA 22)."""
    z = NORMAL_975
    middle = (share + z**2 / (2 * number)) / (1 + z**2 / number)
    half = z / (1 + z**2 / number) * np.sqrt(share * (1 - share) / number + z**2 / (4 * number**2))
    return float(max(0.0, middle - half)), float(min(1.0, middle + half))
