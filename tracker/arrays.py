"""The arrays functions take and give, named once for every room."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]  # the usual one: ages, chances, money
Ints: TypeAlias = NDArray[np.int64]  # counts, codes, row numbers
Bools: TypeAlias = NDArray[np.bool_]
Spectrum: TypeAlias = NDArray[np.complex128]  # the Fourier transform of a law
