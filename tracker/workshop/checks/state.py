"""What rows cannot say together: unknown printers, doubles, two parts in one place at once."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

from tracker.language import N_, _
from tracker.workshop import vocabulary as words
from tracker.workshop.checks.cells import known_part_kinds
from tracker.workshop.checks.closures import check_closed_sites
from tracker.workshop.checks.counters import check_counters
from tracker.workshop.checks.experiments import check_experiments
from tracker.workshop.checks.stoppages import check_stoppages
from tracker.workshop.columns.day_numbers import whole_days
from tracker.workshop.contract import TABLES
from tracker.workshop.refusal import Findings, meant_or, written

_ONCE = (
    ("printers", ("printer",)),
    ("parts", ("part_kind", "variant")),
    ("review_notes", ("month",)),
    ("settings", ("name",)),
)


def check_state(found: Findings) -> None:
    """Refuses each row that cannot be true beside the others."""
    _check_printers(found)
    _check_doubles(found)
    if found.is_touched("fittings") or found.is_touched("printers"):
        _check_printer_life(found)
    if found.is_touched("fittings"):
        _check_overlap(found)
    check_closed_sites(found)
    check_experiments(found)
    if found.is_touched("stoppages"):
        check_stoppages(found)
    if found.is_touched("counters"):
        check_counters(found)
    if found.is_touched("parts"):
        _check_replaced_with(found)


def _check_printers(found: Findings) -> None:
    known = set(found.records.printers["printer"].unique()) - {""}
    renamed = found.only is not None and "printers" in found.only
    for table in TABLES:
        if table.name == "printers" or "printer" not in table.names:
            continue
        if not renamed and not found.is_touched(table.name):
            continue
        # A printer that went or has another name now may stand in any row.
        judged = found if renamed else found.alone
        values = judged.records.codes(table.name, "printer")
        for name in [name for name in values.occurring() if name and name not in known]:
            otherwise = _("add it to “printers”, or correct it")
            mend = meant_or(name, sorted(known), otherwise)
            judged.refuse(
                table.name,
                values.is_word(name),
                "printer",
                _("is not in the list of printers"),
                mend,
                whoever=renamed,
            )


def _check_doubles(found: Findings) -> None:
    for table, key in _ONCE:
        if not found.is_touched(table):
            continue
        frame = found.records.table(table)
        named = frame[key[0]].ne("")
        _refuse_doubles(found, table, frame[named], key, _("each stands once"))
    if found.is_touched("routines"):
        routines = found.records.routines
        _refuse_doubles(
            found,
            "routines",
            routines,
            ("task", "printer", "starts_on"),
            _("give the newer one its own starts_on and the older one an ends_on"),
        )


def _refuse_doubles(
    found: Findings, table: str, frame: pd.DataFrame, key: tuple[str, ...], mend: str
) -> None:
    """Refuses the second of two rows with the same key, or the one that was touched."""
    if not frame.duplicated(list(key)).any():
        return
    whole = found.records.table(table)
    judged = pd.Series(found.judged(table), index=whole.index)
    groups = frame.groupby(list(key), sort=False, dropna=False).indices
    for places in groups.values():
        if len(places) < 2:
            continue
        labels = frame.index[places]
        untouched = [label for label in labels if not judged[label]]
        keep = untouched[0] if untouched else labels[0]
        bad = np.asarray(whole.index.isin([label for label in labels if label != keep]))
        found.refuse(
            table,
            bad,
            key[0],
            _("stands here a second time (first in row {keep})", keep=keep),
            _("{mend}; take one of them out", mend=mend),
        )


def _check_printer_life(found: Findings) -> None:
    """A part cannot go into a printer before its first day or after its last."""
    fittings, printers = found.records.fittings, found.records.printers
    if fittings.empty or printers.empty:
        return
    once = printers.drop_duplicates("printer").set_index("printer")
    started = fittings["printer"].map(once["started_on"])
    retired = fittings["printer"].map(once["retired_on"])
    fitted = fittings["fitted_on"]
    for bad, named, column, day in (
        (fitted < started, _("is before the printer's started_on"), "started_on", started),
        (fitted > retired, _("is after the printer's retired_on"), "retired_on", retired),
    ):
        found.refuse(
            "fittings",
            bad,
            "fitted_on",
            lambda at, named=named, day=day: (  # type: ignore[misc]
                f"{named} {written(day.iloc[at])}"
            ),
            _(
                "when the printer stood there already, set its first day (started_on in "
                "printers) so early; leave fitted_on empty when the part came with it and "
                "its day is not known"
            )
            if column == "started_on"
            else _("correct one of them ({column} is in printers)", column=column),
        )
        if found.only is None or "printers" not in found.only:
            continue
        untouched = bad & ~found.judged("fittings")
        worst = "min" if column == "started_on" else "max"
        day_by_printer = fitted[untouched].groupby(fittings["printer"][untouched]).agg(worst)
        against = printers["printer"].map(day_by_printer)
        told = (
            N_("is after a part was fitted in it on {day}")
            if column == "started_on"
            else N_("is before a part was fitted in it on {day}")
        )
        found.refuse(
            "printers",
            against.notna(),
            column,
            lambda at, against=against, told=told: (  # type: ignore[misc]
                _(told, day=written(against.iloc[at]))
            ),
            _("correct it, or the fitting first"),
        )


def _check_overlap(found: Findings) -> None:
    """Two parts cannot be in one position at once; a handover on one day is fine."""
    if len(found.records.fittings) < 2:
        return
    judged = found.judged("fittings")
    for earlier, later in _overlapping(found):
        target, other = (later, earlier) if judged[later] else (earlier, later)
        _refuse_overlap(found, target, other, came_later=target == later)


def _overlapping(found: Findings) -> Iterator[tuple[int, int]]:
    """Which two parts (their rows) were in one position at once, the one that came first first.

    Of a part that was in before the log began only that is known, where the day is stated: others
    may have come out of its place before.
    """
    frame = found.records.fittings
    start = whole_days(frame["fitted_on"], missing=-(2**40))
    end = whole_days(frame["removed_on"], missing=2**40)
    began = pd.to_datetime(
        found.records.setting("log_began_on").strip(), format="%Y-%m-%d", errors="coerce"
    )
    if not pd.isna(began):
        first = int(np.datetime64(began, "D").astype(np.int64))
        start = np.where(frame["fitted_on"].isna().to_numpy() & (end > first), first, start)
    place = frame.groupby(["printer", "part_kind", "position"], sort=False).ngroup().to_numpy()
    order = np.lexsort((end, start, place))
    # The latest end so far within the place, and the row that has it: one running maximum over
    # (place, end, row) packed in order, for a later place always counts more.
    stretch = np.maximum(end[order], start[order])
    rank = np.empty(len(order), dtype=np.int64)
    rank[np.lexsort((np.arange(len(order)), stretch, place[order]))] = np.arange(len(order))
    holder_rank = np.maximum.accumulate(rank)
    by_rank = np.empty(len(order), dtype=np.int64)
    by_rank[rank] = np.arange(len(order))
    holder = by_rank[holder_rank[:-1]]
    same_place = place[order][1:] == place[order][holder]
    overlap = same_place & (start[order][1:] < stretch[holder])
    for spot in np.flatnonzero(overlap):
        yield int(order[holder[spot]]), int(order[spot + 1])


def _refuse_overlap(found: Findings, target: int, other: int, *, came_later: bool) -> None:
    """Refuse the row ``target``, whose part was in while the ``other`` row's was."""
    frame = found.records.fittings
    fitted, removed = frame["fitted_on"], frame["removed_on"]
    where = _(
        "{position} of {printer}",
        position=frame["position"].iloc[other],
        printer=frame["printer"].iloc[other],
    )
    held = _(
        "the part fitted {since} (row {row_name})",
        since=written(fitted.iloc[other]) or _("before the log began"),
        row_name=found.row_name("fittings", other),
    )
    if until := written(removed.iloc[other]):
        problem = _(
            "falls while {where} holds {held} until {until}", where=where, held=held, until=until
        )
        mend = _("one position holds one part at a time: correct the days or the position")
    elif came_later:
        problem = _("falls while {where} still holds {held}", where=where, held=held)
        mend = _("write that part's removed_on, or correct the position")
        if pd.isna(fitted.iloc[other]):
            mend = _(
                "write when that one came out (its removed_on) or went in (its "
                "fitted_on), or correct the position"
            )
    else:
        problem = _("runs into the time of {held} in {where}", held=held, where=where)
        mend = _("write this part's removed_on, or correct the position")
    column = "fitted_on" if came_later else "removed_on"
    if pd.isna(frame[column].iloc[target]):
        problem = (
            _("is empty (in before the log began) and so {problem}", problem=problem)
            if came_later
            else _("is empty and so {problem}", problem=problem)
        )
    found.refuse_row("fittings", target, column, problem, mend)


