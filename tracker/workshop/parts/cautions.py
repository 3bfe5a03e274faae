"""What can hurt whoever changes a part, or the part itself: keys of ``vocabulary.CAUTIONS``."""

from __future__ import annotations

from collections.abc import Iterable

# Only where they are touched: the ribbon and the nozzle plate are the head's.
_BY_KIND: dict[str, tuple[str, ...]] = {
    "head": ("carriage", "ribbon", "nozzle_plate", "chemicals"),
    "encoder": ("carriage",),
    "roller": ("carriage",),
    "stirrer": ("mains", "chemicals"),
    "circulation_pump": ("mains", "chemicals"),
    "waste_tank": ("chemicals", "waste"),
    "waste_pad": ("carriage", "chemicals", "waste"),
}
_IN_THE_INK_PATH = ("carriage", "chemicals")


def of_parts(part_kinds: Iterable[str]) -> tuple[str, ...]:
    """The cautions of changing these kinds of part, each once.

    >>> of_parts(["damper", "encoder"])
    ('carriage', 'chemicals')
    """
    keys = [key for kind in part_kinds for key in _BY_KIND.get(kind, _IN_THE_INK_PATH)]
    return tuple(dict.fromkeys(keys))
