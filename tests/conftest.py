"""Settings that hold for every test, made before numpy is imported anywhere."""

from __future__ import annotations

import os
from typing import Any

import pytest
from hypothesis import settings

# A workshop begins with the time zone of its computer: the same one wherever tests run.
os.environ["TZ"] = "UTC"

# Two workers with two threads of the numerical library each took twice as long as with one.
for library in ("OMP", "OPENBLAS", "MKL"):
    os.environ.setdefault(f"{library}_NUM_THREADS", "1")

# What is tried is the same each time, and a busy machine is slow, not wrong.
settings.register_profile("tests", deadline=None, derandomize=True)
settings.load_profile("tests")

# After the settings: whatever they import comes with numpy.
from tests.chromium import browser_page, chromium, shared_chromium  # noqa: E402
from tests.copied import copies  # noqa: E402
from tests.databases import database_url, fresh_url  # noqa: E402
from tests.postgres import postgres_server  # noqa: E402

__all__ = [
    "browser_page",
    "chromium",
    "copies",
    "database_url",
    "fresh_url",
    "postgres_server",
    "shared_chromium",
]


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers() -> int | None:
    """One worker more than processors: a test in a browser, or of two programs, often waits."""
    if "PYTEST_XDIST_AUTO_NUM_WORKERS" in os.environ:
        return None  # xdist reads it
    return (os.cpu_count() or 1) + 1


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """Each worker begins with a stretch of its own, and takes over from others when it is done.

    What a file works out once for its tests is then mostly worked out once, one worker has most of
    the browser's, and none is idle while another has more than two tests before it.
    """
    if config.getoption("dist") != "load":
        return None  # asked for otherwise
    from xdist.scheduler import WorkStealingScheduling

    return WorkStealingScheduling(config, log)
