"""Is there a batch or a supplier whose parts fail sooner than the others of their kind?

Every batch is judged over the whole log, at the ages its parts really reached and in the printers
they sat in, by a model learned from the other parts of the kind only (``alike``). With many batches
some look bad by luck: a batch is named only when its chance stands out among all comparisons made
(Holm, 1979, 5 % in all) and at least three of its parts failed. Accidents are nobody's batch and do
not count. ``tests/bench/suspicion_study.py`` tells how often good workshops are alarmed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from tracker.forecast.need import NeedModel, need_models
from tracker.review.expectation import holm
from tracker.review.group_comparison import Held, KindLives, groups_of
from tracker.say import numbers
from tracker.workshop import vocabulary as words
from tracker.workshop.records import Records

Key = tuple[str, str, str]  # part kind, supplier, batch ("" for a supplier as a whole)


@dataclass(frozen=True)
class Suspicion:
    """A batch (or, with ``batch`` empty, a supplier) whose parts fail too soon.

    ``parts`` fitted so far, ``failures`` of them, ``expected`` at their ages were they like the
    others, ``chance`` of that many or more, ``comparisons`` made; ``fitted_now`` still running;
    ``failed_this_month``; ``printers`` whose parts failed, the last of
    them on ``last_failed``.
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

    @property
    def name(self) -> str:
        """As people call it: "damper lot Da-1 from Harbour"."""
        kind = words.part_label(self.part_kind).lower()
        source = f" from {self.supplier}" if self.supplier else ""
        return f"{kind} batch {self.batch}{source}" if self.batch else f"{kind}s{source}"

    @property
    def is_over(self) -> bool:
        """True when none is fitted any more and none failed this month."""
        return not (self.fitted_now or self.failed_this_month)

    @property
    def sentence(self) -> str:
        """The suspicion with its evidence."""
        name, before = f"{self.name[0].upper()}{self.name[1:]}", ""
        if self.is_over and self.last_failed:
            name = self.name
            before = f"Known from before, the last failure in {self.last_failed:%B %Y}: "
        odds = "under 1 in 10 000" if self.chance < 1e-4 else f"1 in {1 / self.chance:,.0f}"
        where = numbers.count(len(self.printers), "printer")
        now = f"{self.fitted_now} still fitted" if self.fitted_now else "none is fitted any more"
        return (
            f"{before}{name}: {self.failures} of {self.parts} failed where "
            f"{numbers.figure(self.expected)} would be usual at their ages (on {where}); by luck "
            f"alone {odds.replace(',', ' ')}, with {self.comparisons} batches and suppliers "
            f"compared. {now[0].upper()}{now[1:]}."
        )


def suspicions(
    records: Records,
    as_of: date,
    lives: pd.DataFrame,
    month: pd.Period,
    models: Mapping[str, NeedModel] | None = None,
) -> tuple[Suspicion, ...]:
    """Which batches and suppliers fail too soon, as known on that day, the plainest first?

    Suppliers are judged without the batches already named, on both sides. ``models`` may be given
    where ``need_models`` of that day and these lives is already there.
    """
    found = comparisons(records, as_of, lives, models)
    told = [_told(lives, month, key, found) for key in _named(found)]
    return tuple(sorted(told, key=lambda suspicion: suspicion.chance))


def comparisons(
    records: Records,
    as_of: date,
    lives: pd.DataFrame,
    models: Mapping[str, NeedModel] | None = None,
) -> dict[Key, Held]:
    """Every batch, and every supplier (batch empty) without the bad batches, against the others.

    Only groups that could be named and have others of their kind to be held against; a group with
    fewer failures than could be named counts as a comparison with chance 1.
    """
    models = need_models(records, as_of, lives) if models is None else models
    counted = lives[lives["counted"]]
    kinds = groups_of(counted["part_kind"])
    of_kind = {
        kind: (counted.iloc[rows], KindLives.of(counted.iloc[rows], models[kind]))
        for kind, rows in kinds.items()
        if kind in models and models[kind].wears
    }
    batches: dict[Key, Held] = {}
    for kind, (rows, alike) in of_kind.items():
        labels = list(zip(rows["supplier"], rows["batch"], strict=True))
        for (supplier, batch), own in groups_of(labels).items():
            held = alike.held(own) if batch else None
            if held is not None:
                batches[kind, supplier, batch] = held
    bad = set(_named(batches))
    suppliers: dict[Key, Held] = {}
    for kind, (rows, alike) in of_kind.items():
        labels = list(zip(rows["supplier"], rows["batch"], strict=True))
        good = np.array([(kind, *label) not in bad for label in labels], dtype=bool)
        if not good.all():
            rows, alike = rows[good], KindLives.of(rows[good], models[kind])
        for supplier, own in groups_of(rows["supplier"]).items():
            held = alike.held(own) if supplier else None
            if held is not None:
                suppliers[kind, supplier, ""] = held
    return {**batches, **suppliers}


def _named(found: Mapping[Key, Held]) -> list[Key]:
    """Those that stand out among all comparisons made."""
    stands_out = holm([held.chance for held in found.values()])
    return [key for key, out in zip(found, stands_out, strict=True) if out]


def _told(lives: pd.DataFrame, month: pd.Period, key: Key, found: Mapping[Key, Held]) -> Suspicion:
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
        kind, supplier, batch, len(mine), len(failed), found[key].expected, found[key].chance,
        len(found), len(running), int((failed["removed_on"].dt.to_period("M") == month).sum()),
        tuple(sorted(failed["printer"].unique())),
        tuple(sorted(running["printer"] + " " + running["position"])),
        failed["removed_on"].max().date() if len(failed) else None,
    )  # fmt: skip
