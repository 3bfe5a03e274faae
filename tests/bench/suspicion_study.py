"""How often is a good batch suspected, how soon is a bad one named, are the chances honest?

Run by hand: ``python -m tests.bench.suspicion_study [workshops per shape] [shape …]``, or in its
short form ``python -m tests.bench.suspicion_study short [workshops [first seed [world …]]]``.
Simulated workshops of several shapes, each reviewed in the last twelve months of its log. Without
any bad batch every suspicion is false: printed is the share of reviews (of one month per workshop,
and of all months) and of workshop-years with one. With a planted bad batch: the share named, and
how long after its first part was fitted. The short form, one review a workshop, adds worlds in
which all lives halve half-way. For observed against expected: how often the chance of "that many or
more" is small where nothing is wrong. Limits: Clopper and Pearson (1934), 95 %.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd

from tests.bench import drift_study
from tests.bench.exact_limits import share
from tests.simulation.simulator import simulate_workshop
from tests.simulation.workshop_plan import (
    BadBatch,
    PartPlan,
    SupplierPlan,
    WorkshopPlan,
    study_plan,
)
from tracker.forecast.fitted_lives import fit_lives
from tracker.review.expectation import against_expectation, chance_of_as_many, in_month
from tracker.review.period import period_of
from tracker.review.printer_levels import printer_levels
from tracker.review.suspicion import Suspicion, suspicions
from tracker.workshop.records import Records

ENDS = date(2026, 6, 30)
MONTHS = tuple(pd.period_range("2025-07", "2026-06", freq="M"))
EVEN = (0.05, 0.1, 0.5, 0.9)
BAD = ("damper", "Supplier A", "bad lot")


@dataclass(frozen=True)
class Shape:
    """What a kind of simulated workshop is like; ``hidden`` is the spread (log scale) of how
    hard printers are on their parts, which no column tells.
    """

    name: str
    printers: int = 4
    suppliers: int = 2
    wear_shape: float = 1.8
    accidents: float = 0.05
    hidden: float = 0.0
    lot: int = 10
    log_days: int = 900
    check_chance: float = 0.97
    unknown_fitting: float = 0.0

    def plan(self, rng: np.random.Generator) -> WorkshopPlan:
        """The workshop; ``rng`` draws the hidden hardness of its printers."""
        sellers = tuple(SupplierPlan(f"Supplier {'ABCDEFGH'[i]}") for i in range(self.suppliers))
        plan = study_plan(printers=self.printers, days=self.log_days)
        types = {p.name: f"type {p.name}" for p in plan.printers} if self.hidden else {}
        hard = {name: float(np.exp(self.hidden * rng.normal())) for name in types.values()}
        need = max(1, self.printers // 2)

        def part(kind: str, scale: float, stock: int, lot: int, white: float | None = None,
                 **more: Any) -> PartPlan:  # fmt: skip
            return PartPlan(
                kind, self.wear_shape, scale, white_scale_days=white,
                accident_per_year=self.accidents,
                head_type_factors=hard, suppliers=sellers, first_stock=stock,
                reorder_at=max(1, stock // 2), order_quantity=lot, **more,
            )  # fmt: skip

        parts = (
            part("head", 420, need, 1, scrap_cost=40),
            part("damper", 300, 6 * need, self.lot, 170, replaced_with="head"),
            part("wiper", 150, 2 * need, max(3, self.lot // 2)),
            part("cap", 300, need, max(2, self.lot // 4)),
        )
        return replace(
            plan,
            parts=parts,
            printers=tuple(
                replace(p, head_type=types.get(p.name, ""), check_chance=self.check_chance)
                for p in plan.printers
            ),
            log_began_on=ENDS - timedelta(days=self.log_days),
            log_ends_on=ENDS,
            fitting_day_unknown=self.unknown_fitting,
        )


SHAPES = (
    Shape("2 printers, 1 supplier", printers=2, suppliers=1),
    Shape("4 printers, 2 suppliers"),
    Shape("10 printers, 2 suppliers", printers=10, lot=20),
    Shape("4 printers, 6 suppliers, small lots", suppliers=6, lot=4),
    Shape("4 printers, strong wear (shape 4)", wear_shape=4.0),
    Shape("4 printers, infant failures (shape 0.7)", wear_shape=0.7),
    Shape("4 printers, an accident a year and place", accidents=1.0),
    Shape("4 printers, unlike in use (lives × 0.6 to 1.6)", hidden=0.5),
    Shape("10 printers, unlike in use, small lots", printers=10, hidden=0.5, lot=6),
    Shape("4 printers, first year of the log", log_days=370, unknown_fitting=0.2),
    Shape("4 printers, checked every fourth day", check_chance=0.25),
)


def simulated(shape: Shape, seed: int, bad_factor: float | None = None) -> Records:
    """One workshop of that shape, with or without a bad batch of dampers a year before the end."""
    rng = np.random.default_rng([seed, SHAPES.index(shape) if shape in SHAPES else 99])
    plan = shape.plan(rng)
    if bad_factor is not None:
        kind, supplier, batch = BAD
        planted = BadBatch(kind, ENDS - timedelta(days=400), bad_factor, supplier, batch)
        plan = replace(plan, bad_batches=(planted,))
    return simulate_workshop(plan, rng)[0]


def found_in(records: Records, month: pd.Period) -> tuple[Suspicion, ...]:
    """What that month's review suspects."""
    last = month.end_time.date()
    known = records.known_at(last)
    return suspicions(fit_lives(known, last), month)


