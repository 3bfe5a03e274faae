"""Is the stock level kept, and does a shelf run short as often as told?

Run by hand: ``python -m tests.bench.stock_study [WORKSHOPS [WORLD …]]`` prints Markdown tables.
Every workshop has two to six printers and seven part kinds whose lives, prices and delivery times
differ from the usual; its log is 900 days long and its belief about lives the trade's guess. On
the log's last day the stock table is asked, and then the simulation goes on: what is needed until
an order of the next review is here, its delivery drawn from the truth, is held against the need
told, and what runs short against the chance told for a shelf with an order on its way. In the
simulation there is always a piece, so that no need waits for another.

Pieces are whole, so that a stock of at least the level asked keeps more; counted is therefore a
stock of exactly that level (the randomised test of a count, and the histogram of needs over the
chances told, flat where they are right; Czado, Gneiting & Held, 2009, Biometrics 65). Standard
errors are over workshops.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
import pandas as pd

from tests.decisions.workshops import rows, setting
from tests.simulation.simulated_log import write_down
from tests.simulation.simulated_shelf import Shelf, waited_out
from tests.simulation.simulator import live_through
from tests.simulation.study_parts import varied_parts
from tests.simulation.workshop_plan import PartPlan, SupplierPlan, WorkshopPlan, study_plan
from tracker.arrays import Array, Ints
from tracker.decisions.ordering.orders import open_orders
from tracker.decisions.stock_level import stock_for_service
from tracker.decisions.stock_table import stock_table
from tracker.replay.advice import Level
from tracker.workshop.records import Records

DAYS, AHEAD, REVIEW = 900, 365, 30
ASKED = 0.95
ALWAYS_MORE = 30  # pieces of every kind, so that the shelf of the simulation is never empty
EDGES = np.linspace(0, 1, 11)
BANDS = (0.0, 0.05, 0.2, 0.5, 1.0)  # of chances told
COMES = (0.0, 0.2, 0.5, 0.9, 1.0)  # of an order that it comes
SECOND, HELD_UP = "Supplier B", 3
OLD = 6.0  # delivery times after which every order that is not lost has come


@dataclass(frozen=True)
class World:
    """``spread`` of the printers' own log hazards; ``halved``: lives are half as long from the
    middle of the log on; ``shut``: the supplier sends nothing for two to five weeks that begin
    about the last day, ``written`` down beforehand or not; of all orders a share is ``lost`` and
    never comes, of those of a second supplier, who gets three in ten, the share ``lost_by_second``;
    of the others a share is ``held_up`` and takes three times as long."""

    name: str
    spread: float = 0.0
    halved: bool = False
    shut: bool = False
    written: bool = False
    lost: float = 0.0
    lost_by_second: float = 0.0
    held_up: float = 0.0

    @property
    def strays(self) -> bool:
        """Whether some orders do not come as usual."""
        return bool(self.lost or self.lost_by_second or self.held_up)

    @property
    def second(self) -> tuple[SupplierPlan, ...]:
        """The second supplier, where there is one."""
        return (SupplierPlan(SECOND, weight=3 / 7),) if self.lost_by_second else ()

    def loses(self, supplier: str) -> float:
        """The share of a supplier's orders that never come."""
        return self.lost_by_second if supplier == SECOND else self.lost


WORLDS = (
    World("alike"),
    World("differing", spread=0.5),
    World("all lives halve half-way", halved=True),
    World("supplier shut, written", shut=True, written=True),
    World("supplier shut, nowhere written", shut=True),
    World("3 % never come", lost=0.03),
    World("10 % never come", lost=0.1),
    World("one supplier loses 30 %", lost_by_second=0.3),
    World("one in ten held up, none lost", held_up=0.1),
)


@dataclass(frozen=True, eq=False)
class Workshop:
    """One simulated workshop: what was written down, beyond its last day too, and that day;
    ``shut`` days of the supplier after it, below 0 before, and the ``closures`` that say so."""

    plan: WorkshopPlan
    records: Records
    last: date
    shelf: Shelf
    shut: range
    closures: pd.DataFrame
    world: World

    def needs(self, kind: str) -> Array:
        """On which days after the last one a piece of the kind was really needed, in order."""
        own = self.records.fittings[self.records.fittings["part_kind"] == kind]
        days = (own["removed_on"] - pd.Timestamp(self.last)).dt.days.dropna()
        return np.sort(days[days > 0].to_numpy(dtype=float))

    def here(self, part: PartPlan, ordered: int, placed: int | None = None) -> int:
        """On which day after the last one is really here what is ordered on such a day, and takes
        as long as what is ``placed`` on another while nobody is shut.
        """
        today = (self.last - self.shelf.origin).days
        placed = today + (ordered if placed is None else placed)
        return waited_out(self.shut, ordered, self.shelf.delivered(part, placed) - placed)


