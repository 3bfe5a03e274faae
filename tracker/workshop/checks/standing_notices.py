"""Doubtful things in what stands beside the log: shelf and orders, routines, settings."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import pandas as pd

from tracker.language import _, ngettext
from tracker.workshop import vocabulary as words
from tracker.workshop.experiments import experiments, routine_of_phase
from tracker.workshop.names import NAMINGS, alike
from tracker.workshop.records import Records
from tracker.workshop.refusal import meant_or
from tracker.workshop.settings.known import SETTINGS
from tracker.workshop.shelf import stock_moves
from tracker.workshop.variants import variants_in_use
from tracker.workshop.working_days import of_suppliers, suppliers_named

_NAMES_SHOWN = 5


def standing_notices(records: Records) -> tuple[list[str], ...]:
    """What is worth a second look in each of them, one sentence per kind of thing."""
    return (
        _variants(records),
        _shelf(records),
        _shut_suppliers(records),
        _names(records),
        _routines(records),
        _experiments(records),
        _settings(records),
    )


def _names(records: Records) -> list[str]:
    """Names that look like one in several writings, all of a sort in one sentence."""
    by_sort: dict[str, list[str]] = {}
    for found in alike(records):
        writings = _(" and ").join(f'"{name}"' for name in found.counts)
        by_sort.setdefault(NAMINGS[found.naming].columns[0][1], []).append(writings)
    return [
        ngettext(
            "{column}: {names} look like one name, and count as different ones. If they are one, "
            "write them alike; the app does it under Records, Settings, Names.",
            "{column}: {names} and {count} more look like one name each, and count as different "
            "ones. If they are one, write them alike; the app does it under Records, Settings, "
            "Names.",
            1 + max(0, len(groups) - _NAMES_SHOWN),
            column=column,
            names="; ".join(groups[:_NAMES_SHOWN]),
            count=len(groups) - _NAMES_SHOWN,
        )
        for column, groups in by_sort.items()
    ]


def rows_of(labels: Iterable[object], table: str, first: int = 5) -> str:
    """Where to look: ``fittings rows 3, 7, 9 and 12 more``."""
    names = [*dict.fromkeys(map(str, labels))]  # one row may have made several records
    shown = ", ".join(names[:first])
    if len(names) > first:
        more = len(names) - first
        return _("{table} rows {rows} and {count} more", table=table, rows=shown, count=more)
    return ngettext(
        "{table} row {rows}", "{table} rows {rows}", len(names), table=table, rows=shown
    )


def _variants(records: Records) -> list[str]:
    """Spares and orders of a type that no printer has help nobody."""
    sentences = []
    for name in ("stock", "orders", "parts"):
        frame = records.table(name)
        for (kind, variant), rows in frame[frame["variant"].ne("")].groupby(
            ["part_kind", "variant"], sort=True
        ):
            used = variants_in_use(records, str(kind))
            if variant in used:
                continue
            label = words.part_label(str(kind)).lower()
            has = (
                _("those in use are {used}", used=", ".join(used))
                if used
                else _("none in use names its type")
            )
            sentences.append(
                _(
                    '{where}: no printer has any {label} of the type "{variant}" ({has}); it '
                    "counts as a spare for none of them.",
                    where=rows_of(rows.index, name),
                    label=label,
                    variant=variant,
                    has=has,
                )
            )
    return sentences


def _shelf(records: Records) -> list[str]:
    sentences = []
    stock = stock_moves(records).sort_values("moved_on", kind="stable")
    on_hand = stock.groupby("part_kind")["quantity"].cumsum()
    # Movements of one day have no order among them: judge the shelf at the day's end.
    day_end = ~stock.duplicated(["part_kind", "moved_on"], keep="last")
    short = (on_hand < 0) & day_end
    for kind, rows in stock[short].groupby("part_kind"):
        sentences.append(
            _(
                "{where}: more {part} pieces left the shelf than had been put on it; add "
                "what was there before as counted.",
                where=rows_of(rows.index, "stock"),
                part=words.part_label(str(kind)).lower(),
            )
        )
    stale = records.stock["best_before"] < records.stock["moved_on"]
    stale &= records.stock["quantity"] > 0
    if stale.any():
        sentences.append(
            _(
                "{where}: put on the shelf after its best_before.",
                where=rows_of(records.stock.index[stale], "stock"),
            )
        )
    return sentences


def _shut_suppliers(records: Records) -> list[str]:
    """Closed days of somebody from whom nothing was bought change no order."""
    shut, sold = of_suppliers(records.closures), suppliers_named(records.orders, records.fittings)
    sentences = []
    for name, rows in shut.groupby(shut["supplier"].str.strip(), sort=True):
        if name in sold or not sold:
            continue
        otherwise = _("its closed days change nothing until something is.")
        sentences.append(
            _(
                "{where}: nothing was bought from “{name}”; {mend}",
                where=rows_of(rows.index, "closures"),
                name=name,
                mend=meant_or(str(name), sold, otherwise),
            )
        )
    return sentences


def _routines(records: Records) -> list[str]:
    # A phase of an experiment goes before the printer's routine and gives way to it again.
    frame = records.routines.drop(_of_experiments(records))
    sentences = []
    for (task, printer), rows in frame.groupby(["task", "printer"], sort=True):
        if len(rows) < 2:
            continue
        start = rows["starts_on"].fillna(pd.Timestamp.min)
        rows = rows.assign(start=start, end=rows["ends_on"].fillna(pd.Timestamp.max))
        rows = rows.sort_values("start", kind="stable")
        overlap = rows["start"].to_numpy()[1:] < np.maximum.accumulate(rows["end"].to_numpy())[:-1]
        if overlap.any():
            where = _("on {printer}", printer=printer) if printer else _("on all printers")
            sentences.append(
                _(
                    "{rows}: {task} {where} has two intervals at once; write an ends_on for "
                    "the older one.",
                    rows=rows_of(rows.index[1:][overlap], "routines"),
                    task=task,
                    where=where,
                )
            )
    return sentences


def _of_experiments(records: Records) -> list[object]:
    return [
        label
        for experiment in experiments(records)
        for phase in experiment.phases
        for label in routine_of_phase(records.routines, experiment.task, phase)
    ]


def _experiments(records: Records) -> list[str]:
    """Phases that the due list does not follow, for no routine says the same."""
    sentences = []
    for one in experiments(records):
        without = [
            phase.printer
            for phase in one.phases
            if routine_of_phase(records.routines, one.task, phase).empty
        ]
        if without:
            sentences.append(
                _(
                    "experiments, {name}: the due list does not follow it on {without}; "
                    "write the same interval and days into routines.",
                    name=one.name,
                    without=", ".join(dict.fromkeys(without)),
                )
            )
    return sentences


def _settings(records: Records) -> list[str]:
    return [
        _(
            'settings row {label}: "{name}" is not a setting this program uses; it is kept '
            "but changes nothing. Known are {settings}.",
            label=label,
            name=name,
            settings=", ".join(SETTINGS),
        )
        for label, name in records.settings["name"].items()
        if name and name not in SETTINGS
    ]
