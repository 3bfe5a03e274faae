"""Answers remembered by what they were worked out from, shared by pages, sessions and commands."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from threading import Lock
from typing import Any, TypeVar

from tracker.workshop.remembered.fingerprint import fingerprint

_REMEMBERED = 48
_answers: OrderedDict[bytes, Any] = OrderedDict()
_lock = Lock()

Answer = TypeVar("Answer")


def remembered(work_out: Callable[[], Answer], *source: object) -> Answer:
    """The answer worked out from ``source`` before, else now; equal sources give the same one.

    ``source``: numbers, texts, days, arrays, frames, and tuples and dataclasses of them. The
    answer is shared: read it, do not change it.
    """
    key = fingerprint(source)
    with _lock:
        if key in _answers:
            _answers.move_to_end(key)
            found: Answer = _answers[key]
            return found
    answer = work_out()
    with _lock:
        _answers[key] = answer
        while len(_answers) > _REMEMBERED:
            _answers.popitem(last=False)
    return answer
