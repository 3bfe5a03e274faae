"""Is there a batch or a supplier whose parts fail sooner than the others of their kind?

Every batch is judged over the whole log, at the ages, times and places its parts really had, by
the life model learned without them (``group_comparison``). With many batches some look bad by luck:
a batch is named only when its chance stands out among all comparisons made (Holm, 1979, 5 % in all)
and at least three of its parts failed. Accidents are nobody's batch and do not count. Where batches
or suppliers are looked up for failed parts above all, none of that kind is judged
(``known_of_failed``). ``tests/bench/suspicion_study.py`` tells how often good workshops are
alarmed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import pandas as pd

from tracker.arrays import Ints
from tracker.forecast.fitted_lives import FittedLives
from tracker.review.expectation import holm
from tracker.review.group_comparison import LEAST_FAILURES, ComparedLives, Comparison
from tracker.workshop.parts.known_of_failed import OF_ORIGIN, known_of_failed

Key = tuple[str, str, str]  # part kind, supplier, batch ("" for a supplier as a whole)


@dataclass(frozen=True)
class Suspicion:
    """A batch (or, with ``batch`` empty, a supplier) whose parts fail too soon.

    ``parts`` fitted so far, ``failures`` of them, ``expected`` at their ages were they like the
    others, ``chance`` of that many or more, ``comparisons`` made; ``fitted_now`` still running;
    ``failed_this_month``; ``printers`` whose parts failed, the last of
    them on ``last_failed``; ``variants``: the types of its parts ("" where they have none).
    """

    part_kind: str
    supplier: str
    batch: str
    parts: int
    failures: int
    expected: float
    chance: float
    comparisons: int
    fitted_now: int
    failed_this_month: int
    printers: tuple[str, ...]
    places_now: tuple[str, ...]
    last_failed: date | None = None
    variants: tuple[str, ...] = ("",)

    @property
    def is_over(self) -> bool:
        """True when none is fitted any more and none failed this month."""
        return not (self.fitted_now or self.failed_this_month)


def suspicions(fitted: FittedLives, month: pd.Period) -> tuple[Suspicion, ...]:
    """Which batches and suppliers fail too soon, as known on the fit's day, the plainest first?

    Suppliers are judged without the batches already named, on both sides.
    """
    found = comparisons(fitted)
    named = [_suspicion(fitted.lives, month, key, found) for key in _named(found)]
    return tuple(sorted(named, key=lambda suspicion: suspicion.chance))


def comparisons(fitted: FittedLives) -> dict[Key, Comparison]:
    """Every batch, and every supplier (batch empty) without the bad batches, against the others.

    Only groups that could be named and have others of their kind to be held against; a group with
    fewer failures than could be named counts as a comparison with chance 1.
    """
    told, draws = fitted.told, fitted.draws
    if told is None or draws is None:
        return {}
    rows = fitted.lives.loc[told.fitting]
    by = ["part_kind", "supplier", "batch"]
    failed = rows["outcome"] == "failed"
    unfit = {column: known_of_failed(rows, failed, column) for column in OF_ORIGIN}
    lots: dict[Key, Ints] = {
        key: own
        for key, own in rows.groupby(by).indices.items()
        if key[2] and key[0] not in unfit["batch"]
    }
    sold = rows.groupby(by[:2]).indices.items()
    sellers: dict[Key, Ints] = {
        (*pair, ""): own for pair, own in sold if pair[1] and pair[0] not in unfit["supplier"]
    }
    tried = sum(len(own) >= LEAST_FAILURES for own in (*lots.values(), *sellers.values()))
    none = np.zeros(len(rows), dtype=bool)
    lives = ComparedLives(fitted, told, draws, none, tried)
    batches = _compared(lives, lots)
    bad = set(_named(batches))
    if bad:
        lives = replace(lives, apart=pd.MultiIndex.from_frame(rows[by]).isin(list(bad)))
    return {**batches, **_compared(lives, sellers)}


def _compared(lives: ComparedLives, groups: Mapping[Key, Ints]) -> dict[Key, Comparison]:
    every = {key: lives.compare(own) for key, own in groups.items()}
    return {key: comparison for key, comparison in every.items() if comparison is not None}


def _named(found: Mapping[Key, Comparison]) -> list[Key]:
    """Those that stand out among all comparisons made."""
    stands_out = holm([comparison.chance for comparison in found.values()])
    return [key for key, out in zip(found, stands_out, strict=True) if out]


def _suspicion(
    lives: pd.DataFrame, month: pd.Period, key: Key, found: Mapping[Key, Comparison]
) -> Suspicion:
    """A comparison with its evidence: every fitting of the group, of unknown age too."""
    kind, supplier, batch = key
    own = (lives["part_kind"] == kind) & (lives["supplier"] == supplier)
    if batch:
        own &= lives["batch"] == batch
    else:
        apart = [other[2] for other in _named(found) if other[:2] == key[:2] and other[2]]
        own &= ~lives["batch"].isin(apart)
    mine = lives[own]
    failed = mine[mine["outcome"] == "failed"]
    running = mine[mine["outcome"] == "running"]
    return Suspicion(
        part_kind=kind,
        supplier=supplier,
        batch=batch,
        parts=len(mine),
        failures=len(failed),
        expected=found[key].expected,
        chance=found[key].chance,
        comparisons=len(found),
        fitted_now=len(running),
        failed_this_month=int((failed["removed_on"].dt.to_period("M") == month).sum()),
        printers=tuple(sorted(failed["printer"].unique())),
        places_now=tuple(sorted(running["printer"] + " " + running["position"])),
        last_failed=failed["removed_on"].max().date() if len(failed) else None,
        variants=tuple(sorted(mine["variant"].unique())),
    )