def calibration_rows(records: Records, rng: np.random.Generator) -> Iterator[pd.DataFrame]:
    """Observed against expected in every month, as the reviews tell it.

    A count has few values, so its chance is seldom small even where it is right. For the workshop
    as a whole ``evened`` spreads it out: the chance of more, plus a random share of the chance of
    exactly as many. Where the law of the count is right that is even from 0 to 1.
    """
    for month in MONTHS:
        period = period_of(records, month.start_time.date(), None)
        now, eve = (fit_lives(records, day) for day in (period.last, period.eve))
        table = against_expectation(now, eve, period)
        found = in_month(now, eve, period)
        if found is None:
            continue
        every = np.arange(len(found.rows))
        law, seen = found.law(every), found.observed(every)
        evened = chance_of_as_many(law, seen) - rng.random() * law[seen]
        yield table.assign(evened=np.where(table["what"] == "all", evened, np.nan))


def false_alarms(shapes: Sequence[Shape], workshops: int) -> None:
    """Print how often good workshops are alarmed."""
    print("| workshops without a bad batch | last month | all reviews | years with any |")
    print("|---|---|---|---|")
    totals = np.zeros(4, dtype=int)
    for shape in shapes:
        hits = np.array(
            [
                [bool(found_in(records, month)) for month in MONTHS]
                for records in (simulated(shape, seed) for seed in range(workshops))
            ]
        )
        row = np.array([hits[:, -1].sum(), hits.sum(), hits.any(axis=1).sum(), workshops])
        totals += row
        _print_alarms(shape.name, row)
    _print_alarms("all", totals)


def _print_alarms(name: str, row: np.ndarray) -> None:
    last, every, years, of = (int(value) for value in row)
    months = len(MONTHS) * of
    print(
        f"| {name} | {share(last, of)} | {every / months:.1%} of {months} | {share(years, of)} |",
        flush=True,
    )


def power(shapes: Sequence[Shape], workshops: int) -> None:
    """Print how soon planted bad batches are named, and what else is."""
    print("\n| planted bad batch | life | named within 3 months | 6 | ever | months (median) | "
          "failures when named | another named before |")  # fmt: skip
    print("|---|---|---|---|---|---|---|---|")
    for shape in shapes:
        for factor, told in ((0.5, "1/2"), (1 / 3, "1/3")):
            waits: list[int] = []
            failures: list[int] = []
            others = fitted = 0
            for seed in range(workshops):
                records = simulated(shape, 1000 + seed, factor)
                fittings = records.fittings[records.fittings["batch"] == BAD[2]]
                first = fittings["fitted_on"].min()
                if pd.isna(first) or len(fittings) < 3:
                    continue
                fitted += 1
                other = False
                for month in MONTHS:
                    found = {s.batch or s.supplier: s for s in found_in(records, month)}
                    bad = found.pop(BAD[2], None)
                    other |= bool(found)
                    if bad:
                        waits.append((month - first.to_period("M")).n)
                        failures.append(bad.failures)
                        break
                others += other
            fitted = max(fitted, 1)
            late = np.array(waits)
            cells = [f"{(late <= most).sum() / fitted:.0%}" for most in (3, 6, 99)]
            middle = f"{np.median(late):.0f} | {np.median(failures):.0f}" if waits else "– | –"
            print(
                f"| {shape.name} | {told} | {' | '.join(cells)} of {fitted} | {middle} | "
                f"{others / fitted:.0%} |",
                flush=True,
            )