def workshop(world: World, number: int, *, kinds: Sequence[str] | None = None) -> Workshop:
    """One seeded workshop of that world, lived through beyond its log's last day."""
    rng = np.random.default_rng([41, number, *world.name.encode()])
    parts = tuple(
        replace(
            part,
            first_stock=part.first_stock + ALWAYS_MORE,
            reorder_at=part.reorder_at + ALWAYS_MORE,
            suppliers=(*part.suppliers, *world.second),
        )
        for part in varied_parts(rng)
        if kinds is None or part.kind in kinds
    )
    plan = study_plan(printers=int(rng.integers(2, 7)), days=DAYS, parts=parts)
    printers = tuple(
        replace(printer, log_hazard=world.spread * float(rng.standard_normal()))
        for printer in plan.printers
    )
    last = plan.log_ends_on
    halved = plan.log_began_on + timedelta(days=DAYS // 2) if world.halved else None
    plan = replace(
        plan, printers=printers, halved_from=halved, log_ends_on=last + timedelta(days=AHEAD)
    )
    history = live_through(plan, rng)
    records, _ = write_down(history, rng)
    if world.strays:
        orders = _astray(records.orders, world, np.random.default_rng([43, number]))
        records = records.with_table("orders", orders)
    said = setting(log_began_on=plan.log_began_on, review_days=REVIEW)
    records = records.with_table("settings", said)
    shut = range(0)
    if world.shut:
        first = int(rng.integers(-15, 40))
        shut = range(first, first + int(rng.integers(14, 36)))
    sellers = {seller.name for part in plan.parts for seller in part.suppliers}
    days = [str(last + timedelta(days=day)) for day in (*shut[:1], *shut[-1:])]
    closed = [(*days, seller) for seller in sellers if world.written]
    closures = rows("began_on ended_on supplier", *closed)
    return Workshop(plan, records, last, history.shelf, shut, closures, world)


def _astray(orders: pd.DataFrame, world: World, rng: np.random.Generator) -> pd.DataFrame:
    """The orders written down, with those that never come and those held up."""
    takes = orders["received_on"] - orders["ordered_on"]
    held_up = rng.random(len(orders)) < world.held_up
    takes = takes.where(~held_up, HELD_UP * takes)
    lost = rng.random(len(orders)) < orders["supplier"].map(world.loses)
    return orders.assign(received_on=(orders["ordered_on"] + takes).where(~lost))


@dataclass(frozen=True, eq=False)
class Shown:
    """One kind of one workshop: what was told and what happened.

    ``level``: the need told, with the whole pieces that reach the level asked; ``needed`` then
    really. ``short``: the chance told of running short with an order on its way, whether it ``ran``
    short, and whether that order was ``overdue`` when asked; ``comes``: the chance told that it
    still does, and whether it ``came``.
    """

    kind: str
    level: Level
    needed: int
    short: float
    ran: bool
    overdue: bool
    comes: float
    came: bool

    def within(self, asked: float) -> float:
        """Did the need stay within a stock of exactly that level: 1, 0 or the share that did?"""
        return float(self.level.within(asked, np.array([self.needed]))[0])

    @property
    def expected(self) -> float:
        """The mean need told."""
        return float(self.level.chances @ np.arange(len(self.level.chances)))

    @property
    def kept(self) -> bool:
        """Whether the whole pieces were enough."""
        return self.needed <= self.level.target

    @property
    def foretold(self) -> float:
        """The chance told that they would be."""
        return self.level.foretold(self.level.target)


def shown(shop: Workshop) -> list[Shown]:
    """Ask on the last day, then look at what happened."""
    told = stock_table(_with_shelf(shop, {}), shop.last, ASKED).set_index("part_kind")
    laid = {part.kind: Laid.of(part, shop, told.loc[part.kind]) for part in shop.plan.parts}
    records = _with_shelf(shop, laid)
    dated = stock_table(records, shop.last, ASKED).set_index("part_kind")
    waiting = open_orders(records.known_at(shop.last), shop.last)
    comes = waiting.sort_values("ordered_on").groupby("part_kind")["comes"].last()
    found = []
    for part in shop.plan.parts:
        row, on_shelf = told.loc[part.kind], laid[part.kind]
        needs = shop.needs(part.kind)
        needs = needs[needs <= shop.here(part, REVIEW, placed=0)]
        found.append(
            Shown(
                kind=part.kind,
                level=Level(
                    target=int(row["stock_for_service"]),
                    least_cost=int(row["stock_least_cost"]),
                    usable=1,
                    pack_size=1,
                    chances=np.array(row["chance_of_need"]),
                ),
                needed=len(needs),
                short=float(dated.loc[part.kind, "chance_of_shortage_now"]),
                ran=on_shelf.runs_short(needs),
                overdue=on_shelf.promised_in < 0,
                comes=float(comes[part.kind]),
                came=bool(np.isfinite(on_shelf.here_in)),
            )
        )
    return found


@dataclass(frozen=True)
class Laid:
    """A shelf laid out for the last day: pieces there, and one order on its way, placed so many
    days before, promised and really here in so many days (promised below 0: overdue; infinite: it
    never comes)."""

    on_hand: int
    quantity: int
    ordered_before: int
    promised_in: int
    here_in: float
    supplier: str

    @classmethod
    def of(cls, part: PartPlan, shop: Workshop, told: pd.Series) -> Laid:
        """Half of a stock that would last with some chance between 20 and 98 %, the rest on its
        way: of orders placed on any day of the last two delivery times, one not here yet.
        """
        rng = shop.shelf.rng
        level = rng.uniform(0.2, 0.98)
        pieces = stock_for_service(np.array(told["chance_of_need"]), level)
        while True:
            before = int(rng.integers(1, 2 * round(part.lead_days) + 1))
            here: float = shop.here(part, -before)
            supplier = part.suppliers[0].name
            if shop.world.strays:
                supplier, here = _strayed(shop.world, part, before, here, rng)
            if here > 0:
                promised = waited_out(shop.shut, -before, max(1, round(part.lead_days)))
                held = pieces - pieces // 2 or 1
                return cls(pieces // 2, held, before, promised, here, supplier)

    def runs_short(self, needs: Array) -> bool:
        """Whether one of these needs finds nothing there."""
        there = self.on_hand + self.quantity * (self.here_in <= needs)
        return bool((np.arange(1, len(needs) + 1) > there).any())


def _strayed(
    world: World, part: PartPlan, before: int, here: float, rng: np.random.Generator
) -> tuple[str, float]:
    """From whom an order is that was placed so many days before, and when it is really here."""
    weights = np.array([seller.weight for seller in part.suppliers])
    supplier = part.suppliers[rng.choice(len(weights), p=weights / weights.sum())].name
    if rng.random() < world.loses(supplier):
        return supplier, np.inf
    return supplier, HELD_UP * (here + before) - before if rng.random() < world.held_up else here


def _with_shelf(shop: Workshop, laid: dict[str, Laid]) -> Records:
    """The workshop's records with these shelves, and of its own orders those that have come."""
    today = pd.Timestamp(shop.last)

    def on(days: int) -> pd.Timestamp:
        return today + pd.Timedelta(days=days)

    known = shop.records.known_at(shop.last)  # what is planned beyond its log stays
    came = known.orders
    takes = came["part_kind"].map({part.kind: part.lead_days for part in shop.plan.parts})
    never = came["received_on"].isna() & ((today - came["ordered_on"]).dt.days > OLD * takes)
    lost = never if shop.world.strays else False
    orders = came[(came["received_on"] <= today) | lost].to_dict("records")
    orders += [
        {
            "part_kind": kind,
            "quantity": own.quantity,
            "ordered_on": on(-own.ordered_before),
            "expected_on": on(own.promised_in),
            "supplier": own.supplier,
        }
        for kind, own in laid.items()
    ]
    there = [(kind, today, own.on_hand, "counted") for kind, own in laid.items() if own.on_hand]
    records = known.with_table("closures", shop.closures)
    records = records.with_table("orders", pd.DataFrame(orders, columns=came.columns))
    return records.with_table("stock", rows("part_kind moved_on quantity reason", *there))


@dataclass(frozen=True, eq=False)
class Scores:
    """One world's workshops, each with what was shown of its kinds."""

    world: str
    shops: list[list[Shown]]

    @property
    def every(self) -> list[Shown]:
        """All kinds of all workshops."""
        return [one for shop in self.shops for one in shop]

    @property
    def level(self) -> tuple[float, float]:
        """How often a stock of exactly the level asked was enough, and its standard error."""
        by_shop = np.array([np.mean([one.within(ASKED) for one in shop]) for shop in self.shops])
        return float(by_shop.mean()), float(by_shop.std(ddof=1) / np.sqrt(len(by_shop)))

    @property
    def histogram(self) -> Array:
        """The share of needs in each tenth of the chances told; 0.1 each where they are right."""
        return np.diff([np.mean([one.within(edge) for one in self.every]) for edge in EDGES])

    def mean(self, name: str) -> float:
        """The mean of something shown, over all kinds of all workshops."""
        return float(np.mean([getattr(one, name) for one in self.every]))

    def level_row(self) -> str:
        """One line of the table of levels."""
        kept, error = self.level
        tenths = " ".join(f"{100 * share:.0f}" for share in self.histogram)
        return (
            f"| {self.world} | {len(self.shops)} | {len(self.every)} | "
            f"{self.mean('expected'):.2f} | {self.mean('needed'):.2f} | "
            f"{100 * kept:.1f} ± {100 * error:.1f} | {100 * self.mean('foretold'):.1f} | "
            f"{100 * self.mean('kept'):.1f} | {tenths} |"
        )

    def short_rows(self) -> list[str]:
        """The lines of the table of shortages: by chance told, and where the order is overdue."""
        lines = [
            self._short_row(f"{100 * low:.0f}–{100 * high:.0f} %", [
                one for one in self.every if low <= one.short < high or one.short == high == 1
            ])
            for low, high in pairwise(BANDS)
        ]  # fmt: skip
        late = [one for one in self.every if one.overdue]
        lines += [self._short_row("all", self.every), self._short_row("order overdue", late)]
        return [*lines, self._short_row("it never came", [one for one in late if not one.came])]

    def comes_rows(self) -> list[str]:
        """The lines of the table of orders that come or never do, by the chance told."""
        lines = [
            self._row(f"{100 * low:.0f}–{100 * high:.0f} %", [
                (one.comes, one.came) for one in self.every if low < one.comes <= high
            ])
            for low, high in pairwise(COMES)
        ]  # fmt: skip
        late = [(one.comes, one.came) for one in self.every if one.overdue]
        return [*lines, self._row("order overdue", late)]

    def _short_row(self, name: str, found: list[Shown]) -> str:
        return self._row(name, [(one.short, one.ran) for one in found])

    def _row(self, name: str, found: list[tuple[float, bool]]) -> str:
        """Means of the chances told and of what happened, with its standard error."""
        told, happened = (
            np.array(found, dtype=float).reshape(-1, 2).mean(axis=0) if found else (np.nan, np.nan)
        )
        error = np.sqrt(told * (1 - told) / max(len(found), 1))
        return (
            f"| {self.world} | {name} | {len(found)} | {100 * told:.1f} | {100 * happened:.1f} "
            f"± {100 * error:.1f} |"
        )


def scores(
    world: World, numbers: Sequence[int] | Ints, *, kinds: Sequence[str] | None = None
) -> Scores:
    """Live, ask and look, in the workshops of these numbers."""
    return Scores(world.name, [shown(workshop(world, int(n), kinds=kinds)) for n in numbers])


LEVEL_HEADER = (
    f"| world | workshops | needs | told, mean | happened | {100 * ASKED:.0f} % kept, % "
    "| whole pieces: foretold, % | kept, % | needs by tenth of the chances told, % |\n"
    "|---|---|---|---|---|---|---|---|---|"
)
SHORT_HEADER = "| world | chance told | shelves | told, % | ran short, % |\n|---|---|---|---|---|"

COMES_HEADER = "| world | chance told | orders | told, % | came, % |\n|---|---|---|---|---|"


def main(arguments: Sequence[str], say: Callable[[str], None] = print) -> None:
    """Print the three tables."""
    workshops = int(arguments[0]) if arguments else 60
    asked = arguments[1:]
    found = []
    say(LEVEL_HEADER)
    for world in WORLDS:
        if not asked or any(word in world.name for word in asked):
            found.append(scores(world, range(workshops)))
            say(found[-1].level_row())
    say("\n".join(["", SHORT_HEADER, *(row for one in found for row in one.short_rows())]))
    say("\n".join(["", COMES_HEADER, *(row for one in found for row in one.comes_rows())]))


if __name__ == "__main__":
    main(sys.argv[1:])
