"""A few bytes that are equal only where everything in a value is equal."""

from __future__ import annotations

import hashlib
from dataclasses import fields, is_dataclass
from datetime import date, timedelta
from enum import Enum
from pathlib import PurePath
from typing import Any

import numpy as np
import pandas as pd

_PLAIN = (str, bytes, int, float, complex, bool, date, timedelta, np.generic, Enum, PurePath)


def fingerprint(value: object) -> bytes:
    """``value``: numbers, texts, days, arrays, frames, and tuples, lists, sets, dictionaries and
    dataclasses of them. TypeError for anything else, which may differ where nobody looks.

    >>> [fingerprint((1, "a")) == fingerprint(other) for other in ((1, "a"), ("1a",))]
    [True, False]
    """
    digest = hashlib.blake2b(digest_size=20)
    _add(digest, value)
    return digest.digest()


def _add(digest: Any, value: object) -> None:
    if isinstance(value, np.ndarray):
        digest.update(f"{value.dtype}{value.shape}".encode())
        if value.dtype == object:
            _add(digest, value.tolist())
        else:
            digest.update(np.ascontiguousarray(value).tobytes())
    elif isinstance(value, pd.DataFrame | pd.Series | pd.Index):
        names = value.columns if isinstance(value, pd.DataFrame) else [value.name]
        digest.update(f"{type(value).__name__}{list(names)}{len(value)}".encode())
        digest.update(pd.util.hash_pandas_object(value).to_numpy().tobytes())
    elif is_dataclass(value) and not isinstance(value, type):
        digest.update(type(value).__qualname__.encode())
        for one in fields(value):
            _add(digest, getattr(value, one.name))
    elif isinstance(value, tuple | list):
        digest.update(f"{type(value).__name__}({len(value)}".encode())
        for each in value:
            _add(digest, each)
    elif isinstance(value, set | frozenset):
        digest.update(f"set({len(value)}".encode())
        for each in sorted(map(fingerprint, value)):
            digest.update(each)
    elif isinstance(value, dict):
        digest.update(f"dict({len(value)}".encode())
        for key, each in value.items():
            _add(digest, key)
            _add(digest, each)
    elif value is None or isinstance(value, _PLAIN):
        digest.update(f"{type(value).__name__}:{value!r};".encode())
    else:
        raise TypeError(f"no fingerprint of a {type(value).__name__}")
