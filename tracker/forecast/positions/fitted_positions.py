"""The parts fitted now, by the life they share and the part that takes them along."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.forecast.need import NeedModel, rows_of_each_life
from tracker.forecast.needed import demand_of_groups
from tracker.forecast.part_ages import ages_if_unknown
from tracker.forecast.positions.age_table import PositionAges
from tracker.forecast.positions.area_demand import everlasting
from tracker.forecast.positions.co_replaced_positions import TriggerPart
from tracker.forecast.positions.position_groups import PositionGroup
from tracker.forecast.positions.printer_usage import PrinterUsage
from tracker.forecast.renewal.parameter_nodes import NodeSource
from tracker.workshop.records import Records

Part = tuple[
    tuple[PositionGroup, ...], TriggerPart | None
]  # groups of positions and what leads them


def fitted_positions(
    known: Records, as_of: date, models: Mapping[str, NeedModel], lives: pd.DataFrame
) -> pd.DataFrame:
    """The running parts, one row each.

    Columns ``part_kind, variant, printer, site, position, age, possible_ages, group, age_known,
    until, printer_is_new``.

    ``age`` in days; of a part whose fitting day is unknown the mean over its ``possible_ages``
    (``lives.unknown_age``; None elsewhere). ``group`` is the model's (ink, head type).
    ``until``: days the position stays, infinite here; see ``printers_ahead`` for it and for
    ``printer_is_new``, False here. ``known``: records as known on that day.
    """
    running = lives[lives["outcome"].eq("running") & lives["part_kind"].isin(list(models))]
    columns = ["part_kind", "variant", "printer", "site", "position", "age", "head_type"]
    frame = running[columns].copy()
    frame["until"], frame["printer_is_new"] = np.inf, False
    frame["age_known"] = frame["age"].notna()
    frame["group"] = ""
    for (_, group), rows in rows_of_each_life(models, frame).items():
        frame.iloc[rows, frame.columns.get_loc("group")] = group
    frame["possible_ages"] = ages_if_unknown(known, as_of, frame, models)
    unknown = ~frame["age_known"]
    frame.loc[unknown, "age"] = [own.mean for own in frame.loc[unknown, "possible_ages"]]
    return frame


@dataclass(frozen=True, eq=False)
class KindNeed:
    """What decides the need of one kind: groups of positions, each with its trigger part."""

    part_kind: str
    positions: int
    parts: tuple[Part, ...]

    def demand(self, horizon: float) -> NDArray[np.float64]:
        """The chance that exactly k pieces are needed within the horizon (days)."""
        total = np.ones(1)
        for law in self._laws(horizon):
            total = np.convolve(total, law)
        return total

    def _laws(self, horizon: float) -> list[NDArray[np.float64]]:
        key = round(horizon, 3)
        if key not in self._asked:
            self._asked[key] = [
                demand_of_groups(groups, horizon, trigger=trigger) for groups, trigger in self.parts
            ]
        return self._asked[key]

    @cached_property
    def _asked(self) -> dict[float, list[NDArray[np.float64]]]:
        return {}

    def pieces_at_once(self, horizon: float) -> float:
        """How many pieces an event takes on average: more than 1 where a trigger takes a set."""
        pieces = events = 0.0
        if not any(trigger is not None and len(trigger.ages) for _, trigger in self.parts):
            return 1.0
        for (groups, trigger), with_trigger in zip(self.parts, self._laws(horizon), strict=True):
            if trigger is None or not len(trigger.ages):
                continue
            heads = _need_of_triggers(trigger, horizon)
            taken = sum(len(g.ages) for g in groups) / len(trigger.ages)
            triggered, all_pieces = _mean(heads), _mean(with_trigger)
            pieces += all_pieces
            events += triggered + max(0.0, all_pieces - taken * triggered)
        return max(1.0, pieces / events) if events > 0 else 1.0


def _need_of_triggers(trigger: TriggerPart, horizon: float) -> NDArray[np.float64]:
    number = np.arange(len(trigger.ages))
    group = PositionGroup.of(trigger.source, trigger.ages, planned=trigger.planned, follows=number)
    over = None if trigger.usage is None else everlasting(trigger.usage, number)
    return demand_of_groups([group], horizon, trigger=over)


def _mean(law: NDArray[np.float64]) -> float:
    return float(law @ np.arange(len(law)))


class Sources:
    """The lives behind the needs of every kind: a head's serve the heads and the dampers with them.

    ``planned_ages``: the kinds that are changed by plan, and the age at which.
    """

    def __init__(
        self, models: Mapping[str, NeedModel], planned_ages: Mapping[str, float] | None = None
    ) -> None:
        self.models = models
        self.planned_ages = {} if planned_ages is None else planned_ages

    def of(self, part_kind: str, group: str) -> NodeSource:
        """The nodes of that kind and group."""
        return self.models[part_kind].need(group, planned=part_kind in self.planned_ages)


def kind_need(
    positions: pd.DataFrame,
    part_kind: str,
    models: Mapping[str, NeedModel],
    sources: Sources | None = None,
    rates: pd.DataFrame | None = None,
    *,
    variant: str | None = None,
) -> KindNeed:
    """The need of one part kind, with what its trigger part (the head, for dampers) takes along.

    ``variant``: of one type of it only (None: of all), for a spare of another type is none.

    Where a printer has several trigger parts, its positions are shared out among them in order.
    Those of several lives (head types) are taken as independent. ``sources`` may be given
    where several kinds are asked for, and to say which are changed by plan. With ``rates`` (as
    ``lives.usage.printing_rate``) ages and lives are in m²; the horizon stays days.
    """
    sources = Sources(models) if sources is None else sources
    own = positions[positions["part_kind"] == part_kind].sort_values(["printer", "position"])
    model = models[part_kind]
    trigger_kind = model.facts.replaced_with
    heads = positions[positions["part_kind"] == trigger_kind].sort_values(["printer", "position"])
    is_co_replaced = trigger_kind in models and part_kind != trigger_kind and not heads.empty
    link = _links(own, heads) if is_co_replaced else np.full(len(own), -1)
    if variant is not None:
        wanted = (own["variant"] == variant).to_numpy()
        own, link = own[wanted], link[wanted]
    number = len(own)
    parts: list[Part] = []
    if rates is not None and (link < 0).any():
        parts.append(_not_co_replaced_in_area(own[link < 0], sources, rates))
        own, link = own[link >= 0], link[link >= 0]
    if not is_co_replaced:
        if rates is None:
            parts.append((_groups(own, sources, link), None))
        return KindNeed(part_kind, number, tuple(parts))
    head_group = heads["group"].to_numpy()
    linked = np.where(link >= 0, head_group[np.maximum(link, 0)], head_group[0])
    for group in dict.fromkeys(head_group):
        mine = linked == group
        which = np.flatnonzero(head_group == group)
        renumbered = np.full(len(heads), -1)
        renumbered[which] = np.arange(len(which))
        follows = np.where(link[mine] >= 0, renumbered[np.maximum(link[mine], 0)], -1)
        trigger = TriggerPart.of(
            sources.of(trigger_kind, group),
            ages_of(heads.iloc[which]),
            follows,
            sources.planned_ages.get(trigger_kind),
            None if rates is None else _usage(heads.iloc[which], rates),
        )
        parts.append((_groups(own[mine], sources, follows, rates is None), trigger))
    return KindNeed(part_kind, number, tuple(parts))


def _not_co_replaced_in_area(
    own: pd.DataFrame, sources: Sources, rates: pd.DataFrame
) -> tuple[tuple[PositionGroup, ...], TriggerPart]:
    follows, _ = pd.factorize(own["printer"])
    trigger = everlasting(_usage(own.drop_duplicates("printer"), rates), follows)
    return _groups(own, sources, follows, stays_as_told=False), trigger


def _usage(places: pd.DataFrame, rates: pd.DataFrame) -> PrinterUsage:
    """What the printers of these positions print, one value per position."""
    own = rates.loc[places["printer"]]
    return PrinterUsage.of(
        own["area_m2_per_day"].to_numpy(float),
        own["std_error"].to_numpy(float),
        own["days"].to_numpy(float),
        places["until"].to_numpy(float),
    )


def _groups(
    own: pd.DataFrame,
    sources: Sources,
    follows: NDArray[np.int64],
    stays_as_told: bool = True,
) -> tuple[PositionGroup, ...]:
    names = own["group"].to_numpy()
    ages = ages_of(own)
    until = own["until"].to_numpy(float)
    kind = "" if own.empty else str(own["part_kind"].iloc[0])
    return tuple(
        PositionGroup.of(
            sources.of(kind, name),
            ages[names == name],
            planned=sources.planned_ages.get(kind),
            follows=follows[names == name],
            until=until[names == name] if stays_as_told else None,
        )
        for name in dict.fromkeys(names)
    )


def ages_of(positions: pd.DataFrame) -> PositionAges:
    """The ages in these rows of ``fitted_positions``, one or several for each."""
    return PositionAges.possible(
        positions["age"].to_numpy(float), positions["possible_ages"].tolist()
    )


def _links(own: pd.DataFrame, heads: pd.DataFrame) -> NDArray[np.int64]:
    """For each position the row of its trigger part: the printer's own, shared out in order."""
    first = pd.Series(np.arange(len(heads)), index=heads["printer"].to_numpy())
    first_of = first[~first.index.duplicated()]
    heads_of = heads["printer"].value_counts()
    start = first_of.reindex(own["printer"]).fillna(-1).to_numpy()
    many = heads_of.reindex(own["printer"]).fillna(1).to_numpy()
    place = own.groupby("printer").cumcount().to_numpy()
    size = own["printer"].map(own["printer"].value_counts()).to_numpy()
    link = np.where(start < 0, -1, start + place * many // np.maximum(size, 1))
    return np.asarray(link, dtype=np.int64)
