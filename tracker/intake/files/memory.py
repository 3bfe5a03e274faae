"""How much memory may this process count on?"""

from __future__ import annotations

import os
from pathlib import Path

_UNKNOWN = 2_000_000_000  # of a small computer, where the system does not say
_OF_THE_GROUP = ("memory.max", "memory/memory.limit_in_bytes")  # control groups, version 2 and 1


def memory_bytes() -> int:
    """The memory of the computer, or as much of it as this process may take at most."""
    return min([_of_the_computer(), *_limits()])


def _of_the_computer() -> int:
    try:
        return os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE")
    except (AttributeError, ValueError, OSError):
        return _UNKNOWN


def _limits() -> list[int]:
    found = []
    for name in _OF_THE_GROUP:
        try:
            said = Path("/sys/fs/cgroup", name).read_text(encoding="ascii").strip()
        except (OSError, ValueError):
            continue
        if said.isdigit():
            found.append(int(said))
    try:
        import resource
    except ImportError:
        return found
    own = resource.getrlimit(resource.RLIMIT_AS)[0]
    return found if own == resource.RLIM_INFINITY else [*found, own]
