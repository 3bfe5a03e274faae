"""Should a working part be changed by plan: by its age, or along with another part?

Both answers in the same money. A planned change costs the part, what goes along and the work, at
an hour when no job waits, and the cleans and refill after it; a failure costs standing hours,
spoiled goods and what it does to other parts as well. A spare is taken to be on the shelf.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.decisions.failure_cost import FailureCosts, positions_per_printer
from tracker.decisions.replacement_age import RANGE_POINTS, best_age, co_replacement_pays, ends_80
from tracker.decisions.routine.cost import DAYS_PER_YEAR
from tracker.forecast.need import NeedModel, need_models
from tracker.lives.life_table import life_table
from tracker.models.life_model.nodes import LifeNodes
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType

COLUMNS = (
    "part_kind",
    "group",
    "age",
    "saving",
    "per_year",
    "per_year_p10",
    "per_year_p90",
    "chance_it_pays",
    "planned",
    "failing",
)
_AGE_SHARES = (0.1, 0.3, 0.5, 0.7, 0.9)  # ages that stand for all that are fitted now
_SPANS_PER_LIFE = np.geomspace(1e-5, 1e4, 500)  # further life, in typical lives


def planned_ages(records: Records, as_of: date, part_kind: str | None = None) -> pd.DataFrame:
    """At what age is a planned change cheapest, per part kind and group (ink, head type)?

    Columns: ``age`` (days; infinite: run to failure), ``saving`` (share of the run-to-failure
    cost), ``per_year`` (currency units saved per position) with its 80 % range ``per_year_p10``
    to ``per_year_p90`` (below 0: lost), ``chance_it_pays``, ``planned`` and ``failing`` costs.
    Kinds whose level decides (the waste tank) are left out. ``part_kind``: of this kind only.
    """
    known = records.known_at(as_of)
    lines = []
    lives = life_table(known, as_of)
    reckoned = FailureCosts.of(known, as_of, lives)
    for kind, model in need_models(known, as_of, lives).items():
        if part_kind not in (None, kind):
            continue
        costs = reckoned.of_kind(kind, spare_on_shelf=True)
        planned = costs.planned
        if not model.wears or planned <= 0:
            continue
        for group in model.groups:
            found = best_age(model.posterior(group), planned, costs.total)
            saved = (
                DAYS_PER_YEAR * per_day
                for per_day in (found.run_to_failure_rate - found.cost_rate,
                                found.saved_p10, found.saved_p90)
            )  # fmt: skip
            lines.append(
                (kind, group, found.age, found.saving, *saved, found.chance_it_pays, planned,
                 costs.total)
            )  # fmt: skip
    return pd.DataFrame(lines, columns=list(COLUMNS))


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
    records: Records, as_of: date, part_kind: str | None = None
) -> tuple[ChangedAlong, ...]:
    """Do new dampers with a new head pay in this workshop, and the like for every such pair?

    For each kind that the catalogue says goes out along with another one, and each type of that
    other one (an eight-channel head takes more dampers along), at the ages of the parts in use
    now in the printers that have it: if the other part had to be changed today. A part of age a is
    worth failure cost · (1 − mean remaining life at a / mean life) less than a new one, as in
    ``replacement_age.co_replacement_pays``, here summed over a printer's positions. Groups (white
    and colour) share their shape, their middle and their accidents. For the range and the chance
    all of them stand at the same point of what is not known (one lattice of lives for all), as if
    they shared it whole: the careful side, a wider range than that of independent groups. What
    old parts may do to the new one beside them is not counted; ``enough_harm`` says how large
    that would have to be. ``part_kind``: only the pairs that this kind is one of.
    """
    known = records.known_at(as_of)
    lives = life_table(known, as_of)
    models = need_models(known, as_of, lives)
    costs = FailureCosts.of(known, as_of, lives)
    running = lives[(lives["outcome"] == "running") & lives["counted"]]
    found = []
    for kind, model in models.items():
        with_kind = model.facts.replaced_with
        own = running[running["part_kind"] == kind]
        if with_kind not in models or own.empty or part_kind not in (None, kind, with_kind):
            continue
        triggers = lives[lives["part_kind"].eq(with_kind) & lives["outcome"].eq("running")]
        variant_in = triggers.drop_duplicates("printer").set_index("printer")["variant"]
        beside = own["printer"].map(variant_in).astype(object)
        if beside.isna().all():  # every place of the other part stands empty
            beside[:] = ""
        for variant, rows in own.groupby(beside, sort=True):
            found.append(_along(costs, model, PartType(with_kind, str(variant)), rows))
    return tuple(found)


def _along(
    costs: FailureCosts, model: NeedModel, trigger: PartType, running: pd.DataFrame
) -> ChangedAlong:
    known = costs.known
    beside = known.fittings[known.fittings["printer"].isin(running["printer"])]
    pieces = positions_per_printer(known.with_table("fittings", beside), model.part_kind)
    failure = costs.of_kind(model.part_kind, spare_on_shelf=True)
    piece_cost, failing = failure.term("part").amount, failure.total
    # An array, for a list of one name would be taken as the name of a column.
    group_of = np.array(
        [model.group_of(str(row.position), str(row.head_type)) for row in running.itertuples()]
    )
    saving, together = 0.0, np.zeros(RANGE_POINTS)
    median_age, from_age = {}, {}
    for group, own in running.groupby(group_of):
        ages = np.quantile(own["age"].to_numpy(dtype=np.float64), _AGE_SHARES)
        posterior = model.posterior(str(group))
        number = pieces * len(own) / len(running)

        def saved(lives: LifeNodes, ages: Array = ages, number: float = number) -> Array:
            share = remaining_life(lives, ages, model.facts.typical_life_days)
            return number * (failing * (1 - share) - piece_cost)

        nodes = posterior.nodes()
        saving += float(nodes.weight @ saved(nodes))
        # Points of one number are laid on one lattice, so that the i-th of every group agree.
        together += saved(posterior.points(RANGE_POINTS))
        median_age[str(group)] = float(own["age"].median())
        from_age[str(group)] = co_replacement_pays(
            posterior, median_age[str(group)], piece_cost, failing
        ).from_age
    low, high = ends_80(together, np.full(RANGE_POINTS, 1 / RANGE_POINTS))
    lost = costs.of_kind(*trigger, spare_on_shelf=True).total
    harm = max(0.0, -saving / lost) if lost > 0 else np.nan
    return ChangedAlong(
        part_kind=model.part_kind,
        with_kind=trigger.part_kind,
        with_variant=trigger.variant,
        pieces=pieces,
        piece_cost=piece_cost,
        saving=saving,
        saving_p10=low,
        saving_p90=high,
        chance_it_pays=float(np.mean(together > 0)),
        median_age=median_age,
        from_age=from_age,
        enough_harm=harm if harm <= 1 else np.nan,
    )


def remaining_life(nodes: LifeNodes, ages: Array, typical_life: float) -> Array:
    """Mean remaining life as a share of the mean life of a new part, averaged over these ages.

    One value per node. ∫ exp(H(a) − H(a + s)) ds by the trapezoid rule in log s.
    """
    spans = typical_life * _SPANS_PER_LIFE
    widths = np.gradient(np.log(spans)) * spans
    means = []
    for age in (0.0, *ages):
        gained = nodes.cumulative_hazard(age + spans) - nodes.cumulative_hazard([age])
        means.append(spans[0] + np.exp(-gained) @ widths)
    share: Array = np.mean(means[1:], axis=0) / means[0]
    return share
