"""A share of few cases with its exact limits."""

from __future__ import annotations

from scipy.special import betaincinv


def limits(hits: int, of: int) -> tuple[float, float]:
    """Exact 95 % limits of a share (Clopper and Pearson, 1934).

    >>> [round(limit, 4) for limit in limits(2, 60)]
    [0.0041, 0.1153]
    """
    low = float(betaincinv(hits, of - hits + 1, 0.025)) if hits else 0.0
    return low, float(betaincinv(hits + 1, of - hits, 0.975)) if hits < of else 1.0


def share(hits: int, of: int) -> str:
    """A share with its exact limits, as a table cell."""
    low, high = limits(hits, of)
    return f"{hits} of {of}: {hits / of:.1%} ({low:.1%}–{high:.1%})"
