"""How many failures were to be expected, and how unusual is what was seen?

Expected is what the life model, as it stood the day before, says about the parts and days that
really were: every part adds the hazard it gathered from the age at which the month found it (a part
fitted within the month from age 0) to the age at which it came out or the month ended, wear and
accidents, in its printer and of its lot, the drift going on. Given all levels the count is close to
Poisson with that mean (Berry, 1983, Biometrics 39:173, of standardised ratios); averaged over the
draws it carries what is not known about them.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracker.arrays import Array, Ints
from tracker.forecast.fitted_lives import FittedLives
from tracker.models.life_model.whole import LifeDraws, Parts
from tracker.models.life_model.whole.ahead.lived import wear_between
from tracker.models.life_model.whole.history import NO_LOT, UNSEEN
from tracker.review.happened import BROKE
from tracker.review.period import Period

COLUMNS = (
    "what", "name", "variant", "observed", "expected", "low", "high", "chance", "unusual",
)  # fmt: skip
LEVEL = 0.05
LEAST_OF_A_BATCH = 3  # parts in the month; a batch is named suspicious from three failures on
RANGE = (0.1, 0.9)
_MOST = 50_000  # failures in a month: ten times a fleet of 5 000 printers
_MANY = 100.0  # e to the minus that is far from nothing
_BLOCK = 1_000_000  # numbers at once


def count_law(weight: Array, mean: Array) -> Array:
    """The law of a count whose Poisson mean takes these values with these weights (sum 1).

    >>> count_law(np.array([1.0]), np.array([2.0]))[:3].round(4)
    array([0.1353, 0.2707, 0.2707])
    """
    size = _longest(mean)
    k = np.arange(size, dtype=float)
    log_factorial = np.concatenate([[0.0], np.cumsum(np.log(np.arange(1, size)))])
    rate = np.maximum(mean, 1e-300)[:, None]
    law = np.zeros(size)
    rows = max(1, _BLOCK // size)
    for i in range(0, len(rate), rows):
        own = rate[i : i + rows]
        law += weight[i : i + rows] @ np.exp(k * np.log(own) - own - log_factorial)
    return law


def count_laws(weight: Array, means: Array) -> Array:
    """The laws of many counts, each that of ``count_law``: (counts, numbers); ``means (counts,
    draws)``, none above _MANY.

    >>> count_laws(np.array([1.0]), np.array([[2.0], [0.0]]))[:, :2].round(4)
    array([[0.1353, 0.2707],
           [1.    , 0.    ]])
    """
    chance = np.exp(-means)
    laws = np.empty((len(means), _longest(means)))
    laws[:, 0] = chance @ weight
    for k in range(1, laws.shape[1]):
        chance *= means / k
        laws[:, k] = chance @ weight
    return laws


def _longest(mean: Array) -> int:
    """So many numbers, from 0 on, hold all but nothing of counts with these means."""
    highest = float(mean.max(initial=0.0))
    return int(min(_MOST, np.ceil(highest + 8 * np.sqrt(highest) + 12)))


def chance_of_as_many(laws: Array, observed: int | Ints) -> Array:
    """The chance of seeing that many or more: (counts,) where ``laws`` is (counts, numbers).

    >>> float(chance_of_as_many(np.array([0.5, 0.3, 0.2]), 2).round(3))
    0.2
    """
    fewer = np.arange(laws.shape[-1]) < np.asarray(observed)[..., None]
    return np.clip(1.0 - np.where(fewer, laws, 0.0).sum(axis=-1), 0.0, 1.0)


def holm(chances: Sequence[float], level: float = LEVEL) -> list[bool]:
    """Which of many comparisons stand out, at most ``level`` chance of any by luck (Holm, 1979).

    >>> holm([0.03, 0.001, 0.04])
    [False, True, False]
    """
    order = np.argsort(chances, kind="stable")
    named = [False] * len(chances)
    for step, which in enumerate(order):
        if chances[which] > level / (len(chances) - step):
            break
        named[which] = True
    return named


def exposed(lives: pd.DataFrame, period: Period) -> pd.DataFrame:
    """Parts in a printer within the month: ages ``from_age`` to ``to_age``, ``broke`` or not."""
    first, after = pd.Timestamp(period.first), pd.Timestamp(period.last) + pd.Timedelta(days=1)
    in_month = lives["counted"] & (lives["removed_on"].isna() | (lives["removed_on"] >= first))
    rows = lives[in_month & (lives["fitted_on"] < after)]
    eve = (pd.Timestamp(period.eve) - rows["new_on"]) / pd.Timedelta(days=1)
    rows = rows.assign(
        from_age=np.maximum(np.maximum(eve, rows["entry"]), 0.0),
        to_age=rows["age"],
        broke=rows["outcome"].isin(BROKE),
    )
    return rows[rows["to_age"] > rows["from_age"]]


@dataclass(frozen=True, eq=False)
class InMonth:
    """The parts in a printer within a month, and what was to be expected of them.

    ``rows``: one per part, with ``broke``; ``gained (parts, draws)``: the hazard each gathered in
    the month, wear and accidents; ``weight (draws,)``, which sums to 1.
    """

    rows: pd.DataFrame
    gained: Array
    weight: Array

    def among(self, own: Ints) -> Array:
        """How many of these parts break on average, in each draw."""
        return np.asarray(self.gained[own].sum(axis=0))

    def law(self, own: Ints) -> Array:
        """The law of how many of these parts break."""
        return count_law(self.weight, self.among(own))

    def expected(self, own: Ints) -> float:
        """How many of these parts break on average."""
        return float(self.weight @ self.among(own))

    def observed(self, own: Ints) -> int:
        """How many of these parts broke."""
        return int(self.rows["broke"].to_numpy(dtype=bool)[own].sum())


def in_month(now: FittedLives, eve: FittedLives, period: Period) -> InMonth | None:
    """What was to be expected of the parts that really were in a printer within the month?

    ``now``: the lives as known on the period's last day; ``eve``: the model as it stood the day
    before the month. Parts of unknown age count by the ages they may have. Left out are kinds that
    do not wear and what the model had never met before the month: a kind, ink or type fitted for
    the first time, parts that came old with a log or printer that begins. None where nothing is
    left.
    """
    rows = _in_month(now, eve, period)
    if rows.empty or eve.draws is None:
        return None
    return InMonth(rows, _gathered(rows, eve, eve.draws), eve.draws.weight)


def against_expectation(now: FittedLives, eve: FittedLives, period: Period) -> pd.DataFrame:
    """Was more seen than expected, in all, by type of part, printer, supplier and batch?

    ``now``, ``eve`` and who counts: see ``in_month``. Columns COLUMNS: ``variant`` is the type of
    the kind that ``name`` begins with, for parts of several types are compared apart; ``low`` and
    ``high`` hold 80 % of what was to be expected, ``chance`` is that of so many or more,
    ``unusual`` tells whether that is rare even among all comparisons made (Holm, 5 %). Batches of
    which fewer than LEAST_OF_A_BATCH parts were in a printer in the month are left out.
    ``suspicions`` judges a batch over the whole log.
    """
    month = in_month(now, eve, period)
    if month is None:
        return pd.DataFrame(columns=list(COLUMNS))
    rows = month.rows
    groups: list[tuple[str, str, str, Ints]] = [("all", "", "", np.arange(len(rows)))]
    one_type = pd.Series("", index=rows.index)
    source = (" from " + rows["supplier"]).where(rows["supplier"] != "", "")
    batch = rows["part_kind"] + " batch " + rows["batch"] + source
    for what, label, variant, least in (
        ("part_kind", rows["part_kind"], rows["variant"], 1),
        ("printer", rows["printer"], one_type, 1),
        (
            "supplier",
            (rows["part_kind"] + source).where(rows["supplier"] != "", ""),
            rows["variant"],
            1,
        ),
        ("batch", batch.where(rows["batch"] != "", ""), rows["variant"], LEAST_OF_A_BATCH),
    ):
        for (name, of_type), own in label.groupby([label, variant]).indices.items():
            if name and len(own) >= least:
                groups.append((what, str(name), str(of_type), np.asarray(own, dtype=np.int64)))
    broke = rows["broke"].to_numpy(dtype=bool)
    observed = np.array([np.count_nonzero(broke[own]) for *_named, own in groups])
    means = np.array([month.among(own) for *_named, own in groups])
    table = pd.DataFrame([names for *names, _own in groups], columns=list(COLUMNS[:3]))
    table = table.assign(observed=observed, expected=means @ month.weight)
    table = table.assign(**_beside(month.weight, means, observed))
    return table.assign(unusual=holm(table["chance"].to_numpy()))


def _beside(weight: Array, means: Array, observed: Ints) -> dict[str, Array | Ints]:
    """``low``, ``high`` and ``chance`` of counts with these means: (counts, draws)."""
    low, high = np.zeros((2, len(means)), np.int64)
    chance = np.zeros(len(means))
    size = np.ceil(np.log2(np.maximum(means.max(axis=1), 1.0)))
    small = size <= np.log2(_MANY)
    # Few failures are told together with as few, many one by one.
    rows = [np.flatnonzero(small & (size == own)) for own in np.unique(size[small])]
    for own in (*rows, *np.flatnonzero(~small)[:, None]):
        is_small = small[own[0]]
        laws = (
            count_laws(weight, means[own]) if is_small else count_law(weight, means[own[0]])[None]
        )
        below, last = np.cumsum(laws, axis=1), laws.shape[1] - 1
        for ends, share in zip((low, high), RANGE, strict=True):
            ends[own] = np.minimum((below < share).sum(axis=1), last)
        chance[own] = chance_of_as_many(laws, observed[own])
    return {"low": low, "high": high, "chance": chance}


def _in_month(now: FittedLives, eve: FittedLives, period: Period) -> pd.DataFrame:
    """Wearing parts in a printer within the month whose group the model of the eve knows.

    ``from_day`` and ``to_day`` in days since the eve, ``from_age`` (NaN: unknown), ``broke``; the
    ``group``, ``unit`` and ``lot`` that the part has in the eve's model.
    """
    if now.told is None or eve.told is None:
        return pd.DataFrame()
    day, start = pd.Timedelta(days=1), pd.Timestamp(period.eve)
    known = exposed(now.lives, period)
    from_day = (known["new_on"] - start) / day + known["from_age"]
    to_day = from_day + known["to_age"] - known["from_age"]
    known = known.assign(from_day=from_day, to_day=to_day)
    guessed = eve.running.index[eve.running["age"].isna()].intersection(now.lives.index)
    unknown = now.lives.loc[guessed]
    until = (unknown["removed_on"].fillna(pd.Timestamp(period.last)) - start) / day
    broke = unknown["outcome"].isin(BROKE)
    unknown = unknown.assign(from_day=0.0, to_day=until, from_age=np.nan, broke=broke)
    rows = pd.concat([known, unknown[until > 0]]) if len(unknown) else known
    told, lives = now.told, now.told.history.lives
    place = pd.Series(np.arange(len(told.fitting)), index=told.fitting)
    rows = rows[rows.index.isin(place.index)].sort_index()
    here = place.loc[rows.index].to_numpy(np.int64)
    lot_names = (*told.lots, None)  # −1, no lot known, is the last
    rows = rows.assign(
        group=_numbers(eve.told.groups, told.groups, UNSEEN)[lives.group[here]],
        unit=_numbers(eve.told.printers, told.printers, UNSEEN)[lives.unit[here]],
        lot=_numbers((*eve.told.lots, None), lot_names, UNSEEN)[lives.lot[here]],
    )
    rows.loc[lives.lot[here] < 0, "lot"] = NO_LOT
    # A part watched from within the month on, old already, the model never met: it would be judged
    # by a guess that its survival has refuted.
    known = rows.index.isin(eve.running.index) & (rows["from_day"] == 0)
    met = known | (rows["from_age"] == 0)
    return rows[met & (rows["group"] >= 0)]


def _numbers(names: Sequence[Hashable], asked: Sequence[Hashable], otherwise: int) -> Ints:
    number = {name: i for i, name in enumerate(names)}
    return np.array([number.get(name, otherwise) for name in asked], dtype=np.int64)


def _gathered(rows: pd.DataFrame, eve: FittedLives, draws: LifeDraws) -> Array:
    """The hazard each part gathered in the month, wear and accidents: (parts, draws)."""
    days = rows[["from_day", "to_day"]].to_numpy(dtype=float)
    unit, group = rows["unit"].to_numpy(np.int64), rows["group"].to_numpy(np.int64)
    began, ended = (draws.open_days.counted(unit, draws.as_of + day) for day in days.T)
    gained = draws.accident.T[group]
    gained *= (ended - began)[:, None]
    there = rows.index.isin(eve.running.index)
    fitted_then, place, until = eve.parts(rows.index[there]), np.flatnonzero(there), days[there, 1]
    # Most are in to the month's end: days of their own for the few that came out before it.
    week = np.where(until < until.max(initial=0.0), until // 7, -1.0)
    for own in np.unique(week):
        here = np.flatnonzero(week == own)
        each, day = np.unique(until[here], return_inverse=True)
        wear = eve.gathered(fitted_then.take(here), each)
        gained[place[here]] += wear.T[day, np.arange(len(here))]
    lot, age = rows["lot"].to_numpy(np.int64), rows["from_age"].to_numpy(dtype=float)
    came = np.flatnonzero(~there)
    parts = Parts(group[came], unit[came], lot[came], age[came], np.full(len(came), -1))
    gained[came] += wear_between(draws, parts, days[came, 0], (ended - began)[came]).T
    return gained
