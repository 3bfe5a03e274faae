"""One model of all lives: groups, units, lots, drift, season and exposures at once.

Read in this order: `history` (what it reads), `calendar_time` (quarters, season, open days),
`cells` (lives cut where time changes them), `summed` (the same of lives summed elsewhere),
`design` (what makes up a cell's hazard), `likelihood`, `curvature`, `mode` (most likely levels),
`spreads` (how much units, lots and quarters differ), `drawing` (weighted draws), `score_test` (does
an effect hang on age?), `fit` (the entry),
`levels` (what is drawn), `ahead/` (what that says of days to come), `guess` (what another belief
would say), `draws` (the result: all together), `findings`.
"""

from __future__ import annotations

from tracker.models.life_model.whole.draws import LifeDraws
from tracker.models.life_model.whole.fit import fit_life_model
from tracker.models.life_model.whole.history import (
    Closed,
    Groups,
    Guesses,
    History,
    Lives,
    Steps,
)
from tracker.models.life_model.whole.levels import Parts
from tracker.models.life_model.whole.spreads import SpreadGrid

__all__ = [
    "Closed",
    "Groups",
    "Guesses",
    "History",
    "LifeDraws",
    "Lives",
    "Parts",
    "SpreadGrid",
    "Steps",
    "fit_life_model",
]