def _check_replaced_with(found: Findings) -> None:
    """The kind that takes this one along must be a kind, another one, and not in a circle."""
    parts = found.records.parts
    known = known_part_kinds(found) | set(found.records.part_kinds())
    takes = {name: kind.replaced_with for name, kind in words.PART_KINDS.items()}
    takes.update(zip(parts["part_kind"], parts["replaced_with"], strict=True))

    def circle(at: int) -> list[str]:
        path = [str(parts["part_kind"].iloc[at])]
        while takes.get(path[-1]) and len(path) < 50:
            path.append(takes[path[-1]])
            if path[-1] == path[0]:
                return path
        return []

    for at in range(len(parts)):
        kind, other = parts["part_kind"].iloc[at], parts["replaced_with"].iloc[at]
        if not other:
            continue
        if other not in known:
            mend = meant_or(other, sorted(known), _("write a part kind of the list"))
            found.refuse_row(
                "parts",
                at,
                "replaced_with",
                _("is not a known word for “{column}”", column="part_kind"),
                mend,
            )
        elif other == kind:
            found.refuse_row(
                "parts", at, "replaced_with", _("is the part itself"), _("leave it empty")
            )
        elif circle(at):
            path = " → ".join(circle(at))
            found.refuse_row(
                "parts",
                at,
                "replaced_with",
                _("goes round in a circle ({path})", path=path),
                _("leave it empty for one of them"),
            )
