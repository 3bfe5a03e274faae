"""Do the lives of one supplier, lot, ink or printer end sooner than those of the others?"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import pandas as pd
from scipy.special import gammainc

from tracker.errors import NotEnoughData
from tracker.lives.life_table import ages, life_table
from tracker.models.curves.group_test import LogRank, chance_alike, log_rank
from tracker.workshop.records import Records

SURE = 0.05  # a difference that comes by chance more rarely than this is told as one
LEAST_FAILURES = 3  # of a group before it is named: the test's chances do not hold for fewer
_SAME = ["part_kind", "variant", "ink"]  # what must be alike before two lives are compared


@dataclass(frozen=True)
class BadLot:
    """One lot that fails sooner than all others beyond chance: ``failed`` where ``usual`` were to
    be expected."""

    part_kind: str
    batch: str
    failed: int
    usual: float


@dataclass(frozen=True, eq=False)
class GroupComparison:
    """Groups of lives side by side.

    ``groups``: one row per group, index its name, the one that fails soonest first: ``lives``,
    ``failed``, ``usual`` (the failures to be expected at the same ages were all groups alike) and
    ``chance_alike`` (by what chance a group like all others would differ so much from them).
    ``chance_alike``: the same for all groups at once. ``stratified``: lives were compared only
    with those of the same kind, type and ink. ``bad_lots`` of the supplier that is ``worse``, and
    ``rest``, the comparison without them (None where they leave too little to compare).
    """

    groups: pd.DataFrame
    chance_alike: float
    stratified: bool = False
    bad_lots: tuple[BadLot, ...] = ()
    rest: GroupComparison | None = None

    @property
    def failures(self) -> int:
        """How many failures the comparison rests on."""
        return int(self.groups["failed"].sum())

    @property
    def worse(self) -> str | None:
        """The one group that fails sooner than the others beyond chance; None where none does.

        A group of fewer than LEAST_FAILURES failures is not named. Of several groups, one of twenty
        looks bad by chance alone: the limit is shared out among them (Bonferroni), and the groups
        must differ as a whole too.
        """
        first = self.groups.iloc[0]
        looked_at = 1 if len(self.groups) == 2 else len(self.groups)
        apart = (
            first["failed"] >= LEAST_FAILURES
            and first["failed"] > first["usual"]
            and first["chance_alike"] * looked_at < SURE
        )
        return str(self.groups.index[0]) if apart and self.chance_alike < SURE else None

    @property
    def to_avoid(self) -> str | None:
        """The one that is ``worse`` even without its bad lots: a lot says little of the next."""
        if not self.bad_lots:
            return self.worse
        rest = self.rest.worse if self.rest is not None else None
        return rest if rest == self.worse else None

    def others_than(self, name: str) -> pd.Series:
        """The lives, failures and usual failures of all groups but one, added up."""
        added: pd.Series = self.groups.drop(index=name)[["lives", "failed", "usual"]].sum()
        return added


def compare_groups(lives: pd.DataFrame, by: str, *, stratified: bool = False) -> GroupComparison:
    """Which group of these lives fails sooner, by the log-rank test (Mantel 1966)?

    ``lives``: rows of ``life_table`` that count, with the group's name in column ``by``.
    ``stratified``: compare only lives of the same kind, type and ink, and add up the differences.

    Raises NotEnoughData where there are fewer than two groups, no failure, or none while lives of
    two groups were watched at one age.
    """
    seen = ages(lives)
    names = lives[by].to_numpy(dtype=object)
    strata = _strata(lives) if stratified else None

    def test(group: object) -> LogRank:
        return log_rank(seen.age, seen.failed, group, seen.entry, strata=strata)

    whole = test(names)
    chance = whole.p_value if stratified else chance_alike(seen.age, seen.failed, names, seen.entry)
    rows = pd.DataFrame(
        {
            "lives": pd.Series(whole.lives),
            "failed": pd.Series(whole.observed),
            "usual": pd.Series(whole.expected),
        }
    )
    alone = {}
    for name in rows.index:
        try:
            alone[name] = chance if len(rows) == 2 else test(names == name).p_value
        except NotEnoughData:
            alone[name] = 1.0
    rows["chance_alike"] = pd.Series(alone)
    sooner = (rows["failed"] / rows["usual"].where(rows["usual"] > 0)).fillna(0.0)
    order = sooner.sort_values(ascending=False, kind="stable").index
    rows = rows.loc[order].astype({"lives": int, "failed": int})
    return GroupComparison(rows, float(chance), stratified)


def compare_suppliers(records: Records, as_of: date) -> GroupComparison | None:
    """Which supplier's parts fail sooner than the same parts of the others, over all kinds?

    Only kinds (with their type and ink) of which two suppliers' parts were watched are compared;
    None where there is none, or where the log cannot tell anything of them.
    """
    table = life_table(records.known_at(as_of), as_of)
    lives = table[table["counted"].astype(bool) & (table["supplier"] != "")]
    if lives.empty:
        return None
    found = _of_suppliers(lives)
    if found is None or found.worse is None:
        return found
    bad = _bad_lots(lives, found.worse)
    if not bad:
        return found
    apart = pd.MultiIndex.from_tuples([(one.part_kind, one.batch) for one in bad])
    theirs = pd.MultiIndex.from_frame(lives[["part_kind", "batch"]]).isin(apart)
    theirs &= (lives["supplier"] == found.worse).to_numpy()
    return replace(found, bad_lots=bad, rest=_of_suppliers(lives[~theirs]))


def _strata(lives: pd.DataFrame) -> np.ndarray:
    """What each life is compared within: its kind, type and ink."""
    return lives[_SAME].astype(str).agg("|".join, axis=1).to_numpy()


def _of_suppliers(lives: pd.DataFrame) -> GroupComparison | None:
    """The suppliers of these lives side by side, kinds of which two were watched."""
    of_two = lives.groupby(_SAME, dropna=False)["supplier"].transform("nunique") > 1
    try:
        return compare_groups(lives[of_two], "supplier", stratified=True)
    except NotEnoughData:
        return None


def _bad_lots(lives: pd.DataFrame, supplier: str) -> tuple[BadLot, ...]:
    """The supplier's lots that stand out from all other parts: so many failed where so few are
    expected by the log-rank test has a small chance (Poisson), the limit shared out among them.
    """
    own = lives[(lives["supplier"] == supplier) & (lives["batch"] != "")]
    failed = own[own["outcome"] == "failed"].groupby(["part_kind", "batch"]).size()
    tried = failed[failed >= LEAST_FAILURES]
    found = []
    for (kind, batch), count in tried.items():
        lot = (lives["supplier"] == supplier) & (lives["part_kind"] == kind)
        lot &= lives["batch"] == batch
        alike = lives.assign(lot=np.where(lot, batch, ""))
        beside = alike.groupby(_SAME, dropna=False)["lot"].transform("nunique") > 1
        alike = alike[beside]
        seen, strata = ages(alike), _strata(alike)
        own_rows = alike["lot"].to_numpy() == batch
        try:
            test = log_rank(seen.age, seen.failed, own_rows, seen.entry, strata=strata)
        except NotEnoughData:
            continue
        usual = float(test.expected[True])
        # So few are expected of a lot that the log-rank test's own chance is too small.
        # P(so many or more) of a Poisson count is the lower incomplete gamma function at its mean.
        if gammainc(count, usual) * len(tried) < SURE:
            found.append(BadLot(str(kind), str(batch), int(count), usual))
    return tuple(found)
