"""Parts go in and come out of the positions of a printer."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import pandas as pd

from tracker.errors import RecordError
from tracker.language import _
from tracker.store.acts.once import refuse_gone, refuse_new, told_already
from tracker.store.acts.positions import PartPosition, empty_position, fitted_part
from tracker.store.acts.shelf import take_off_shelf
from tracker.store.batch import Batch
from tracker.store.database import Store
from tracker.workshop import vocabulary as words
from tracker.workshop.moved_parts import last_with
from tracker.workshop.parts.spare_origin import spare_origin
from tracker.workshop.variants import PartType, pooled_variants


@dataclass(frozen=True)
class NewPart:
    """What is known of a part that goes in.

    With ``from_stock`` it is taken off the shelf, as far as the shelf has it: a part that was not
    on it was bought for the purpose. ``unit_cost`` is in currency units.
    """

    serial: str = ""
    supplier: str = ""
    batch: str = ""
    unit_cost: float | None = None
    note: str = ""
    from_stock: bool = True


@dataclass(frozen=True)
class Removal:
    """How a part came out: on which day, why, and where it failed how.

    ``mode`` is the failure mode, ``last_ok_on`` the last day it was seen good, ``counter_m2`` the
    printed-area counter that day. ``along`` names the (part kind, position) of the same printer
    replaced together with it. ``fitting`` is the record of the part that comes out, as the person
    saw it (None: whatever is in that place): so the same failure told by two people counts once.
    """

    day: date
    reason: str
    mode: str = ""
    last_ok_on: date | None = None
    counter_m2: float | None = None
    note: str = ""
    along: tuple[tuple[str, str], ...] = ()
    fitting: int | None = None


@dataclass(frozen=True)
class PartOfAPrinter:
    """A part that is in a printer when it joins: its day, or a guess of its age, or neither."""

    part_kind: str
    position: str
    fitted_on: date | None = None
    age_guess_days: float | None = None


def change_part(
    store: Store,
    position: PartPosition,
    removal: Removal,
    *,
    new: NewPart = NewPart(),
    again: bool = False,
) -> int | None:
    """Writes down that a part came out and a new one went in; returns the change for undo.

    LoggedAlready where that part came out already, or the one in its place went in that very day
    or up to three days before: unless it was changed ``again``.

    Those that go along come out as ``with_other``; of the new ones beside it supplier, batch and
    price are those of the delivery they come from, as far as it is known. Raises RecordError when
    nothing is fitted there or the days cannot be.
    """
    with store.change() as change:
        change.what = put_part_change(change, position, removal, new, again=again)
    return change.number


def put_part_change(
    change: Batch,
    position: PartPosition,
    removal: Removal,
    new: NewPart | None,
    *,
    fitted_on: date | None = None,
    again: bool = False,
) -> str:
    """The same as a piece of a larger change; returns what it is called in the log.

    Without a ``new`` part the place stays empty; ``fitted_on`` is its day when it went in later
    than the old one came out.
    """
    if removal.reason not in words.REMOVAL_REASONS:
        raise RecordError(
            _(
                "{reason} is no reason for a part to come out; choose one of {removal_reasons}.",
                reason=repr(removal.reason),
                removal_reasons=", ".join(words.REMOVAL_REASONS),
            )
        )
    along = [
        PartPosition(position.printer, kind, other) for kind, other in dict.fromkeys(removal.along)
    ]
    if position in along:
        raise RecordError(
            _("{label} cannot go along with itself; leave it out.", label=position.label)
        )
    old = _seen_part(change, position, removal, again)
    beside = {other: fitted_part(change.records, other) for other in along}
    noted = [text for text in (change.values("fittings", old)["note"], removal.note) if text]
    _take_out(change, old, removal, removal.reason)
    of_the_old = {"failure_mode": removal.mode, "last_ok_on": removal.last_ok_on}
    change.correct("fittings", old, {**of_the_old, "note": "; ".join(noted)})
    for row_id in beside.values():
        _take_out(change, row_id, removal, "with_other")
    also = _(" and {count} along", count=len(along)) if along else ""
    variant = _type_of(change, position.part_kind, old).variant
    reason = _(removal.reason)
    typed = f"{position.label} ({variant})" if variant else position.label
    named = _("{part} of {printer}", part=typed, printer=position.printer)
    if new is None:
        return _("Took out {named} ({reason}){also}", named=named, reason=reason, also=also)
    day = fitted_on or removal.day
    _fit(change, position, day, removal.counter_m2, new, in_place_of=old)
    taken: Counter[PartType] = Counter({_type_of(change, position.part_kind, old): 1})
    for other, row_id in beside.items():
        spare = NewPart()
        if new.from_stock:
            part = _type_of(change, other.part_kind, row_id)
            origin = spare_origin(change.records, *part, day, taken_before=taken[part])
            spare = NewPart(
                supplier=origin.supplier, batch=origin.batch, unit_cost=origin.unit_cost
            )  # fmt: skip
            taken[part] += 1
        _fit(change, other, day, removal.counter_m2, spare, in_place_of=row_id)
    if new.from_stock:
        take_off_shelf(change, (position, *along), day)
    return _("Changed {named} ({reason}){also}", named=named, reason=reason, also=also)


def _seen_part(change: Batch, position: PartPosition, removal: Removal, again: bool) -> int:
    """The part that comes out; LoggedAlready where the one that the person saw did so before."""
    seen = removal.fitting
    row = None if seen is None else change.find("fittings", seen)
    if seen is not None and row is not None and row["removed_on"] is not None and not again:
        refuse_gone(change, seen)
    old = fitted_part(change.records, position)
    if not again:
        refuse_new(change, old, removal.day)
    return old


def fit_first_part(
    store: Store,
    position: PartPosition,
    day: date | None,
    *,
    new: NewPart = NewPart(),
    counter_m2: float | None = None,
    age_guess_days: float | None = None,
) -> int | None:
    """Writes down a part in a position that holds none; ``day`` None: in before the log began.

    ``age_guess_days`` is then its rough age when the log began, where somebody can guess it.
    """
    with store.change() as change:
        change.what = put_first_part(change, position, day, new, counter_m2, age_guess_days)
    return change.number


def put_first_part(
    change: Batch,
    position: PartPosition,
    day: date | None,
    new: NewPart,
    counter_m2: float | None = None,
    age_guess_days: float | None = None,
) -> str:
    """The same as a piece of a larger change; returns what it is called in the log."""
    _refuse_filled(change, position, day)
    empty_position(change.records, position)
    row_id = _fit(change, position, day, counter_m2, new)
    change.correct("fittings", row_id, {"age_guess_days": age_guess_days})
    if new.from_stock and day is not None:
        take_off_shelf(change, [position], day)
    return _("Fitted {label} of {printer}", label=position.label, printer=position.printer)


def _refuse_filled(change: Batch, position: PartPosition, day: date | None) -> None:
    """LoggedAlready where a part went into that place on that day already."""
    rows = change.records.fittings
    rows = rows[rows["removed_on"].isna() & (rows["fitted_on"] == pd.Timestamp(day))]
    for column, value in vars(position).items():
        rows = rows[rows[column] == value]
    if day is not None and len(rows):
        told = _(
            "{label} of {printer} was put in on {day} already.",
            label=position.label,
            printer=position.printer,
            day=day,
        )
        raise told_already(change, "fittings", int(rows.index[-1]), told)


def usual_parts(channels: str, *, heads: int = 1) -> list[tuple[str, str]]:
    """What is in most printers, as (kind, position); common practice, no source."""
    of_heads = [("head", f"H{number}") for number in range(1, heads + 1)]
    dampers = [("damper", channel) for channel in dict.fromkeys(channels.split())]
    return [*of_heads, *dampers, ("wiper", "wiper"), ("cap", "cap"), ("pump", "pump")]


def fit_parts_of_a_printer(change: Batch, printer: str, parts: Sequence[PartOfAPrinter]) -> None:
    """Writes down the parts with which a printer joins."""
    for part in parts:
        change.add(
            "fittings",
            {
                "printer": printer,
                "part_kind": part.part_kind,
                "position": part.position,
                "fitted_on": part.fitted_on,
                "age_guess_days": part.age_guess_days,
            },
        )


def _take_out(change: Batch, row_id: int, removal: Removal, reason: str) -> None:
    out = {"removed_on": removal.day, "removed_counter_m2": removal.counter_m2}
    change.correct("fittings", row_id, {**out, "removal_reason": reason})


def _fit(
    change: Batch,
    position: PartPosition,
    day: date | None,
    counter_m2: float | None,
    new: NewPart,
    *,
    in_place_of: int | None = None,
) -> int:
    """The record of a part that goes in; in the place of another one it is of the same type.

    Raises RecordError for the serial number of a part that is still in somewhere.
    """
    same = last_with(change.candidate(), position.part_kind, new.serial)
    if same is not None and pd.isna(same["removed_on"]):
        there = PartPosition(same["printer"], same["part_kind"], same["position"])
        raise RecordError(
            _(
                "{serial} is still in as {part} of {printer}; write down first that it came out "
                "there, or correct the number.",
                serial=new.serial,
                part=there.label,
                printer=there.printer,
            )
        )
    part = {name: value for name, value in vars(new).items() if name != "from_stock"}
    when = {"fitted_on": day, "fitted_counter_m2": counter_m2}
    variant = "" if in_place_of is None else change.values("fittings", in_place_of)["variant"]
    return change.add("fittings", {**vars(position), **when, **part, "variant": variant})


def _type_of(change: Batch, part_kind: str, row_id: int) -> PartType:
    """The type of a part that was in before the change."""
    return PartType(part_kind, str(pooled_variants(change.records)[row_id]))
