"""Settings that hold for every test, made before numpy is imported anywhere."""

from __future__ import annotations

import os

# A workshop begins with the time zone of its computer: the same one wherever tests run.
os.environ["TZ"] = "UTC"

# Two workers with two threads of the numerical library each took twice as long as with one.
for library in ("OMP", "OPENBLAS", "MKL"):
    os.environ.setdefault(f"{library}_NUM_THREADS", "1")

# After the settings: whatever they import comes with numpy.
from tests.databases import database_url, fresh_url  # noqa: E402
from tests.postgres import postgres_server  # noqa: E402

__all__ = ["database_url", "fresh_url", "postgres_server"]