def calibration(shapes: Sequence[Shape], workshops: int) -> None:
    """Print how often the chance of that many or more is small though nothing is wrong."""
    print("\n| observed against expected | rows | observed | expected | chance ≤ 1 % | ≤ 5 % | "
          "≤ 10 % | above 80 % range | evened ≤ 5 % | ≤ 10 % | ≤ 50 % | ≤ 90 % | "
          "reviews called unusual |")  # fmt: skip
    print("|---|---|---|---|---|---|---|---|---|---|---|---|---|")
    everything = []
    for shape in shapes:
        tables = [
            table.assign(review=f"{shape.name}/{seed}/{number}", shape=shape.name)
            for seed in range(workshops)
            for number, table in enumerate(
                calibration_rows(simulated(shape, seed), np.random.default_rng(seed))
            )
        ]
        everything.append(pd.concat(tables, ignore_index=True))
        _print_calibration(shape.name, everything[-1])
    rows = pd.concat(everything, ignore_index=True)
    for what in ("all", "part_kind", "printer", "supplier"):
        _print_calibration(f"by {what}", rows[rows["what"] == what])


def _print_calibration(name: str, rows: pd.DataFrame) -> None:
    cells = [f"{(rows['chance'] <= limit).mean():.1%}" for limit in (0.01, 0.05, 0.1)]
    cells.append(f"{(rows['observed'] > rows['high']).mean():.1%}")
    even = rows["evened"].dropna()
    cells += [f"{(even <= limit).mean():.0%}" if len(even) else "" for limit in EVEN]
    reviews = rows.groupby("review")["unusual"].any()
    print(
        f"| {name} | {len(rows)} | {rows['observed'].mean():.2f} | {rows['expected'].mean():.2f} | "
        f"{' | '.join(cells)} | "
        f"{share(int(reviews.sum()), len(reviews))} |",
        flush=True,
    )


def in_brief(workshops: int, first: int = 0, asked: Sequence[str] = ()) -> None:
    """Print the short form: worlds where nothing is wrong, where all lives halve, and a bad lot.

    One review of each workshop, on its log's last day. ``printer named``: said to be harder on its
    parts than the others. ``first``: the first seed. ``asked``: only worlds with one of these words
    in their names.
    """
    print("| world | innocent accused | printer named | bad lot named |\n|---|---|---|---|")
    plain = ("4 printers, 2 suppliers", "unlike in use (", "6 suppliers, small lots")
    steady = [(s.name, s, None) for s in SHAPES if any(word in s.name for word in plain)]
    planted = [
        (f"{shape.name}, a lot living {told}", shape, factor)
        for shape in (SHAPES[1], SHAPES[7])
        for factor, told in ((0.5, "1/2"), (1 / 3, "1/3"))
    ]

    def is_asked(name: str) -> bool:
        return not asked or any(word in name for word in asked)

    for name, shape, factor in (*steady, *planted):
        if is_asked(name):
            seeds = range(first, first + workshops)
            every = [simulated(shape, seed + 1000 * bool(factor), factor) for seed in seeds]
            if factor is not None:
                every = [own for own in every if (own.fittings["batch"] == BAD[2]).sum() >= 3]
            _brief(name, every, ENDS)
    for world in (*drift_study.STEADY[:2], drift_study.CHANGED[0], drift_study.CHANGED[2]):
        if is_asked(world.name):
            last = drift_study.review_days(world)[-1]
            seeds = range(first, first + workshops)
            _brief(world.name, [drift_study.simulated(world, seed) for seed in seeds], last)


def _brief(name: str, workshops: Sequence[Records], last: date) -> None:
    accused = harder = bad = 0
    for records in workshops:
        fitted = fit_lives(records, last)
        found = {one.batch for one in suspicions(fitted, pd.Period(last, "M"))}
        bad += BAD[2] in found
        accused += bool(found - {BAD[2]})
        harder += bool(printer_levels(fitted)["harder"].any())
    of = len(workshops)
    planted = f"{bad} of {of}" if "a lot living" in name else ""
    print(f"| {name} | {share(accused, of)} | {harder} of {of} | {planted} |", flush=True)


if __name__ == "__main__":
    if sys.argv[1:2] == ["short"]:
        size, begin = (*map(int, sys.argv[2:4]), *(20, 0)[len(sys.argv[2:4]) :])
        in_brief(size, begin, sys.argv[4:])
        sys.exit()
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    chosen = [s for s in SHAPES if not sys.argv[2:] or any(w in s.name for w in sys.argv[2:])]
    false_alarms(chosen, number)
    calibration(chosen, max(1, number // 3))
    power(chosen, max(1, number // 2))
