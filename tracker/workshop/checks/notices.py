"""Doubtful but possible things, told beside the report instead of refused."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import pandas as pd

from tracker.workshop import vocabulary as words
from tracker.workshop.age_guesses import first_entry
from tracker.workshop.contract import TABLES
from tracker.workshop.empty_positions import empty_positions, last_day_in_use
from tracker.workshop.experiments import experiments, routine_of_phase
from tracker.workshop.records import Records
from tracker.workshop.variants import variants_in_use

_SLACK = pd.Timedelta(days=7)  # a part fitted this shortly before the first entry is no gap


def notices(records: Records) -> list[str]:
    """What in these records is possible but worth a second look?

    One sentence per kind of thing, with how many and the first few rows; an empty list when
    nothing is odd. Nothing told here keeps records from being loaded.
    """
    return [
        sentence
        for sentences in (
            _own_words(records),
            _removals(records),
            _log_beginning(records),
            _positions(records),
            _given_up(records),
            _outside_printer_life(records),
            _variants(records),
            _shelf(records),
            _routines(records),
            _experiments(records),
            _settings(records),
        )
        for sentence in sentences
    ]


def _rows(labels: Iterable[object], table: str, first: int = 5) -> str:
    """Where to look: ``fittings rows 3, 7, 9 and 12 more``."""
    names = [*dict.fromkeys(map(str, labels))]  # one row may have made several records
    noun = "row" if len(names) == 1 else "rows"
    more = f" and {len(names) - first} more" if len(names) > first else ""
    return f"{table} {noun} {', '.join(names[:first])}{more}"


def _own_words(records: Records) -> list[str]:
    sentences = []
    listed = set(records.parts["part_kind"])
    guess = words.UNKNOWN_PART_KIND
    for kind in records.part_kinds():
        if kind not in words.PART_KINDS and kind not in listed:
            sentences.append(
                f'"{kind}" is a part kind of your own; until it is listed in parts, guesses are '
                f"used: a life of {guess.typical_life_days:.0f} days, a price of "
                f"{guess.unit_cost:.0f}, delivery in {guess.lead_days:.0f} days."
            )
    planned = set(records.routines["task"])
    for task in sorted(set(records.maintenance["task"]) - set(words.TASKS) - planned - {""}):
        sentences.append(
            f'"{task}" is a task of your own; list it in routines if it is to become due again.'
        )
    return sentences


def _removals(records: Records) -> list[str]:
    fittings = records.fittings
    sentences = []
    no_reason = fittings["removed_on"].notna() & fittings["removal_reason"].eq("")
    if no_reason.any():
        sentences.append(
            f"{_rows(fittings.index[no_reason], 'fittings')}: came out without a removal_reason; "
            "counted as not known, so the models learn less from it."
        )
    not_failed = fittings["failure_mode"].ne("") & fittings["removal_reason"].isin(
        ["planned", "with_other", "retired"]
    )
    if not_failed.any():
        sentences.append(
            f"{_rows(fittings.index[not_failed], 'fittings')}: has a failure_mode but did not come "
            "out as failed; if it failed, write failed as the removal_reason."
        )
    return sentences


def _log_beginning(records: Records) -> list[str]:
    """Parts fitted long before the first entry were watched only from then on."""
    stated = records.setting("log_began_on").strip()
    if stated:
        began = pd.to_datetime(stated, errors="coerce")  # what is no day is refused, not told
        return [] if pd.isna(began) else _before_the_log(records, began)
    first = first_entry(records)
    if first is None:
        return []
    fittings = records.fittings
    earlier = fittings["fitted_on"] < first - _SLACK
    if not earlier.any():
        return []
    return [
        f"{_rows(fittings.index[earlier], 'fittings')}: fitted before the first entry of the log "
        f"({first:%Y-%m-%d}) while log_began_on is not set. Parts that failed before the log "
        f"began are missing from it, so lives would look too long: write log_began_on, e.g. "
        f"{first:%Y-%m-%d}, in settings."
    ]


def _before_the_log(records: Records, began: pd.Timestamp) -> list[str]:
    """Failures before the log's first day: kept, but no life is learnt from them."""
    fittings = records.fittings
    failed = fittings["removal_reason"].isin(["failed", "accident"])
    earlier = failed & (fittings["removed_on"] < began)
    if not earlier.any():
        return []
    first = fittings.loc[earlier, "removed_on"].min()
    return [
        f"{_rows(fittings.index[earlier], 'fittings')}: failed before the log's first day "
        f"({began:%Y-%m-%d}), so the models leave it out; if every failure since "
        f"{first:%Y-%m-%d} is written down, put that day into log_began_on in settings."
    ]


