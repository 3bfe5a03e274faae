"""Should working parts be changed along with another one, while the machine is open anyway?

A new damper with a new head costs only the piece and makes a part new; the old one left in keeps
what it has left of its life. A spare is taken to be on the shelf.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from tracker.arrays import Array, Ints
from tracker.decisions.failure_cost import FailureCosts, taken_along
from tracker.decisions.planned_change import groups_in_use
from tracker.decisions.replacement_age import chance_of_saving, ends_80
from tracker.forecast.fitted_lives import FittedLives, fit_lives
from tracker.forecast.steady_lives import as_today, mean_new_life, mean_remaining_life
from tracker.models.life_model.whole import LifeDraws, Parts
from tracker.models.life_model.whole.history import UNSEEN
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType

_MOST_PARTS = 60  # of a fleet's, evenly chosen by age, stand for all
_AGES = np.geomspace(0.02, 8.0, 24)  # looked at, in typical lives
_REACHED = 1e-4  # of an age that fewer parts reach nothing can be said


@dataclass(frozen=True)
class ChangedAlong:
    """Whether fitting new parts of one kind pays while another part is changed anyway.

    Per change of a ``with_kind`` of the type ``with_variant`` on one printer, currency units: new
    parts cost ``pieces`` times ``piece_cost`` (the work is being done anyway); ``saving`` is what
    they spare later, less that cost, with its 80 % range (negative: leave the old ones in).
    ``from_age`` are the ages in days from which one pays, by group (infinite: never);
    ``median_age`` those of the parts in use now. ``enough_harm``: how much an old set has to raise
    the chance of losing the new ``with_kind`` so that changing pays after all; 0 where it pays
    anyway, NaN above 1.
    """

    part_kind: str
    with_kind: str
    with_variant: str
    pieces: float
    piece_cost: float
    saving: float
    saving_p10: float
    saving_p90: float
    chance_it_pays: float
    median_age: dict[str, float]
    from_age: dict[str, float]
    enough_harm: float

    @property
    def pays(self) -> bool:
        """True when changing along is cheaper in expectation."""
        return self.saving > 0


def changes_along(
    records: Records, as_of: date, *, fitted: FittedLives | None = None
) -> tuple[ChangedAlong, ...]:
    """Do new dampers with a new head pay in this workshop, and the like for every such pair?

    For each kind that the catalogue says goes out along with another one, and each type of that
    other one (an eight-channel head takes more dampers along), at the ages of the parts in use
    now in the printers that have it: if the other part had to be changed today. Run to failure at
    a cost of g = failure cost / mean life of a new part per day, a part is worth failure cost − g ·
    (its mean remaining life) less than a new one; that is summed over a printer's positions, draw
    by draw of the life model, each part in its own printer, of its own lot and age (or the ages it
    may have). ``from_age`` is told for the printer of the middle life. What old parts may do to the
    new one beside them is not counted; ``enough_harm`` says how large that would have to be.
    ``fitted`` may be given where ``fit_lives`` of that day was already asked.

    Source: relative values of a renewal reward process, Howard (1960).
    """
    fitted = fit_lives(records, as_of) if fitted is None else fitted
    if fitted.draws is None:
        return ()
    costs = FailureCosts.of(fitted.known, as_of)
    today = as_today(fitted.draws)
    return tuple(_along(fitted, today, costs, trigger, rows) for trigger, rows in _pairs(fitted))


def _pairs(fitted: FittedLives) -> Iterator[tuple[PartType, pd.DataFrame]]:
    """The parts that take others along, each type with the running parts that go."""
    running = fitted.running
    fits = set(fitted.lives["part_kind"])
    for kind in fitted.known.part_kinds():
        own = running[running["part_kind"] == kind]
        with_kind = fitted.known.part_facts(kind).replaced_with
        if with_kind not in fits or own.empty:
            continue
        triggers = running[running["part_kind"] == with_kind]
        variant_in = triggers.drop_duplicates("printer").set_index("printer")["variant"]
        beside = own["printer"].map(variant_in).astype(object)
        if beside.isna().all():  # every place of the other part stands empty
            beside[:] = ""
        for variant, rows in own.groupby(beside, sort=True):
            yield PartType(with_kind, str(variant)), rows


def _along(
    fitted: FittedLives,
    today: LifeDraws,
    costs: FailureCosts,
    trigger: PartType,
    rows: pd.DataFrame,
) -> ChangedAlong:
    kind = str(rows["part_kind"].iloc[0])
    beside = fitted.known.fittings[fitted.known.fittings["printer"].isin(rows["printer"])]
    pieces = taken_along(fitted.known.with_table("fittings", beside), kind, trigger.part_kind)
    parts = fitted.parts(rows.index)
    ages = fitted.age_told(rows.index, lambda own: own.mean)
    if len(rows) > _MOST_PARTS:
        even = np.linspace(0, len(rows) - 1, _MOST_PARTS).round().astype(int)
        chosen = np.lexsort((ages, parts.group))[even]
        parts, ages = parts.take(chosen), ages[chosen]
    new, place = _new_ones(parts)
    new_life = mean_new_life(today, new)
    left = mean_remaining_life(today, parts) / new_life[:, place]
    piece, failing = np.zeros(len(parts)), np.zeros(len(parts))
    median_age, from_age = {}, {}
    for group, (name, label) in groups_in_use(fitted, kind).items():
        mine = parts.group == group
        if not mine.any():
            continue
        cost = costs.of_kind(kind, name[2], spare_on_shelf=True)
        piece[mine], failing[mine] = cost.term("part").amount, cost.total
        median_age[label] = float(np.median(ages[mine]))
        middle = _middle(today, new_life, np.unique(place[mine]))
        from_age[label] = _from_age(today, new.take(middle), cost.term("part").amount, cost.total)
    saved = pieces / len(parts) * ((failing * (1 - left) - piece).sum(axis=1))
    saving = float(today.weight @ saved)
    low, high = ends_80(saved, today.weight)
    lost = costs.of_kind(*trigger, spare_on_shelf=True).total
    harm = max(0.0, -saving / lost) if lost > 0 else np.nan
    return ChangedAlong(
        part_kind=kind,
        with_kind=trigger.part_kind,
        with_variant=trigger.variant,
        pieces=pieces,
        piece_cost=float(piece.mean()),
        saving=saving,
        saving_p10=low,
        saving_p90=high,
        chance_it_pays=chance_of_saving(saved, today.weight),
        median_age=median_age,
        from_age=from_age,
        enough_harm=harm if harm <= 1 else np.nan,
    )


def _new_ones(parts: Parts) -> tuple[Parts, Ints]:
    """A new part for every group and printer among these, and which one each would get."""
    pairs, place = np.unique(np.stack((parts.group, parts.unit), 1), axis=0, return_inverse=True)
    return Parts.new(pairs[:, 0], pairs[:, 1]), place.reshape(-1)


def _middle(today: LifeDraws, new_life: Array, places: Ints) -> Ints:
    """The one of these places whose new part lasts neither longest nor shortest: (1,)."""
    told = today.weight @ np.log(new_life[:, places])
    return places[[np.argsort(told, kind="stable")[len(places) // 2]]]


def _from_age(today: LifeDraws, new: Parts, piece_cost: float, failing: float) -> float:
    """The age from which a new one instead of an old one of a like lot pays; infinite: never."""
    life = float(today.groups.told("typical_life")[new.group[0]])
    ages = life * _AGES
    size = len(ages)
    aged = Parts(
        np.full(size, new.group[0]),
        np.full(size, new.unit[0]),
        np.full(size, UNSEEN),
        ages,
        np.full(size, -1),
    )
    left = mean_remaining_life(today, aged) / mean_remaining_life(today, new)
    more = today.weight @ (failing * (1 - left)) - piece_cost
    reached = 1 - today.chance_of_failure(new, ages)[0] > _REACHED
    pays = np.flatnonzero((more > 0) & reached)
    if not pays.size:
        return np.inf
    first = int(pays[0])
    before = (0.0, -piece_cost) if first == 0 else (ages[first - 1], more[first - 1])
    return float(np.interp(0.0, (before[1], more[first]), (before[0], ages[first])))
