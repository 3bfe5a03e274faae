"""How often are lives said to have changed where they have not, and how soon where they have?

Run by hand: ``python -m tests.bench.drift_study [WORKSHOPS [WORLD …]]`` prints a markdown table.
Every workshop is one of the worlds of ``life_model_study`` written down as records (1 000 days,
eight part kinds, parts of unknown age at the log's first day, beliefs that are wrong) and reviewed
at the end of each quarter of its last year. Where nothing changes, every review that tells of a
change is false. Limits: Clopper and Pearson (1934), 95 %.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pandas as pd

from tests.bench.exact_limits import share
from tests.bench.life_model_study import SCALES, Lived, World, live
from tracker.forecast.drift import Drift, drift
from tracker.workshop.records import Records

BEGAN = date(2023, 1, 1)
REVIEWS = 4
STEADY = (
    World("alike, 4 printers"),
    World("differing, 4 printers", unit_spread=0.5),
    World("2 printers", units=2),
    World("1 printer", units=1),
    World("15 % infant lots, 3 printers", units=3, infant_lots=0.15),
    World("season ±60 %, 3 printers", units=3, season=0.6),
    World("12 months only, 3 printers", units=3, days=365),
)
CHANGED = (
    World("lives halve, 4 printers", halve_at=0.5),
    World("lives halve, 2 printers", units=2, halve_at=0.5),
    World("lives halve, differing, 4 printers", unit_spread=0.5, halve_at=0.5),
    World("lives halve 91 days before the end, 4 printers", halve_at=0.909),
)


def written_down(world: World, lived: Lived, rng: np.random.Generator) -> Records:
    """What such a workshop's log holds: what came out before it began is forgotten, the fitting
    day of what was in then is not known.
    """
    begin = pd.Timestamp(BEGAN)
    kept = lived.ended > 0
    born, ended = lived.born[kept], lived.ended[kept]
    running = ~np.isfinite(ended)
    fitted = begin + pd.to_timedelta(np.floor(born), unit="D")
    removed = begin + pd.to_timedelta(np.floor(np.where(running, 0, ended)), unit="D")
    kinds = [f"kind_{number}" for number in range(len(SCALES))]
    fittings = pd.DataFrame(
        {
            "printer": [f"P{number + 1}" for number in lived.unit[kept]],
            "part_kind": [kinds[number] for number in lived.kind[kept]],
            "position": "there",
            "fitted_on": fitted.where(born >= 0),
            "removed_on": removed.where(~running),
            "removal_reason": np.where(
                running, "", np.where(lived.accident[kept], "accident", "failed")
            ),
            "batch": [f"lot {number}" for number in lived.lot[kept]],
        }
    )
    printers = [f"P{number + 1}" for number in range(world.units)]
    typical = SCALES * np.exp(0.5 * rng.standard_normal(len(SCALES)))
    return Records.of(
        {
            "printers": pd.DataFrame(
                {"printer": printers, "started_on": begin - pd.Timedelta(days=700)}
            ),
            "fittings": fittings,
            "parts": pd.DataFrame({"part_kind": kinds, "typical_life_days": typical}),
            "settings": pd.DataFrame({"name": ["log_began_on"], "value": [BEGAN.isoformat()]}),
        }
    )


def simulated(world: World, number: int) -> Records:
    """One seeded workshop of that world."""
    rng = np.random.default_rng([31, number, *world.name.encode()])
    return written_down(world, live(world, rng), rng)


def review_days(world: World) -> list[date]:
    """The last day of the log and the days one, two and three quarters before it."""
    last = BEGAN + timedelta(days=world.days - 1)
    return [last - timedelta(days=91 * back) for back in reversed(range(REVIEWS))]


def told(world: World, number: int) -> list[Drift | None]:
    """What the reviews of one workshop's last year say."""
    records = simulated(world, number)
    return [drift(records, day) for day in review_days(world)]


@dataclass(frozen=True)
class Counts:
    """Of ``years`` workshops: last reviews and all reviews that tell of a change
    (that lives have become shorter; longer), years with any, and how many 95 % limits at the last
    review hold a half."""

    world: str
    years: int
    last: int
    reviews: int
    longer: int
    any_in_year: int
    limits_hold: int

    def row(self) -> str:
        """One line of the table."""
        return (
            f"| {self.world} | {share(self.last, self.years)} | {self.reviews} of "
            f"{REVIEWS * self.years} | {self.longer} | {share(self.any_in_year, self.years)} | "
            f"{self.limits_hold} of {self.last} |"
        )


HEADER = (
    "| world | told at the last review | all reviews | of them longer lives | years with any | "
    "limits hold a half |\n|---|---|---|---|---|---|"
)


def count(world: World, years: list[list[Drift | None]]) -> Counts:
    """Add up what the reviews say."""
    found = [[one for one in year if one is not None] for year in years]
    every = [one for year in found for one in year]
    last = [year[-1] for year in years if year[-1] is not None]
    return Counts(
        world.name,
        len(years),
        len(last),
        len(every),
        sum(one.factor > 1 for one in every),
        sum(bool(year) for year in found),
        sum(one.lower <= 0.5 <= one.upper for one in last),
    )


def main(arguments: Sequence[str], say: Callable[[str], None] = print) -> None:
    """Print the table."""
    workshops = int(arguments[0]) if arguments else 34
    asked = arguments[1:]
    say(HEADER)
    for world in (*STEADY, *CHANGED):
        if not asked or any(word in world.name for word in asked):
            counted = count(world, [told(world, number) for number in range(workshops)])
            say(counted.row())


if __name__ == "__main__":
    main(sys.argv[1:])
