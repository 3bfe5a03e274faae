"""How do the lives of a part kind end: by wear, by chance, or early?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np

from tracker.errors import NotEnoughData
from tracker.forecast.planned_practice import planned_practice
from tracker.forecast.wear_belief import wear_belief
from tracker.lives.life_table import LifeArrays, ages, life_table
from tracker.models.fit.family_table import family_table
from tracker.models.fit.fitted_life import LifeFit
from tracker.models.fit.fitting import fit_life
from tracker.models.life_model.posterior import LifePosterior
from tracker.workshop.records import Records

LEAST_FAILURES = 2  # of which a curve can be fitted
# A shape interval that leaves out 1 on one side says early failures or wear (design: below 1,
# about 1, above 1).
EARLY, CHANCE, WEAR, UNDECIDED = "early failures", "chance", "wear", "cannot tell"


@dataclass(frozen=True)
class LifeSummary:
    """The life of one part kind in a few figures; ages in days, limits at 95 %.

    ``basis`` is ``"lives"`` where a curve could be fitted to them, ``"belief"`` where too few
    failed, or at ages that fix no curve, and the figures are the posterior's, stated belief
    included.
    ``left_out`` lives could not be counted, ``failures_left_out`` of them failed: ``why_left_out``.
    Of the ``ends`` counted nobody knows why in ``ends_unknown`` of them, and ``ends_by_eye`` were
    changes by plan at no steady age: neither counts as failed, though some may have.
    ``families`` compares the life families (empty under belief). ``median_by_guess``: the age by
    which half have failed, belief included, as guessed and with half and twice the typical life
    guessed. ``shape_few``: limits of the shape that hold with few failures too, which the
    ``reading`` goes by.
    """

    part_kind: str
    label: str
    basis: str
    shape: float
    shape_lower: float
    shape_upper: float
    shape_few: tuple[float, float]
    scale_days: float
    b10_days: float
    b10_lower: float
    b10_upper: float
    median_days: float
    median_lower: float
    median_upper: float
    mean_life_days: float
    failures: int
    lives: int
    left_out: int
    failures_left_out: int
    why_left_out: tuple[str, ...]
    ends: int
    ends_unknown: int
    ends_by_eye: int
    median_by_guess: tuple[float, float, float]
    families: tuple[Mapping[str, Any], ...]

    @property
    def reading(self) -> str:
        """What the shape says: EARLY, CHANCE, WEAR or UNDECIDED."""
        if self.basis == "belief":
            return UNDECIDED
        lower, upper = self.shape_few
        if lower > 1:
            return WEAR
        if upper < 1:
            return EARLY
        return CHANCE if upper - lower < 1 else UNDECIDED

    def as_dict(self) -> dict[str, Any]:
        """The figures of the ``life`` command."""
        return {
            "part_kind": self.part_kind,
            "basis": self.basis,
            "shape": self.shape,
            "shape_lower": self.shape_lower,
            "shape_upper": self.shape_upper,
            "scale_days": self.scale_days,
            "b10_days": self.b10_days,
            "b10_lower": self.b10_lower,
            "b10_upper": self.b10_upper,
            "median_days": self.median_days,
            "median_lower": self.median_lower,
            "median_upper": self.median_upper,
            "mean_life_days": self.mean_life_days,
            "failures": self.failures,
            "lives": self.lives,
            "left_out": self.left_out,
            "failures_left_out": self.failures_left_out,
            "ends": self.ends,
            "ends_unknown": self.ends_unknown,
            "ends_by_eye": self.ends_by_eye,
            "reading": self.reading,
            "families": [dict(family) for family in self.families],
        }


def life_summary(records: Records, as_of: date, part_kind: str) -> LifeSummary:
    """How do the lives of this part kind end, by what is known on that day?

    With two failures or more the Weibull curve of greatest likelihood with likelihood-ratio
    limits; with fewer, or where no maximum exists, the posterior with the catalogue's belief.
    """
    lives = life_table(records, as_of)
    lives = lives[lives["part_kind"] == part_kind]
    arrays = ages(lives)
    facts = records.part_facts(part_kind)
    ended = lives.loc[lives["counted"].astype(bool) & lives["outcome"].ne("running"), "outcome"]
    is_practised = part_kind in planned_practice(records.known_at(as_of), as_of, lives)
    unused = lives[(lives["outcome"] == "failed") & ~lives["counted"].astype(bool)]
    counts: dict[str, Any] = {
        "part_kind": part_kind,
        "label": facts.label,
        "failures": int(arrays.failed.sum()),
        "lives": len(arrays.age),
        "left_out": int((~lives["counted"].astype(bool)).sum()),
        "failures_left_out": len(unused),
        "why_left_out": tuple(dict.fromkeys(unused["why_not"])),
        "ends": len(ended),
        "ends_unknown": int((ended == "unknown").sum()),
        "ends_by_eye": 0 if is_practised else int((ended == "planned").sum()),
    }
    belief = wear_belief(facts)
    posterior, halved, doubled = (
        LifePosterior.from_lives(
            arrays.age,
            arrays.failed,
            arrays.entry,
            arrays.last_ok,
            belief=replace(belief, typical_life=factor * belief.typical_life),
        )
        for factor in (1.0, 0.5, 2.0)
    )
    counts["median_by_guess"] = tuple(
        float(one.quantile(0.5)) for one in (posterior, halved, doubled)
    )
    try:
        fit = fit_life(arrays.age, arrays.failed, arrays.entry, arrays.last_ok)
    except NotEnoughData:
        return _from_belief(posterior, counts)
    return _from_fit(arrays, fit, counts)


def _from_fit(arrays: LifeArrays, fit: LifeFit, counts: Mapping[str, Any]) -> LifeSummary:
    shape, b10, median = fit.shape_interval(), fit.quantile(0.1), fit.quantile(0.5)
    few = fit.shape_interval(few=True)
    table = family_table(arrays.age, arrays.failed, arrays.entry, arrays.last_ok)
    return LifeSummary(
        basis="lives",
        shape=fit.shape,
        shape_lower=shape.lower,
        shape_upper=shape.upper,
        shape_few=(few.lower, few.upper),
        scale_days=fit.scale,
        b10_days=b10.estimate,
        b10_lower=b10.lower,
        b10_upper=b10.upper,
        median_days=median.estimate,
        median_lower=median.lower,
        median_upper=median.upper,
        mean_life_days=fit.mean_life,
        families=tuple({"family": name, **row} for name, row in table.to_dict("index").items()),
        **counts,
    )


def _from_belief(posterior: LifePosterior, counts: Mapping[str, Any]) -> LifeSummary:
    curves = posterior.points()

    def limits(share: float) -> tuple[float, float, float]:
        age = curves.scale * (-np.log1p(-share)) ** (1 / curves.shape)
        lower, middle, upper = np.quantile(age, (0.025, 0.5, 0.975))
        return float(lower), float(middle), float(upper)

    b10, median = limits(0.1), limits(0.5)
    return LifeSummary(
        basis="belief",
        shape=posterior.shape.estimate,
        shape_lower=posterior.shape.lower,
        shape_upper=posterior.shape.upper,
        shape_few=(posterior.shape.lower, posterior.shape.upper),
        scale_days=posterior.scale.estimate,
        b10_lower=b10[0],
        b10_days=b10[1],
        b10_upper=b10[2],
        median_lower=median[0],
        median_days=median[1],
        median_upper=median[2],
        mean_life_days=posterior.mean_life.estimate,
        families=(),
        **counts,
    )
