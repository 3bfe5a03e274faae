"""Small workshops written by hand, for tests of decisions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pandas as pd

from tracker.workshop.experiments import Experiment
from tracker.workshop.records import Records

BEGAN = "2025-01-01"


def rows(names: str, *values: Sequence[Any]) -> pd.DataFrame:
    """A frame from space-separated column names and one sequence per row; ``_on`` columns and
    ``best_before`` become days."""
    frame = pd.DataFrame(list(values), columns=names.split())
    for name in frame.columns:
        if name.endswith("_on") or name == "best_before":
            frame[name] = pd.to_datetime(frame[name])
    return frame


def workshop(printers: int = 2, channels: str = "C M Y K W1 W2", **tables: pd.DataFrame) -> Records:
    """Printers A, B, … with a head, a wiper and one damper per channel, all fitted on BEGAN."""
    names = [chr(ord("A") + number) for number in range(printers)]
    fitted = [
        (name, kind, position, BEGAN)
        for name in names
        for kind, position in (
            ("head", "H1"),
            ("wiper", "wiper"),
            *(("damper", channel) for channel in channels.split()),
        )
    ]
    frames = {
        "printers": rows(
            "printer started_on channels", *((name, BEGAN, channels) for name in names)
        ),
        "fittings": rows("printer part_kind position fitted_on", *fitted),
    }
    return Records.of(frames | tables)


def kept_as(*plans: Experiment) -> pd.DataFrame:
    """The rows that keep these experiments."""
    return rows(
        "experiment task part_kind printer every_days starts_on ends_on look_on",
        *(
            (plan.name, plan.task, plan.part_kind, *vars(phase).values(), plan.look_on)
            for plan in plans
            for phase in plan.phases
        ),
    )


def setting(**values: object) -> pd.DataFrame:
    """Settings by name."""
    return rows("name value", *((name, str(value)) for name, value in values.items()))
