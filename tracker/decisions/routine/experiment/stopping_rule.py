"""When may an experiment be believed? One look half-way, then the end; agreed on beforehand.

Who looks again and again until a difference shows will see one sooner or later. O'Brien–Fleming
limits for two looks at equal steps keep the chance of any false answer at 5 %: at the half only a
very clear difference counts, at the end nearly the usual one. (O'Brien & Fleming 1979, Biometrics
35, 549–556; constant 1.977 for two looks: Jennison & Turnbull 2000, Group Sequential Methods, table
2.3.)
"""

from __future__ import annotations

import math

import numpy as np

from tracker.arrays import Array

END_LIMIT = 1.977
LOOK_LIMIT = END_LIMIT * math.sqrt(2)
FALSE_ANSWER = 0.05
POWER = 0.8
# How many more failures are needed than without a look (Jennison & Turnbull 2000, table 2.4).
MORE_FOR_THE_LOOK = 1.008


def answers(at_look: Array, at_end: Array) -> Array:
    """−1 the shorter interval has fewer failures, +1 the longer, 0 no answer; from the
    standardized differences at the look and at the end."""
    looked = np.where(np.abs(at_look) >= LOOK_LIMIT, np.sign(at_look), 0.0)
    ended = np.where(np.abs(at_end) >= END_LIMIT, np.sign(at_end), 0.0)
    return np.where(looked != 0, looked, ended)
