"""The need of every kind where lives are told by printed area, for printers that are measured.

A life counts in area only where the counter was read from its fitting on. Parts fitted before the
first readings are missing then, and they are the ones that lived longest: a kind of which many
are missing would seem to wear out sooner than it does, and stays by days.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from tracker.errors import NotEnoughData
from tracker.forecast.need import need_models
from tracker.forecast.positions.fitted_positions import KindNeed, Part, Sources, kind_need
from tracker.lives.life_table import life_table
from tracker.lives.usage import printing_rate
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType, of_type

LEAST_SHARE = 0.8  # of a kind's lives that must count in area; common practice, no source


@dataclass(frozen=True, eq=False)
class AreaNeeds:
    """Lives and ages in m², and how fast they are used up.

    ``ages`` in m² by the fitting's index (NaN where the readings do not reach); ``rates`` of the
    printers that are measured (``printing_rate`` with a standard error); ``usual`` is the m² a
    printer prints in a day (median); ``counted`` per kind the lives that count in area and those
    that count in days.
    """

    sources: Sources
    ages: pd.Series
    rates: pd.DataFrame
    usual: float
    counted: dict[str, tuple[int, int]]

    @classmethod
    def of(cls, known: Records, as_of: date) -> AreaNeeds:
        """What the counters tell by that day; ``known``: records as known then.

        Raises:
            NotEnoughData: no printer whose counter was read often enough.
        """
        rates = printing_rate(known, as_of)
        rates = rates[(rates["area_m2_per_day"] > 0) & rates["std_error"].notna()]
        if rates.empty:
            raise NotEnoughData(
                "need by printed area: no printer has counter readings on three days of the last "
                "three months; read the area counter weekly, or look at days."
            )
        usual = float(rates["area_m2_per_day"].median())
        lives = life_table(known, as_of, scale="area")
        models = need_models(known, as_of, lives, per_day=usual)
        days = life_table(known, as_of)
        area_of, days_of = (
            table.loc[table["counted"], "part_kind"].value_counts() for table in (lives, days)
        )
        counted = {kind: (int(area_of.get(kind, 0)), int(days_of.get(kind, 0))) for kind in models}
        return cls(Sources(models), lives["age"], rates, usual, counted)

    def tells(self, kind: str) -> bool:
        """Whether enough of the kind's lives count in area (see the module's text)."""
        area, days = self.counted.get(kind, (0, 0))
        return area >= LEAST_SHARE * days

    def with_ages(self, positions: pd.DataFrame) -> pd.DataFrame:
        """The positions with ``area_m2`` beside ``age``; by its days where the counter is silent.

        ``positions`` as of ``fitted_positions``, with its index.
        """
        rate = positions["printer"].map(self.rates["area_m2_per_day"])
        known = self.ages.reindex(positions.index)
        return positions.assign(area_m2=known.fillna(positions["age"] * rate))

    def type_need(self, positions: pd.DataFrame, part: PartType, by_days: Sources) -> KindNeed:
        """The need of one type of part: measured printers by area, the others by days.

        The two lives are taken as unknown independently of each other. A printer that is not in
        the records (a what-if) prints as the measured ones usually do.
        """
        kind, variant = part
        new = ~positions["printer"].isin(self.rates.index) & positions["printer_is_new"]
        extra = pd.DataFrame(
            {
                "area_m2_per_day": self.usual,
                "std_error": self.usual * self._relative_error,
                "days": float(self.rates["days"].median()),
            },
            index=pd.Index(positions.loc[new, "printer"].unique(), name="printer"),
        )
        rates = pd.concat([self.rates, extra])
        measured = positions["printer"].isin(rates.index)
        in_area = _in_area(positions[measured], rates["area_m2_per_day"])
        parts: list[Part] = []
        if measured.any():
            models = self.sources.models
            own = kind_need(in_area, kind, models, self.sources, rates, variant=variant)
            parts += own.parts
        if not measured.all():
            others = positions[~measured]
            parts += kind_need(others, kind, by_days.models, by_days, variant=variant).parts
        return KindNeed(kind, int(of_type(positions, part).sum()), tuple(parts))

    @property
    def _relative_error(self) -> float:
        """Of a new printer's rate: how far the measured ones differ, or a half (no source)."""
        rate = self.rates["area_m2_per_day"].to_numpy(float)
        return float(np.std(rate, ddof=1) / rate.mean()) if len(rate) > 2 else 0.5


def _in_area(positions: pd.DataFrame, per_day: pd.Series) -> pd.DataFrame:
    """The positions with their ages in m², possible ones by the printer's rate."""
    rate = positions["printer"].map(per_day)
    laws = [
        None if law is None else law.times(float(own))
        for law, own in zip(positions["possible_ages"], rate, strict=True)
    ]
    return positions.assign(
        age=positions["area_m2"].fillna(0.0),
        possible_ages=pd.Series(laws, index=positions.index, dtype=object),
    )
