"""The log with its doubtful entries counted as often as they are likely to have been planned.

Which of them a symptom called for is not known. Left out where that is more likely than not, true
entries are lost and mistaken ones kept, about one in seven each, and what an effect is read off is
wrong by more than it need be. So the log is read in many ways, each entry being planned in as large
a share of them as its chance says (multiple imputation: Rubin 1987; the draws know of the failures,
as they must: Moons et al. 2006, Journal of Clinical Epidemiology 59:1092), and the exposure is the
mean over all readings (``TaskLog.mean_log2_rate``).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tracker.arrays import Ints
from tracker.forecast.log_quality.suspects import Suspect, entries_of
from tracker.lives.exposure.task import COUNTS_IN, IN_ALL, READINGS
from tracker.workshop.records import Records


def with_readings(known: Records, doubtful: Sequence[Suspect], rng: np.random.Generator) -> Records:
    """The suspects as because of a symptom, and each doubtful entry planned in its readings."""
    if not doubtful:
        return known
    log = known.maintenance
    planned_in = dict(zip(doubtful, _planned_in(doubtful, rng).tolist(), strict=True))
    counts_in = np.where(log["why"] == "planned", IN_ALL, 0)
    is_suspect = np.zeros(len(log), dtype=bool)
    entries = entries_of(known, doubtful)
    place = log.index.get_indexer(list(entries))
    counts_in[place] = [planned_in[one] for one in entries.values()]
    is_suspect[place] = [one.is_suspect for one in entries.values()]
    why = log["why"].mask(is_suspect, "symptom")
    return known.but(maintenance=log.assign(why=why, **{COUNTS_IN: counts_in}))


def _planned_in(doubtful: Sequence[Suspect], rng: np.random.Generator) -> Ints:
    """For each entry the readings, a bit each, in which it was planned; always so many as its
    chance says, which is less noise than a draw in each."""
    planned = np.rint(READINGS * (1 - np.array([one.chance for one in doubtful])))
    order = rng.permuted(np.tile(np.arange(READINGS), (len(doubtful), 1)), axis=1)
    return np.asarray((order < planned[:, None]) @ (1 << np.arange(READINGS)))
