"""Answers remembered by what they were worked out from, shared by pages, sessions and commands."""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from threading import Lock
from typing import Any, TypeVar

import numpy as np
import pandas as pd

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


def fingerprint(value: object) -> bytes:
    """A few bytes that are equal only where everything in the value is equal."""
    digest = hashlib.blake2b(digest_size=20)
    _add(digest, value)
    return digest.digest()


def _add(digest: Any, value: object) -> None:
    if isinstance(value, np.ndarray):
        digest.update(f"{value.dtype}{value.shape}".encode())
        digest.update(np.ascontiguousarray(value).tobytes())
    elif isinstance(value, pd.DataFrame):
        digest.update(" ".join(map(str, value.columns)).encode())
        digest.update(pd.util.hash_pandas_object(value).to_numpy().tobytes())
    elif is_dataclass(value) and not isinstance(value, type):
        for one in fields(value):
            _add(digest, getattr(value, one.name))
    elif isinstance(value, tuple):
        digest.update(f"({len(value)}".encode())
        for each in value:
            _add(digest, each)
    else:
        digest.update(repr(value).encode())
