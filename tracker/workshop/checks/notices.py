"""Doubtful but possible things, told beside the report instead of refused."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from itertools import groupby
from operator import itemgetter

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.errors import legible
from tracker.language import _
from tracker.workshop import vocabulary as words
from tracker.workshop.age_guesses import first_entry
from tracker.workshop.checks.standing_notices import rows_of, standing_notices
from tracker.workshop.checks.unusual import unusual_figures
from tracker.workshop.checks.unusual_prices import price_notices
from tracker.workshop.clocks.changes import twice_and_missing, zone_of
from tracker.workshop.columns.day_numbers import NO_DAY, day_numbers, rising
from tracker.workshop.contract import TABLES
from tracker.workshop.empty_positions import empty_positions, last_day_in_use
from tracker.workshop.parts.known_of_failed import OF_ORIGIN, known_of_failed
from tracker.workshop.records import Records
from tracker.workshop.refusal import written

_LONGEST = 1_000  # characters of a notice: it may name many things
_AT_ONCE = pd.Timedelta(days=1)
_SLACK = pd.Timedelta(days=7)  # a part fitted this shortly before the first entry is no gap


def notices(records: Records) -> list[str]:
    """What in these records is possible but worth a second look?

    One sentence per kind of thing, with how many and the first few rows; an empty list when
    nothing is odd. Nothing told here keeps records from being loaded.
    """
    return [
        legible(sentence, _LONGEST)
        for sentences in (
            _own_words(records),
            _removals(records),
            _failed_when_new(records),
            _log_beginning(records),
            _positions(records),
            _given_up(records),
            _outside_printer_life(records),
            *standing_notices(records),
            _clock_changes(records),
            _unusual(records),
            price_notices(records),
        )
        for sentence in sentences
    ]


def _clock_changes(records: Records) -> list[str]:
    """Times of stoppages in the hour that comes twice, or is missing, where clocks change."""
    frame, zone = records.stoppages, zone_of(records)
    sentences = []
    for time, which in (("began_at", "began_pass"), ("ended_at", "ended_pass")):
        twice, missing = twice_and_missing(frame[time].to_numpy(), zone)
        unsaid = twice & (frame[which] == "").to_numpy()
        if unsaid.any():
            sentences.append(
                _(
                    "{where}: {time} came twice that night, for the clocks were put back, and the "
                    "first that can be is taken; write first or second into {which}.",
                    where=rows_of(frame.index[unsaid], "stoppages"),
                    time=time,
                    which=which,
                )
            )
        if missing.any():
            sentences.append(
                _(
                    "{where}: {time} never was, for the clocks were put forward that night; it is "
                    "taken as by a clock that nobody had put forward yet.",
                    where=rows_of(frame.index[missing], "stoppages"),
                    time=time,
                )
            )
    return sentences


def _own_words(records: Records) -> list[str]:
    sentences = []
    listed = set(records.parts["part_kind"])
    guess = words.UNKNOWN_PART_KIND
    for kind in records.part_kinds():
        if kind not in words.PART_KINDS and kind not in listed:
            sentences.append(
                _(
                    '"{kind}" is a part kind of your own; until it is listed in parts, '
                    "guesses are used: a life of {typical_life_days} days, a price of "
                    "{unit_cost}, delivery in {lead_days} days.",
                    kind=kind,
                    typical_life_days=f"{guess.typical_life_days:.0f}",
                    unit_cost=f"{records.part_facts(kind).unit_cost:.0f}",
                    lead_days=f"{guess.lead_days:.0f}",
                )
            )
    planned = set(records.routines["task"])
    for task in sorted(
        set(records.codes("maintenance", "task").occurring()) - set(words.TASKS) - planned - {""}
    ):
        sentences.append(
            _(
                '"{task}" is a task of your own; list it in “routines” if it is to become due '
                "again.",
                task=task,
            )
        )
    return sentences


def _removals(records: Records) -> list[str]:
    fittings = records.fittings
    sentences = []
    no_reason = fittings["removed_on"].notna() & fittings["removal_reason"].isin(words.UNTOLD)
    if no_reason.any():
        sentences.append(
            _(
                "{where}: came out without a removal_reason; counted as not failed, so where some "
                "of these failed lives are told too long and failures too few. Write down why, or "
                "answer it in the monthly review.",
                where=rows_of(fittings.index[no_reason], "fittings"),
            )
        )
    failed = fittings["removal_reason"].eq("failed")
    for column in OF_ORIGIN:
        for kind in sorted(known_of_failed(fittings, failed, column)):
            sentences.append(
                _(
                    "{part}: “{column}” is written down for parts that failed above all, so these "
                    "are not compared; write it down when a part goes in.",
                    part=words.part_label(kind),
                    column=column,
                )
            )
    not_failed = fittings["failure_mode"].ne("") & fittings["removal_reason"].isin(
        ["planned", "with_other", "retired"]
    )
    if not_failed.any():
        sentences.append(
            _(
                "{where}: has a failure_mode but did not come out as failed; if it failed, "
                "write failed as the removal_reason.",
                where=rows_of(fittings.index[not_failed], "fittings"),
            )
        )
    return sentences


def _failed_when_new(records: Records) -> list[str]:
    """Parts that failed at once: were they new on the printer's first day, was later one change
    written down twice?
    """
    fittings = records.fittings
    started = records.printers.drop_duplicates("printer", keep="last").set_index("printer")
    came_with_it = fittings["fitted_on"] == fittings["printer"].map(started["started_on"])
    at_once = fittings["removed_on"] - fittings["fitted_on"] <= _AT_ONCE
    doubtful = fittings["removal_reason"].eq("failed") & at_once
    first, later = (fittings.index[doubtful & which] for which in (came_with_it, ~came_with_it))
    sentences = []
    if len(first):
        sentences.append(
            _(
                "{where}: failed within a day of the printer's first day. If it was in there "
                "before, leave fitted_on empty; as it stands the forecasts learn that parts fail "
                "when new, and propose many spares.",
                where=rows_of(first, "fittings"),
            )
        )
    if len(later):
        sentences.append(
            _(
                "{where}: failed within a day of going in. If one change was written down twice, "
                "take one of the two out; as it stands the forecasts learn that parts fail when "
                "new, and propose many spares.",
                where=rows_of(later, "fittings"),
            )
        )
    return sentences


def _log_beginning(records: Records) -> list[str]:
    """Parts fitted long before the first entry were watched only from then on."""
    if records.setting("log_began_on").strip():
        return []
    first = first_entry(records)
    if first is None:
        return []
    fittings = records.fittings
    earlier = fittings["fitted_on"] < first - _SLACK
    if not earlier.any():
        return []
    return [
        _(
            "{where}: fitted before the first entry of the log ({first}) while log_began_on "
            "is not set. Parts that failed before the log began are missing from it, so "
            "lives would look too long: write log_began_on, e.g. {first}, in settings.",
            where=rows_of(fittings.index[earlier], "fittings"),
            first=f"{first:%Y-%m-%d}",
        )
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
    in_channel = records.fittings["part_kind"].isin(per_channel).to_numpy()
    for table, column, rows in (
        ("fittings", "position", np.flatnonzero(in_channel)),
        ("nozzle_checks", "channel", np.arange(records.count("nozzle_checks"))),
    ):
        for printer, channel, at in _pairs(records, table, column, rows):
            if printer in channels and channel not in channels[printer]:
                sentences.append(
                    _(
                        '{where}: {column} "{channel}" is not among the channels of '
                        "{printer} ({channels}).",
                        where=rows_of(records.coded_table(table).index[at()], table),
                        column=column,
                        channel=channel,
                        printer=printer,
                        channels=" ".join(sorted(channels[printer])),
                    )
                )
    all_fittings = np.arange(records.count("fittings"))
    places = _pairs(records, "fittings", "position", all_fittings)
    for printer, of_printer in groupby(places, key=itemgetter(0)):
        by_fold: dict[str, set[str]] = {}
        for _printer, name, _at in of_printer:
            by_fold.setdefault(name.casefold().replace(" ", ""), set()).add(name)
        for alike in by_fold.values():
            if len(alike) > 1:
                sentences.append(
                    _(
                        "fittings: {printer} has positions {alike}; they count as different "
                        "places, write them alike if they are one.",
                        printer=printer,
                        alike=_(" and ").join(sorted(alike)),
                    )
                )
    return sentences


def _pairs(
    records: Records, table: str, column: str, rows: NDArray[np.int64]
) -> Iterator[tuple[str, str, Callable[[], NDArray[np.int64]]]]:
    """Every printer with each word of a column in these rows, in order, and how to find which."""
    printer, cell = (records.codes(table, name).take(rows) for name in ("printer", column))
    width = max(len(cell.words), 1)
    pair = printer.codes.astype(np.int64) * width + cell.codes
    found = rising(pair, len(printer.words) * width)
    # Words are sorted once each, for of a fleet there are very many pairs.
    first, second = (np.argsort(np.argsort(each.words)) for each in (printer, cell))
    order = np.lexsort((second[found % width], first[found // width])) if len(found) else found
    for at in found[order]:
        name, word = str(printer.words[at // width]), str(cell.words[at % width])
        yield name, word, partial(lambda at: rows[pair == at], at)


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
        _(
            "{where}: came out long ago and nothing was fitted since; no part is planned for "
            "the place any more. Write down the part that went in, or retired as the "
            "removal_reason if the place stays empty.",
            where=rows_of(empty.index, "fittings"),
        )
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
        column = "removed_on" if table.name == "fittings" else str(table.happened_on)
        day = records.day_numbers(table.name, column)
        printer = records.codes(table.name, "printer")
        lives = once[["started_on", "retired_on"]].reindex(printer.words)
        started, retired = (day_numbers(lives[name])[printer.codes] for name in lives)
        for bad, problem in (
            ((day < started) & (day != NO_DAY), _("before the printer's started_on")),
            ((day > retired) & (retired != NO_DAY), _("after the printer's retired_on")),
        ):
            if bad.any():
                sentences.append(
                    _(
                        "{where}: {column} is {problem}; check which of the two is right.",
                        where=rows_of(records.coded_table(table.name).index[bad], table.name),
                        column=column,
                        problem=problem,
                    )
                )
    return sentences


def _unusual(records: Records) -> list[str]:
    """Figures far beyond the usual: a bar code, a lost decimal mark."""
    return [
        _(
            "{where}: {column} {value} is more than {usual}, which is unusual; correct it if it "
            "is a slip.",
            where=rows_of(odd.rows, odd.table.name),
            column=odd.column.name,
            value=written(float(odd.values[0])),
            usual=odd.usual,
        )
        for odd in unusual_figures(records)
    ]
