"""How many failures were to be expected, and how unusual is what was seen?

Expected is what the model, as it stood the day before, says about the parts and days that really
were: every part adds the hazard it gathered from the age at which the month found it (a part
fitted within the month from age 0) to the age at which it came out or the month ended. Given the
parameters the count is close to Poisson with that mean (Berry, 1983, Biometrics 39:173, of
standardised ratios); averaged over the parameter nodes it carries what is not known about them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Array
from tracker.forecast.need import NeedModel
from tracker.review.happened import BROKE
from tracker.review.period import Period

COLUMNS = (
    "what", "name", "variant", "observed", "expected", "low", "high", "chance", "unusual",
)  # fmt: skip
LEVEL = 0.05
LEAST_OF_A_BATCH = 3  # parts in the month; a batch is named suspicious from three failures on
RANGE = (0.1, 0.9)
_MOST = 50_000  # failures in a month: ten times a fleet of 5 000 printers
_BLOCK = 1_000_000  # numbers at once
_SHORT = 500  # laws up to this long are multiplied out
_POINTS = 512  # equally likely life curves


def poisson_law(weight: Array, mean: Array, size: int) -> Array:
    """The law of a count 0 … size − 1 whose Poisson mean takes these values with these weights.

    >>> poisson_law(np.array([1.0]), np.array([2.0]), 3).round(4)
    array([0.1353, 0.2707, 0.2707])
    """
    k = np.arange(size, dtype=float)
    log_factorial = np.concatenate([[0.0], np.cumsum(np.log(np.arange(1, size)))])
    rate = np.maximum(mean, 1e-300)[:, None]
    law = np.zeros(size)
    rows = max(1, _BLOCK // size)
    for i in range(0, len(rate), rows):
        own = rate[i : i + rows]
        law += weight[i : i + rows] @ np.exp(k * np.log(own) - own - log_factorial)
    return law


def law_of(parts: Sequence[tuple[Array, Array]]) -> Array:
    """The law of the sum of independent counts, each given by node weights and means."""
    total = np.ones(1)
    for weight, mean in parts:
        highest = float(mean.max())
        size = int(min(_MOST, np.ceil(highest + 8 * np.sqrt(highest) + 12)))
        total = _sum_of(total, poisson_law(weight, mean, size))
    return total


def _sum_of(first: Array, second: Array) -> Array:
    """The law of the sum of two independent counts."""
    if min(len(first), len(second)) < _SHORT:
        return np.convolve(first, second)
    size = len(first) + len(second) - 1
    spectrum = np.fft.rfft(first, size) * np.fft.rfft(second, size)
    return np.asarray(np.maximum(np.fft.irfft(spectrum, size), 0.0))


def chance_of_as_many(law: Array, observed: int) -> float:
    """The chance of seeing that many or more.

    >>> round(chance_of_as_many(np.array([0.5, 0.3, 0.2]), 2), 3)
    0.2
    """
    return float(min(1.0, max(0.0, 1.0 - law[:observed].sum())))


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
    eve = (pd.Timestamp(period.eve) - rows["fitted_on"]) / pd.Timedelta(days=1)
    rows = rows.assign(
        from_age=np.maximum(np.maximum(eve, rows["entry"]), 0.0),
        to_age=rows["age"],
        broke=rows["outcome"].isin(BROKE),
    )
    return rows[rows["to_age"] > rows["from_age"]]


def gathered(rows: pd.DataFrame, models: Mapping[str, NeedModel]) -> dict[int, tuple[str, Array]]:
    """Per row (by position) the kind-and-group it belongs to and its hazard gathered per node."""
    found: dict[int, tuple[str, Array]] = {}
    keys = [
        (kind, models[kind].group_of(position, head_type) if kind in models else "")
        for kind, position, head_type in zip(
            rows["part_kind"], rows["position"], rows["head_type"], strict=True
        )
    ]
    start, end = rows["from_age"].to_numpy(float), rows["to_age"].to_numpy(float)
    for key in dict.fromkeys(keys):
        if key[0] not in models or not models[key[0]].wears:
            continue
        own = np.array([i for i, other in enumerate(keys) if other == key])
        nodes = models[key[0]].posterior(key[1]).points(_POINTS)
        both = nodes.cumulative_hazard(np.concatenate([end[own], start[own]]))
        gain = np.maximum(both[:, : len(own)] - both[:, len(own) :], 0.0)
        name = "\x1f".join(key)
        found.update({int(row): (name, gain[:, i]) for i, row in enumerate(own)})
    return found


def against_expectation(
    lives: pd.DataFrame, period: Period, models: Mapping[str, NeedModel]
) -> pd.DataFrame:
    """Was more seen than expected, in all, by type of part, printer, supplier and batch?

    ``models`` as they stood the day before the month. Columns COLUMNS: ``variant`` is the type of
    the kind that ``name`` begins with, for parts of several types are compared apart; ``low`` and
    ``high`` hold 80 % of what was to be expected, ``chance`` is that of so many or more,
    ``unusual`` tells whether that is rare even among all comparisons made (Holm, 5 %). Parts of
    unknown age and kinds that do not wear are left out on both sides, and batches of which fewer
    than LEAST_OF_A_BATCH parts were in a printer in the month. ``suspicions`` judges a batch over
    the whole log.
    """
    rows = exposed(lives, period)
    gains = gathered(rows, models)
    if not gains:
        return pd.DataFrame(columns=list(COLUMNS))
    rows = rows.iloc[sorted(gains)]
    gain_of = [gains[row] for row in sorted(gains)]
    weight = np.full(_POINTS, 1 / _POINTS)
    groups: list[tuple[str, str, str, NDArray[np.intp]]] = [("all", "", "", np.arange(len(rows)))]
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
                groups.append((what, str(name), str(of_type), np.asarray(own, dtype=np.intp)))
    broke = rows["broke"].to_numpy(dtype=bool)
    found: list[dict[str, Any]] = []
    for what, name, of_type, own in groups:
        means: dict[str, Array] = {}
        for row in own:
            group, gain = gain_of[row]
            means[group] = means.get(group, np.zeros(len(gain))) + gain
        law = law_of([(weight, mean) for mean in means.values()])
        observed = int(broke[own].sum())
        below = np.cumsum(law)
        found.append(
            {
                "what": what,
                "name": name,
                "variant": of_type,
                "observed": observed,
                "expected": float(sum(mean.mean() for mean in means.values())),
                "low": int(np.searchsorted(below, RANGE[0])),
                "high": min(int(np.searchsorted(below, RANGE[1])), len(law) - 1),
                "chance": chance_of_as_many(law, observed),
            }
        )
    unusual = holm([comparison["chance"] for comparison in found])
    frame = pd.DataFrame(found, columns=list(COLUMNS[:-1]))
    return frame.assign(unusual=unusual)
