"""Part lives cut into stretches of constant exposure, for the regressions on maintenance.

One row per part and step of the calendar: rows ``id, cluster, start, stop, failed`` and exposures
as they were known on the evening before each day. Only what was planned counts as maintenance:
cleaning because something is wrong piles up before a failure and would look deadly. And only the
trailing window counts: over a whole life a part that lives longer collects more of everything.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Bools, Ints
from tracker.errors import UsageError
from tracker.language import N_, _
from tracker.lives.exposure.days import ExposureDays, besides_maintenance
from tracker.lives.exposure.logged_window import end_of_log, first_whole_window, log_began
from tracker.lives.exposure.table import Calendar
from tracker.lives.exposure.task import TaskExposure, TaskTable
from tracker.lives.life_table import life_table
from tracker.lives.log_gaps import NO_GAPS, LogGaps
from tracker.lives.open_days import Closures
from tracker.lives.part_spans import LookUp, PartSpans, SpanRows, span_rows
from tracker.workshop.records import Records

_KNOWN_SHARE = 0.8  # an adjustment known for less of the time is left out

EXPOSURES: dict[str, str] = {
    "x_<task>": "log2 of (planned actions of the task on the printer per 30 days + ½), counted "
    "for each day over the window_days open days that end lag_days + 1 days before it (with no "
    "lag: up to the day before; closed days are not days without care), whole weeks of them in "
    "full and the rest as that share of the week before, so that each day of the week counts as "
    "often (30 days are 28 and 2/7 of the 7 before them); a row of several days has "
    "their mean, one that ends in a failure has the exposure of that day; an action noted for one "
    "position counts for the part in that position only",
    "idle_share": N_(
        "share of the open days between two counter readings without printed area, in the "
        "window before the step begins, as for the three below"
    ),
    "closed_share": N_("share of the days in the window on which the printer was closed"),
    "area_per_day": N_("printed area per open day of the window, m²"),
    "white_share": N_("mean share of white in the printed ink noted in the window, 0 to 1"),
    "humidity": N_("mean relative humidity noted in the window, in tens of % RH"),
    "white": N_("1 where the part carries white ink, for kinds that carry both"),
}


def part_episodes(
    records: Records,
    as_of: date,
    part_kind: str,
    tasks: Sequence[str],
    window_days: int = 30,
    lag_days: int = 0,
    step_days: int = 7,
    planned_only: bool = True,
    effects: Mapping[str, float] | None = None,
    *,
    gaps: LogGaps = NO_GAPS,
) -> pd.DataFrame:
    """What was each part exposed to before each step of its life, and did it fail in it?

    Columns ``id`` (the fitting's index), ``cluster`` (printer), ``start``, ``stop`` (ages in days,
    a row covers start < age ≤ stop), ``failed``, ``x_<task>`` for each task, and where known
    ``idle_share, closed_share, area_per_day, white_share, humidity, white``; EXPOSURES says in
    words what each one is. With ``planned_only=False`` symptom-driven actions count too: only to
    show what that would do.

    A failure found at a check lies between the last good check and that day: the row ends in the
    middle, rounded up to a day, and carries the mean exposure of the days in between, all equally
    likely. Where a first fit gave ``effects`` (of ``x_<task>`` columns on the log hazard), a day is
    as likely as they make it, and a row of several days has the exposure of their mean hazard: a
    second fit on such rows loses the last pull, some 3 % of the effect (one step of Dempster, Laird
    & Rubin 1977). Watching
    begins when a whole window before it is in the log, so a part fitted earlier enters late
    (delayed entry), and ends on the last day anything was written down: a log that stopped is not
    a time without maintenance and without failures. Other outcomes than ``failed`` end a life
    without a failure. ``attrs`` of the frame: ``fittings``, ``failures``, ``failures_left_out``
    (before the first whole window, or without a fitting day). ``gaps``: silent days of the
    maintenance log, over which the counting of a task passes.

    Raises UsageError for windows, steps or effects that make no sense.
    """
    _refuse_odd(window_days, lag_days, step_days, tasks, effects or {})
    known = besides_maintenance(records, as_of)
    as_of = end_of_log(known, records, as_of)
    lives = life_table(known, as_of)
    lives = lives[lives["part_kind"] == part_kind]
    watched = lives[lives["counted"]]
    days = ExposureDays.of(records, as_of, window_days, gaps=gaps, step_days=step_days)
    whole = first_whole_window(
        known, days.printers, log_began(records), window_days, lag_days, Closures.of(known)
    )
    spans = PartSpans.of(watched, days.printers).watched_from(whole)
    frame = _no_rows(tasks)
    if len(spans.id):
        cut = _Cut(days, spans, spans.calendar(step_days), lag_days)
        place = watched["position"].reindex(spans.id).to_numpy(dtype=object)
        of_task = {
            f"x_{task}": cut.task(
                days.task(records, task, part_kind, planned_only=planned_only),
                place,
                (effects or {}).get(f"x_{task}", 0.0),
            )
            for task in tasks
        }
        ink = watched["ink"].reindex(spans.id)
        frame = cut.frame(of_task, effects or {}, days.conditions(records), ink)
    failures, used = int((lives["outcome"] == "failed").sum()), int(frame["failed"].sum())
    frame.attrs.update(fittings=len(lives), failures=used, failures_left_out=failures - used)
    return frame


def _refuse_odd(
    window_days: int,
    lag_days: int,
    step_days: int,
    tasks: Sequence[str],
    effects: Mapping[str, float],
) -> None:
    for name, value, least in (
        ("window_days", window_days, 1),
        ("lag_days", lag_days, 0),
        ("step_days", step_days, 1),
    ):
        if value < least or value != int(value):
            raise UsageError(
                _(
                    "{name}: {value} cannot be used; give whole days, {least} or more.",
                    name=name,
                    value=value,
                    least=least,
                )
            )
    strange = set(effects) - {f"x_{task}" for task in tasks}
    if strange:
        raise UsageError(
            _(
                "effects: {strange} is not the exposure of a task asked for; give some of {tasks}.",
                strange=", ".join(sorted(strange)),
                tasks=", ".join(f"x_{task}" for task in tasks),
            )
        )


@dataclass(frozen=True, eq=False)
class _Cut:
    """Lives (``spans``) cut at the steps of a ``calendar``."""

    days: ExposureDays
    spans: PartSpans
    calendar: Calendar
    lag_days: int

    def task(self, table: TaskTable, place: NDArray[Any], effect: float) -> TaskExposure:
        """How often a task was done on each part; ``place``: the position of each."""
        by_day = self.days.cut(table.by_day, self.calendar, self.lag_days)
        line = table.lines(self.spans.unit, place)
        return TaskExposure.of(by_day, line, self.calendar.step_days, effect)

    def frame(
        self,
        of_task: Mapping[str, TaskExposure],
        effects: Mapping[str, float],
        conditions: Mapping[str, NDArray[Any]],
        ink: pd.Series,
    ) -> pd.DataFrame:
        """The rows with all columns; ``conditions`` (printers, days), ``ink`` of each part."""
        rows = span_rows(self.spans, self.calendar)
        columns: dict[str, NDArray[np.generic]] = {
            "id": self.spans.id[rows.part],
            "start": rows.start,
            "stop": rows.stop,
            "failed": rows.failed,
        }
        rows = rows.weighed([(of_task[x].on_day, effect) for x, effect in effects.items()])
        columns |= {x: rows.exposure(task.on_step, task.on_day) for x, task in of_task.items()}
        tables = {
            name: self.days.cut(by_day, self.calendar, self.lag_days)
            for name, by_day in conditions.items()
        }
        columns |= _conditions(tables, self.calendar.step_days, rows)
        if ink.nunique() > 1:
            columns["white"] = (ink == "white").to_numpy(dtype=np.float32)[rows.part]
        frame = pd.DataFrame(columns, copy=False)
        cluster = pd.Categorical.from_codes(rows.unit, categories=self.days.printers)
        frame.insert(1, "cluster", pd.Series(cluster.remove_unused_categories(), copy=False))
        return frame


def _conditions(
    tables: Mapping[str, NDArray[Any]], step_days: int, rows: SpanRows
) -> dict[str, NDArray[np.generic]]:
    """The conditions as columns, where mostly known; ``tables`` (printers, days)."""
    columns: dict[str, NDArray[np.generic]] = {}
    for name, by_day in tables.items():
        values = rows.exposure(*_of_printer(by_day, step_days))
        is_known = np.isfinite(values)
        if len(values) and is_known.mean() >= _KNOWN_SHARE:
            columns[name] = _filled(values, is_known, rows.unit).astype(np.float32)
    return columns


def _filled(values: NDArray[np.floating], is_known: Bools, unit: Ints) -> NDArray[np.floating]:
    """The printer's own mean stands in for what is not known, else everyone's."""
    if is_known.all():
        return values
    many = np.bincount(unit[is_known], minlength=int(unit.max()) + 1)
    total = np.bincount(unit[is_known], values[is_known], minlength=len(many))
    own = np.where(many > 0, total / np.maximum(many, 1), np.nanmean(values))
    return np.where(is_known, values, own[unit])


def _of_printer(by_day: NDArray[Any], step_days: int) -> tuple[LookUp, LookUp]:
    """Look an exposure up that all parts of a printer share, by step and by day: as it was before
    the step began.
    """
    return (
        lambda _part, unit, step: by_day[unit, step_days * step],
        lambda _part, unit, day: by_day[unit, day - day % step_days],
    )


def _no_rows(tasks: Sequence[str]) -> pd.DataFrame:
    names = ["start", "stop", *(f"x_{task}" for task in tasks)]
    empty = pd.DataFrame({name: np.array([], dtype=np.float64) for name in names})
    empty.insert(0, "id", np.array([], dtype=np.int64))
    empty.insert(1, "cluster", pd.Series(pd.Categorical([])))
    empty.insert(4, "failed", np.array([], dtype=bool))
    return empty
