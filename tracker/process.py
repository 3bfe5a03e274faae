"""How this process uses the machine; settled before anything that computes is imported."""

from __future__ import annotations

import ctypes
import os
import sys

# Each read once, when numpy's library of linear algebra is loaded. Arrays here are small: on two
# cores, two threads that wait for each other cost up to five times the processor time of one.
_THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
_ARENAS = "MALLOC_ARENA_MAX"
_M_ARENA_MAX = -8  # malloc.h of the GNU C library; mallopt(3)
_FEW = 2


def settle() -> None:
    """One thread for linear algebra, and few arenas of memory. What the user has set stays."""
    for name in _THREADS:
        os.environ.setdefault(name, "1")
    if sys.platform == "linux" and _ARENAS not in os.environ:
        # Every thread that ever ran a page would keep what it freed in an arena of its own.
        os.environ[_ARENAS] = str(_FEW)  # for processes started from here
        try:
            ctypes.CDLL(None).mallopt(_M_ARENA_MAX, _FEW)
        except (AttributeError, OSError):  # another C library: it has its own ways
            return
