"""Printers to be reckoned with: each for itself in a workshop, those cared for alike in a fleet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from tracker.decisions.routine.whole_routine.practice import Practice

_MOST_CASES = 30


@dataclass(frozen=True)
class Case:
    """One printer, or several that stand as one; ``columns``: their places in the practice."""

    printers: tuple[str, ...]
    columns: tuple[int, ...]


def cases(practice: Practice) -> tuple[Case, ...]:
    """Every printer, or with more than thirty of them those cared for about alike together: what
    is done within half a doubling as often; the rarest sorts of care are one."""
    names = practice.printers
    if len(names) <= _MOST_CASES:
        return tuple(Case((name,), (column,)) for column, name in enumerate(names))
    care = np.array(
        [
            practice.exposure(task, rates)
            for task, rates in zip(practice.tasks, practice.per_day, strict=True)
        ]
    ).reshape(len(practice.tasks), len(names))
    alike: dict[tuple[float, ...], list[int]] = defaultdict(list)
    for column in range(len(names)):
        alike[tuple(np.round(2 * care[:, column]))].append(column)
    sorts = sorted(alike.values(), key=len, reverse=True)
    rest = [column for columns in sorts[_MOST_CASES - 1 :] for column in columns]
    return tuple(
        Case(tuple(names[column] for column in columns), tuple(columns))
        for columns in [*sorts[: _MOST_CASES - 1], *([rest] if rest else [])]
    )


def practice_of(practice: Practice, found: Sequence[Case]) -> Practice:
    """The practice with the cases as its printers, each the mean of its own."""

    def mean(table: np.ndarray) -> np.ndarray:
        return np.stack([table[:, list(case.columns)].mean(axis=1) for case in found], axis=1)

    return replace(
        practice,
        printers=tuple(case.printers[0] for case in found),
        per_day=mean(practice.per_day),
        rule_days=mean(practice.rule_days),
        besides=mean(practice.besides),
    )
