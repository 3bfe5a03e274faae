"""Is there a batch or a supplier whose parts fail sooner than the others of their kind?

Every batch is judged over the whole log, at the ages its parts really reached, by a model learned
from the other parts of the kind only. With many batches some look bad by luck: a batch is named
only when its chance stands out among all comparisons made (Holm, 1979, 5 % in all) and at least
three of its parts failed. Accidents are nobody's batch and do not count.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import pandas as pd

from tracker.decisions import wording
from tracker.decisions.need import NeedModel, need_models
from tracker.records import vocabulary as words
from tracker.records.model import Records
from tracker.review.expectation import Array, chance_of_as_many, holm, law_of

LEAST_FAILURES = 3
_ORDINARY = 0.3
_POINTS = 512  # equally likely life curves


@dataclass(frozen=True)
class Suspicion:
    """A batch (or, with ``batch`` empty, a supplier) whose parts fail too soon.

    ``parts`` fitted so far, ``failures`` of them, ``expected`` at their ages were they like the
    others, ``chance`` of that many or more, ``comparisons`` made; ``fitted_now`` still running;
    ``failed_this_month``; ``printers`` whose parts failed.
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
        odds = "under 1 in 10 000" if self.chance < 1e-4 else f"1 in {1 / self.chance:,.0f}"
        where = wording.count(len(self.printers), "printer")
        now = f"{self.fitted_now} still fitted" if self.fitted_now else "none is fitted any more"
        return (
            f"{self.name[0].upper()}{self.name[1:]}: {self.failures} of {self.parts} failed where "
            f"{wording.figure(self.expected)} would be usual at their ages (on {where}); by luck "
            f"alone {odds.replace(',', ' ')}, with {self.comparisons} batches and suppliers "
            f"compared. {now[0].upper()}{now[1:]}."
        )


def suspicions(
    records: Records, as_of: date, lives: pd.DataFrame, month: pd.Period
) -> tuple[Suspicion, ...]:
    """Which batches and suppliers fail too soon, as known on that day, the plainest first?

    Suppliers are judged without the batches already named, on both sides.
    """
    counted = lives[lives["counted"]]
    wearing = [
        kind
        for kind in counted["part_kind"].unique()
        if kind not in words.PART_KINDS or words.PART_KINDS[kind].wears
    ]
    counted = counted[counted["part_kind"].isin(wearing)]
    batches = _judged(records, as_of, counted, ["part_kind", "supplier", "batch"])
    named_batches = [key for key, chance in batches.items() if chance[2] >= 0]
    tested = {key: result for key, result in batches.items() if key in named_batches}
    bad = holm([result[0] for result in tested.values()])
    bad_keys = [key for key, is_bad in zip(tested, bad, strict=True) if is_bad]
    keys = list(zip(counted["part_kind"], counted["supplier"], counted["batch"], strict=True))
    rest = counted[np.array([key not in bad_keys for key in keys], dtype=bool)]
    suppliers = _judged(records, as_of, rest, ["part_kind", "supplier"])
    every = {**tested, **{(*key, ""): result for key, result in suppliers.items()}}
    stands_out = holm([result[0] for result in every.values()])
    found = []
    for (key, result), out in zip(every.items(), stands_out, strict=True):
        kind, supplier, batch = key
        own = (lives["part_kind"] == kind) & (lives["supplier"] == supplier)
        own &= (
            (lives["batch"] == batch) if batch else ~lives["batch"].isin([b for *_, b in bad_keys])
        )
        mine = lives[own]
        failed = mine[mine["outcome"] == "failed"]
        if not out or len(failed) < LEAST_FAILURES:
            continue
        running = mine[mine["outcome"] == "running"]
        found.append(
            Suspicion(
                kind, supplier, batch, len(mine), len(failed), result[1], result[0], len(every),
                len(running), int((failed["removed_on"].dt.to_period("M") == month).sum()),
                tuple(sorted(failed["printer"].unique())),
                tuple(sorted(running["printer"] + " " + running["position"])),
            )
        )  # fmt: skip
    return tuple(sorted(found, key=lambda suspicion: suspicion.chance))


def _judged(
    records: Records, as_of: date, lives: pd.DataFrame, by: list[str]
) -> dict[tuple[str, ...], tuple[float, float, int]]:
    """Chance of so many failures or more, number expected, and failures, per group.

    Groups that could be named (enough parts) and have others of their kind to be held against.
    A group with fewer failures than could be named counts as a comparison with chance 1.
    """
    results: dict[tuple[str, ...], tuple[float, float, int]] = {}
    of_kind = dict(iter(lives.groupby("part_kind", sort=True)))
    named = lives[lives[by[-1]] != ""]
    usual: dict[str, NeedModel] = {}
    for key, group in named.groupby(by, sort=True):
        kind = key[0]
        others = of_kind[kind].drop(group.index)
        failed = int((group["outcome"] == "failed").sum())
        if len(group) < LEAST_FAILURES or (others["outcome"] == "failed").sum() < LEAST_FAILURES:
            continue
        if failed < LEAST_FAILURES:
            results[key] = (1.0, np.nan, failed)
            continue
        if kind not in usual:
            usual[kind] = _model(records, as_of, kind, of_kind[kind])
        parts = _gathered(usual[kind], group)
        if chance_of_as_many(law_of(parts), failed) > _ORDINARY:
            # Nowhere near unusual even with its own failures among the usual: spare the learning.
            results[key] = (1.0, np.nan, failed)
            continue
        parts = _gathered(_model(records, as_of, kind, others), group)
        expected = _mean(parts)
        results[key] = (chance_of_as_many(law_of(parts), failed), expected, failed)
    return results


def _model(records: Records, as_of: date, kind: str, lives: pd.DataFrame) -> NeedModel:
    """What these lives of the kind teach, with the catalogue's belief."""
    alone = replace(
        records,
        parts=records.parts[records.parts["part_kind"] == kind],
        fittings=records.fittings.loc[lives.index],
        stock=records.stock.iloc[:0],
        orders=records.orders.iloc[:0],
        maintenance=records.maintenance.iloc[:0],
        nozzle_checks=records.nozzle_checks.iloc[:0],
    )
    return need_models(alone, as_of, lives)[kind]


def _mean(parts: list[tuple[Array, Array]]) -> float:
    return float(sum(weight @ mean for weight, mean in parts))


def _gathered(model: NeedModel, group: pd.DataFrame) -> list[tuple[Array, Array]]:
    """Node weights and the hazard of wear the group gathered, one pair per ink or head type."""
    names = [
        model.group_of(position, head_type)
        for position, head_type in zip(group["position"], group["head_type"], strict=True)
    ]
    parts = []
    for name in dict.fromkeys(names):
        rows = group[[own == name for own in names]]
        nodes = model.posterior(name).wear.points(_POINTS)
        both = nodes.cumulative_hazard(np.concatenate([rows["age"], rows["entry"]]))
        gain = both[:, : len(rows)] - both[:, len(rows) :]
        parts.append((nodes.weight, gain.sum(axis=1)))
    return parts
