"""A whole load: every table of the files beside the records that are there."""

from __future__ import annotations

from tracker.errors import UsageError
from tracker.language import _
from tracker.store import packing
from tracker.store.batch import Batch
from tracker.store.loading.earlier_versions import earlier_versions
from tracker.store.loading.first_days import (
    NONE_EARLIER,
    FirstDays,
    LogStart,
    move_log_start,
    move_printers,
)
from tracker.store.loading.match import OnConflict, plan_table
from tracker.store.loading.placeholders import Placeholders
from tracker.store.loading.report import LoadReport
from tracker.store.log_start import begin_log_after_load
from tracker.workshop.columns.coded import CodedTable
from tracker.workshop.contract import TABLES
from tracker.workshop.records import Records

__all__ = ["OnConflict", "plan_load"]


def plan_load(
    batch: Batch,
    records: Records,
    source: str,
    on_conflict: OnConflict,
    *,
    agreed: FirstDays = NONE_EARLIER,
) -> LoadReport:
    """Puts into the batch what a file's rows change; returns what that will be.

    Printers without any history begin the log on the day of the batch, where it has one.
    ``agreed`` are earlier first days (of ``earlier_first_days``) that a person agreed to.
    """
    if on_conflict not in ("refuse", "file_wins"):
        raise UsageError(
            _(
                "on_conflict is {on_conflict}; choose refuse or file_wins.",
                on_conflict=repr(on_conflict),
            )
        )
    batch.is_load = True
    kept = packing.keepable(records)
    notes = move_printers(batch, agreed)
    settings = kept["settings"].frame
    said = LogStart.of(batch, settings)
    if said is not None:
        kept["settings"] = CodedTable(settings.drop(index=said.label))
    there = batch.candidate()
    parts = Placeholders(batch.records, None if said is None else said.said)
    counts: dict[str, dict[str, int]] = {
        name: {} for name in ("added", "completed", "unchanged", "corrected")
    }
    for table in TABLES:
        name = table.name
        rows = kept[name]
        if rows.frame.empty:
            continue
        plan = plan_table(
            table,
            there.coded_table(name),
            rows,
            on_conflict=on_conflict,
            versions=lambda name=name: earlier_versions(batch.connection, name),  # type: ignore[misc]
            by_place=parts if name == "fittings" else None,
        )
        batch.conflicts += plan.conflicts
        if len(plan.new):
            is_all = len(plan.new) == len(rows)
            new = rows if is_all else rows.cut(plan.new)
            batch.add_rows(name, new)
        changed = [(at, *completed) for at, completed in plan.completes.items()]
        for at, row_id, values in (*changed, *plan.along):
            batch.put(name, row_id, batch.row(name, row_id) | values)
            batch.file_rows[name, row_id] = rows.frame.index[at]
        for what, count in (
            ("added", len(plan.new)),
            ("completed", len(plan.completes)),
            ("unchanged", plan.unchanged),
            ("corrected", plan.corrected),
        ):
            counts[what][name] = count
    notes += parts.notes
    days = [agreed.log, None if said is None else said.said]
    earliest = min((day for day in days if day is not None), default=None)
    moved, told = move_log_start(batch, records, earliest)
    if said is not None:
        for word, by_table in counts.items():
            own = word == ("completed" if moved else "unchanged")
            by_table["settings"] = by_table.get("settings", 0) + own
    if batch.now is not None:
        begin_log_after_load(batch, batch.now.date())
    return LoadReport(source, None, **counts, notes=(*notes, *told))