def _positions(records: Records) -> list[str]:
    sentences = []
    channels = {
        name: set(text.split())
        for name, text in zip(
            records.printers["printer"], records.printers["channels"], strict=True
        )
        if text.strip()
    }
    per_channel = {kind.name for kind in words.PART_KINDS.values() if kind.per_channel}
    fittings = records.fittings[records.fittings["part_kind"].isin(per_channel)]
    for table, frame, column in (
        ("fittings", fittings, "position"),
        ("nozzle_checks", records.nozzle_checks, "channel"),
    ):
        pairs = frame.groupby(["printer", column], sort=True).indices
        for pair, at in pairs.items():
            printer, channel = map(str, pair)  # type: ignore[call-overload]
            if printer in channels and channel not in channels[printer]:
                sentences.append(
                    f'{_rows(frame.index[at], table)}: {column} "{channel}" is not among the '
                    f"channels of {printer} ({' '.join(sorted(channels[printer]))})."
                )
    for printer, names in records.fittings.groupby("printer")["position"].unique().items():
        by_fold: dict[str, set[str]] = {}
        for name in names:
            by_fold.setdefault(name.casefold().replace(" ", ""), set()).add(name)
        for alike in by_fold.values():
            if len(alike) > 1:
                sentences.append(
                    f"fittings: {printer} has positions {' and '.join(sorted(alike))}; they count "
                    "as different places, write them alike if they are one."
                )
    return sentences


def _given_up(records: Records) -> list[str]:
    """Positions that stood empty for so long that their part was most likely not written down."""
    day = last_day_in_use(records)
    if day is None:
        return []
    empty = empty_positions(records, day)
    empty = empty[empty["given_up"]]
    if empty.empty:
        return []
    return [
        f"{_rows(empty.index, 'fittings')}: came out long ago and nothing was fitted since; no "
        "part is planned for the place any more. Write down the part that went in, or retired as "
        "the removal_reason if the place stays empty."
    ]


def _outside_printer_life(records: Records) -> list[str]:
    """Entries before a printer's first day or after its last; the fittings are refused instead."""
    sentences: list[str] = []
    once = records.printers.drop_duplicates("printer").set_index("printer")
    if once.empty:
        return sentences
    for table in TABLES:
        if table.name in ("printers", "routines", "experiments") or "printer" not in table.names:
            continue
        frame = records.table(table.name)
        column = "removed_on" if table.name == "fittings" else str(table.happened_on)
        day = frame[column].dt.normalize()
        for bad, problem in (
            (day < frame["printer"].map(once["started_on"]), "before the printer's started_on"),
            (day > frame["printer"].map(once["retired_on"]), "after the printer's retired_on"),
        ):
            if bad.any():
                sentences.append(
                    f"{_rows(frame.index[bad], table.name)}: {column} is {problem}; check "
                    "which of the two is right."
                )
    return sentences


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
            has = f"those in use are {', '.join(used)}" if used else "none in use names its type"
            sentences.append(
                f'{_rows(rows.index, name)}: no printer has a {label} of the type "{variant}" '
                f"({has}); it counts as a spare for none of them."
            )
    return sentences


def _shelf(records: Records) -> list[str]:
    sentences = []
    stock = records.stock.sort_values("moved_on", kind="stable")
    on_hand = stock.groupby("part_kind")["quantity"].cumsum()
    # Movements of one day have no order among them: judge the shelf at the day's end.
    day_end = ~stock.duplicated(["part_kind", "moved_on"], keep="last")
    short = (on_hand < 0) & day_end
    for kind, rows in stock[short].groupby("part_kind"):
        sentences.append(
            f"{_rows(rows.index, 'stock')}: more {words.part_label(str(kind)).lower()} pieces left "
            "the shelf than had been put on it; add what was there before as counted."
        )
    stale = records.stock["best_before"] < records.stock["moved_on"]
    stale &= records.stock["quantity"] > 0
    if stale.any():
        sentences.append(
            f"{_rows(records.stock.index[stale], 'stock')}: put on the shelf after its best_before."
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
            where = f"on {printer}" if printer else "on all printers"
            sentences.append(
                f"{_rows(rows.index[1:][overlap], 'routines')}: {task} {where} has two intervals "
                "at once; write an ends_on for the older one."
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
                f"experiments, {one.name}: the due list does not follow it on "
                f"{', '.join(dict.fromkeys(without))}; write the same interval and days into "
                "routines."
            )
    return sentences


def _settings(records: Records) -> list[str]:
    return [
        f'settings row {label}: "{name}" is not a setting this program uses; it is kept but '
        f"changes nothing. Known are {', '.join(words.SETTINGS)}."
        for label, name in records.settings["name"].items()
        if name and name not in words.SETTINGS
    ]
