"""Fewer of something, or more, in words."""

from __future__ import annotations

from tracker.say.numbers import figure


def fewer(half: float, low: float, high: float, what: str) -> str:
    """How many fewer per printer and year: median, 10 % and 90 % points.

    >>> fewer(1.31, 0.77, 1.88, "damper failures")
    '1.3 fewer damper failures per printer and year (80 % range 0.77 to 1.9)'
    >>> fewer(-0.2, -0.5, 0.1, "drop-outs")
    '0.2 more drop-outs per printer and year (80 % range 0.5 more to 0.1 fewer)'
    """
    if low < 0 < high:
        between = f"{figure(-low)} more to {figure(high)} fewer"
    else:
        between = " to ".join(figure(abs(end)) for end in sorted((low, high), key=abs))
    return (
        f"{figure(abs(half))} {'fewer' if half >= 0 else 'more'} {what} per printer and year "
        f"(80 % range {between})"
    )
