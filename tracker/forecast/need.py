"""What is known of every part kind's need: one place where records become posteriors.

A part has to be replaced when it wears out or meets an accident; the two are learned apart and
compete. Wear's belief is the catalogue's: its typical life, worth its stated number of failures,
and moderate wear-out. Accidents are believed rare, one per ten typical lives, worth one failure,
and age tells nothing about them (common practice, no source).

A spare is also used up when a working part is changed by plan or comes out for a reason nobody
noted. Such changes say nothing about lives, but ``NeedModel.need`` counts them, at a constant rate
(once seen, with a belief worth a tenth of a change), unless the workshop changes the kind at a
certain age (``planned_practice``), which the demand then takes as a date.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from tracker.forecast.renewal.parameter_nodes import NodeSource
from tracker.lives.life_table import LifeArrays, ages, life_table
from tracker.models.life_model.competing import CompetingPosterior
from tracker.models.life_model.pooling import PooledPosterior
from tracker.models.life_model.posterior import LifeBelief, LifePosterior
from tracker.workshop import vocabulary as words
from tracker.workshop.records import PartFacts, Records

if TYPE_CHECKING:
    import pandas as pd

ACCIDENT_LIVES = 10.0  # typical lives per accident in the belief; common practice, no source
OTHER_NEEDS = ("accident", "unknown")  # outcomes beside wear that use up a spare at any age
LEAST_BELIEF = 0.1  # a catalogue's "worth no failures" forecasts nothing; it counts as this much


@dataclass(frozen=True, eq=False)
class NeedModel:
    """How one part kind comes to be needed, and how much is known about it.

    ``group_by`` is ``"ink"``, ``"head_type"`` or ``""``: what the wear is told apart by, the
    groups borrowing from one another. ``failures``, ``accidents`` and ``lives`` count the
    evidence; ``left_out`` tells how many fittings no model can use, by reason. ``wears`` is False
    where a level decides and not a life (the waste tank): its model is there but forecasts skip it.
    ``other_needs`` is what uses up a spare at any age, the planned changes left out or in.
    """

    part_kind: str
    facts: PartFacts
    group_by: str
    wear: LifePosterior | PooledPosterior
    accident: LifePosterior
    other_needs: Mapping[bool, LifePosterior]
    failures: int
    accidents: int
    lives: int
    left_out: Mapping[str, int]

    @property
    def wears(self) -> bool:
        """False where a level decides, not a life."""
        return words.wears(self.part_kind)

    @property
    def groups(self) -> tuple[str, ...]:
        """The groups with lives; ``("",)`` where the kind is not told apart."""
        return self.wear.groups if isinstance(self.wear, PooledPosterior) else ("",)

    def group_of(self, position: str = "", head_type: str = "") -> str:
        """Which group a part in that position of a printer with that head type belongs to."""
        if self.group_by == "ink":
            return words.ink_of(self.part_kind, position)
        return head_type if self.group_by == "head_type" else ""

    def posterior(self, group: str = "") -> CompetingPosterior:
        """Wear and accident of a group (see ``group_of``); of a new one what the others say."""
        if group not in self._posteriors:
            wear = self.wear.group(group) if isinstance(self.wear, PooledPosterior) else self.wear
            self._posteriors[group] = CompetingPosterior(wear, self.accident)
        return self._posteriors[group]

    def need(self, group: str = "", *, planned: bool = False) -> NodeSource:
        """When a part of the group has to be replaced for any reason; see the module's text.

        A source of parameter nodes, the same one each time. ``planned``: the changes by plan are
        counted elsewhere, by their age.
        """
        if (group, planned) not in self._needs:
            life = CompetingPosterior(self.posterior(group).wear, self.other_needs[planned])
            self._needs[group, planned] = NodeSource(life)
        return self._needs[group, planned]

    @cached_property
    def _needs(self) -> dict[tuple[str, bool], NodeSource]:
        return {}

    @cached_property
    def _posteriors(self) -> dict[str, CompetingPosterior]:
        return {}

    @cached_property
    def belief_share(self) -> float:
        """How much of the forecasts is belief, 0 to 1: the mean over the groups, by their lives."""
        if not isinstance(self.wear, PooledPosterior):
            return self.posterior().belief_share
        total = max(self.wear.lives, 1.0)
        return sum(
            own / total * self.posterior(name).belief_share
            for name, (_, own) in zip(self.wear.groups, self.wear.counts, strict=True)
        )

    def __repr__(self) -> str:
        return (
            f"NeedModel({self.part_kind}: {self.failures} failures, {self.accidents} accidents "
            f"in {self.lives} lives, {self.belief_share:.0%} belief)"
        )


def wear_belief(facts: PartFacts, per_day: float = 1.0, *, ink: str = "") -> LifeBelief:
    """What is believed of a kind's wear before its lives are looked at: the catalogue's figures.

    In days, or in the unit of which a part in use gathers ``per_day`` a day. White ink has its
    own typical life where nobody stated one for the kind.
    """
    white = ink == "white"
    typical = facts.typical_life_white_days if white else facts.typical_life_days
    return LifeBelief(typical * per_day, max(facts.belief_failures, LEAST_BELIEF))


def rows_of_each_life(
    models: Mapping[str, NeedModel], lives: pd.DataFrame
) -> dict[tuple[str, str], npt.NDArray[np.intp]]:
    """Which rows of a life table (by place) share a posterior, by part kind and group?

    Every kind in ``lives`` must have its model.
    """
    keys = list(zip(lives["part_kind"], lives["position"], lives["head_type"], strict=True))
    life_of = {key: (key[0], models[key[0]].group_of(key[1], key[2])) for key in set(keys)}
    found: dict[tuple[str, str], list[int]] = {}
    for row, key in enumerate(keys):
        found.setdefault(life_of[key], []).append(row)
    return {life: np.array(rows, dtype=np.intp) for life, rows in found.items()}


def need_models(
    records: Records,
    as_of: date,
    lives: pd.DataFrame | None = None,
    *,
    per_day: float = 1.0,
) -> dict[str, NeedModel]:
    """How does every part kind come to be needed, as known on that day?

    One model per kind fitted, stocked or in the catalogue, also where nothing failed or nothing
    was fitted yet: then the belief speaks. The wear of a kind fitted per channel is told apart by
    ink where lives of both inks are known, that of heads by the printers' head type where lives of
    two or more types are known; other kinds are not told apart. ``lives`` may be given where the
    life table of that day is already there; for one in m², ``per_day`` is the m² a printer usually
    prints in a day, by which the catalogue's typical lives are turned into m².

    >>> import pandas as pd
    >>> from datetime import date
    >>> day = pd.Timestamp
    >>> records = Records.of({
    ...     "printers": pd.DataFrame({"printer": ["Ada"], "started_on": [day("2024-01-01")]}),
    ...     "fittings": pd.DataFrame({
    ...         "printer": ["Ada", "Ada"], "part_kind": ["wiper", "wiper"],
    ...         "position": ["wiper", "wiper"], "fitted_on": [day("2024-01-01"), day("2024-05-01")],
    ...         "removed_on": [day("2024-05-01"), None], "removal_reason": ["failed", ""]}),
    ... })
    >>> need_models(records, date(2024, 6, 30))
    {'wiper': NeedModel(wiper: 1 failures, 0 accidents in 2 lives, 56% belief)}
    """
    known = records.known_at(as_of)
    lives = life_table(known, as_of) if lives is None else lives
    by_event = {
        "wear": ages(lives, ("failed",)),
        "accident": ages(lives, ("accident",)),
        "other": ages(lives, OTHER_NEEDS),
        "other_or_planned": ages(lives, (*OTHER_NEEDS, "planned")),
    }
    counted = lives["counted"].to_numpy(dtype=bool)
    labels = {
        name: lives[name].to_numpy(dtype=object)[counted]
        for name in ("part_kind", "ink", "head_type")
    }
    models = {}
    for kind in known.part_kinds():
        rows = np.flatnonzero(labels["part_kind"] == kind)
        missing = lives["why_not"].to_numpy(dtype=object)[
            ~counted & (lives["part_kind"].to_numpy(dtype=object) == kind)
        ]
        group_by = _grouping(kind, labels["ink"][rows], labels["head_type"][rows])
        own = {event: _taken(every, rows) for event, every in by_event.items()}
        kind_lives = _KindLives(
            own["wear"],
            own["accident"],
            {True: own["other"], False: own["other_or_planned"]},
            group_by,
            labels[group_by or "ink"][rows],
            dict(Counter(missing.tolist())),
        )
        models[kind] = _model(records.part_facts(kind), per_day, kind_lives)
    return models


@dataclass(frozen=True, eq=False)
class _KindLives:
    """The lives of one kind with what counts as their end: wear, accident, or another need (the
    planned changes left out or in); ``group`` of each where the kind is told apart."""

    wear: LifeArrays
    accident: LifeArrays
    others: Mapping[bool, LifeArrays]
    group_by: str
    group: npt.NDArray[np.object_]
    left_out: Mapping[str, int]


def _model(facts: PartFacts, per_day: float, lives: _KindLives) -> NeedModel:
    own, accidents = lives.wear, int(lives.accident.failed.sum())
    typical = facts.typical_life_days * per_day
    # A kind of which one ink only has lives is not told apart, and its belief is that ink's.
    group, group_by = lives.group, lives.group_by
    only = str(group[0]) if not group_by and len(set(group)) == 1 else ""
    belief = wear_belief(facts, per_day, ink=only)
    rare = LifeBelief(ACCIDENT_LIVES * typical, shape=1.0, shape_spread=0.0)
    wear: LifePosterior | PooledPosterior
    if group_by:
        white = wear_belief(facts, per_day, ink="white").typical_life
        wear = PooledPosterior.from_lives(
            own.age,
            own.failed,
            group,
            own.entry,
            own.last_ok,
            belief=belief,
            typical_life_of={"white": white} if group_by == "ink" else None,
        )
    else:
        wear = LifePosterior.from_lives(own.age, own.failed, own.entry, own.last_ok, belief=belief)

    def constant_rate(ends: LifeArrays, belief: LifeBelief = rare) -> LifePosterior:
        return LifePosterior.from_lives(
            ends.age, ends.failed, ends.entry, ends.last_ok, belief=belief
        )

    # What the workshop does by habit soon speaks for itself: the same rate, worth less.
    habit = LifeBelief(ACCIDENT_LIVES * typical, LEAST_BELIEF, shape=1.0, shape_spread=0.0)
    return NeedModel(
        facts.part_kind,
        facts,
        lives.group_by,
        wear,
        constant_rate(lives.accident),
        {
            planned: constant_rate(ends, habit if ends.failed.sum() > accidents else rare)
            for planned, ends in lives.others.items()
        },
        failures=int(own.failed.sum()),
        accidents=accidents,
        lives=len(own),
        left_out=lives.left_out,
    )


def _taken(lives: LifeArrays, rows: npt.NDArray[np.intp]) -> LifeArrays:
    return LifeArrays(lives.age[rows], lives.failed[rows], lives.entry[rows], lives.last_ok[rows])


def _grouping(
    part_kind: str, ink: npt.NDArray[np.object_], head_type: npt.NDArray[np.object_]
) -> str:
    """What to tell wear apart by; see ``need_models``."""
    kind = words.PART_KINDS.get(part_kind)
    if kind is not None and kind.per_channel:
        return "ink" if len(set(ink)) > 1 else ""
    if part_kind == "head":
        return "head_type" if len(set(head_type) - {""}) > 1 else ""
    return ""
