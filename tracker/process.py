"""How this process uses the machine; settled before anything that computes is imported."""

from __future__ import annotations

import ctypes
import os
import sys

# Each read once, when numpy's library of linear algebra is loaded. Arrays here are small: on two
# cores, two threads that wait for each other cost up to five times the processor time of one.
_THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
# What malloc(3) of the GNU C library is told, by its environment and by mallopt(3); its numbers are
# those of malloc.h.
_MEMORY = {
    # Every thread that ever ran a page would keep what it freed in an arena of its own.
    "MALLOC_ARENA_MAX": (-8, 2),
    # A page of memory asked for anew costs as much as a thousand sums: what one array of an answer
    # leaves the next one takes, up to so many bytes each and all together.
    "MALLOC_MMAP_THRESHOLD_": (-3, 32 * 2**20),
    "MALLOC_TRIM_THRESHOLD_": (-1, 128 * 2**20),
    "MALLOC_TOP_PAD_": (-2, 64 * 2**20),
}


def settle() -> None:
    """One thread for linear algebra, few arenas of memory and large ones. What the user has set
    stays.
    """
    for name in _THREADS:
        os.environ.setdefault(name, "1")
    if sys.platform != "linux":
        return
    for name, (number, value) in _MEMORY.items():
        if name in os.environ:
            continue
        os.environ[name] = str(value)  # for processes started from here
        try:
            ctypes.CDLL(None).mallopt(number, value)
        except (AttributeError, OSError):  # another C library: it has its own ways
            return
