"""Parts go in and come out; printers join, are renamed and retire."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Literal

from tracker.errors import RecordError
from tracker.store.acts import places
from tracker.store.batch import Batch
from tracker.store.database import Store
from tracker.workshop import vocabulary as words
from tracker.workshop.contract import TABLES

Place = tuple[str, str]  # part kind, position
UsualParts = Literal["none", "new", "unknown"]


def change_part(
    store: Store,
    printer: str,
    part_kind: str,
    position: str,
    day: date,
    reason: str,
    *,
    mode: str = "",
    last_ok_on: date | None = None,
    serial: str = "",
    supplier: str = "",
    batch: str = "",
    unit_cost: float | None = None,
    counter_m2: float | None = None,
    along: Iterable[Place] = (),
    from_stock: bool = True,
    note: str = "",
    who: str = "",
    now: datetime | None = None,
) -> int | None:
    """Writes down that a part came out and a new one went in; returns the change for undo.

    ``reason``, ``mode`` (how it failed), ``last_ok_on`` and ``note`` describe the part that came
    out; ``serial``, ``supplier``, ``batch`` and ``unit_cost`` the new one. ``along`` names the
    (part kind, position) replaced together with it: those come out as ``with_other``. With
    ``from_stock`` the new parts are taken off the shelf, as far as the shelf has them. Raises
    RecordError when nothing is fitted there or the days cannot be.
    """
    label = words.part_label(part_kind)
    if reason not in words.REMOVAL_REASONS:
        raise RecordError(
            f"{reason!r} is no reason for a part to come out; choose one of "
            f"{', '.join(words.REMOVAL_REASONS)}."
        )
    with store.change(f"Changed {label} {position} of {printer} ({reason})", who, now=now) as all_:
        out = {"removed_on": day, "removed_counter_m2": counter_m2, "removal_reason": reason}
        old = places.fitted_part(all_.records, printer, part_kind, position)
        noted = [text for text in (all_.values("fittings", old)["note"], note) if text]
        told = {"failure_mode": mode, "last_ok_on": last_ok_on, "note": "; ".join(noted)}
        all_.correct("fittings", old, {**out, **told})
        new = {"serial": serial, "supplier": supplier, "batch": batch, "unit_cost": unit_cost}
        _fit(all_, printer, (part_kind, position), day, counter_m2, new)
        others = list(dict.fromkeys(along))
        for kind, other in others:
            if (kind, other) == (part_kind, position):
                raise RecordError(f"{label} {position} cannot go along with itself; leave it out.")
            gone = places.fitted_part(all_.records, printer, kind, other)
            all_.correct("fittings", gone, {**out, "removal_reason": "with_other"})
            _fit(all_, printer, (kind, other), day, counter_m2, {})
        if others:
            all_.what += f" and {len(others)} along"
        if from_stock:
            _take_off_shelf(all_, [part_kind, *(kind for kind, _ in others)], day)
    return all_.number


def fit_first_part(
    store: Store,
    printer: str,
    part_kind: str,
    position: str,
    day: date | None,
    *,
    serial: str = "",
    supplier: str = "",
    batch: str = "",
    unit_cost: float | None = None,
    counter_m2: float | None = None,
    from_stock: bool = False,
    note: str = "",
    who: str = "",
    now: datetime | None = None,
) -> int | None:
    """Writes down a part in a position that holds none; ``day`` None: in before the log began."""
    what = f"Fitted {words.part_label(part_kind)} {position} of {printer}"
    with store.change(what, who, now=now) as all_:
        places.empty_position(all_.records, printer, part_kind, position)
        new = {"serial": serial, "supplier": supplier, "batch": batch, "unit_cost": unit_cost}
        _fit(all_, printer, (part_kind, position), day, counter_m2, {**new, "note": note})
        if from_stock and day is not None:
            _take_off_shelf(all_, [part_kind], day)
    return all_.number


def _fit(
    all_: Batch,
    printer: str,
    place: Place,
    day: date | None,
    counter_m2: float | None,
    values: Mapping[str, object],
) -> None:
    where = {"printer": printer, "part_kind": place[0], "position": place[1]}
    all_.add("fittings", {**where, "fitted_on": day, "fitted_counter_m2": counter_m2, **values})


def _take_off_shelf(all_: Batch, kinds: list[str], day: date) -> None:
    """Only what the shelf has: a part that was not on it was bought for the purpose."""
    for kind in dict.fromkeys(kinds):
        taken = min(kinds.count(kind), places.on_hand(all_.records, kind, day))
        if taken > 0:
            values = {"part_kind": kind, "moved_on": day, "quantity": -taken, "reason": "used"}
            all_.add("stock", values)


def add_printer(
    store: Store,
    printer: str,
    started_on: date,
    *,
    site: str = "",
    model: str = "",
    head_type: str = "",
    channels: str = "",
    usual_parts: UsualParts = "none",
    who: str = "",
    now: datetime | None = None,
) -> int | None:
    """Writes down a printer, with ``usual_parts`` also what is in it.

    ``"new"`` fits a head H1, a damper per channel, a wiper, a cap and a pump on the first day;
    ``"unknown"`` the same as parts that were in before the log began; ``"none"`` nothing.
    """
    printer = printer.strip()
    if not printer:
        raise RecordError("The printer has no name; write the name you call it by.")
    if usual_parts not in ("none", "new", "unknown"):
        raise RecordError(f"usual_parts is {usual_parts!r}; choose none, new or unknown.")
    with store.change(f"Added printer {printer}", who, now=now) as all_:
        if (all_.records.printers["printer"] == printer).any():
            raise RecordError(f"There is a printer {printer} already; give this one another name.")
        all_.add(
            "printers",
            {"printer": printer, "started_on": started_on, "site": site, "model": model,
             "head_type": head_type, "channels": " ".join(channels.split())},
        )  # fmt: skip
        if usual_parts != "none":
            day = started_on if usual_parts == "new" else None
            for place in _usual_places(channels):
                _fit(all_, printer, place, day, None, {})
    return all_.number


def _usual_places(channels: str) -> list[Place]:
    """One head, a damper per channel, wiper, cap and pump (common practice, no source)."""
    dampers = [("damper", channel) for channel in dict.fromkeys(channels.split())]
    return [("head", "H1"), *dampers, ("wiper", "wiper"), ("cap", "cap"), ("pump", "pump")]


def retire_printer(
    store: Store, printer: str, day: date, *, who: str = "", now: datetime | None = None
) -> int | None:
    """Writes down that a printer left the workshop; the parts in it left with it (``retired``)."""
    with store.change(f"Retired printer {printer}", who, now=now) as all_:
        row_id = places.known_printer(all_.records, printer)
        before = all_.values("printers", row_id)["retired_on"]
        if before is not None:
            raise RecordError(f"{printer} left the workshop on {before:%Y-%m-%d} already.")
        all_.correct("printers", row_id, {"retired_on": day})
        fittings = all_.records.fittings
        still_in = fittings[(fittings["printer"] == printer) & fittings["removed_on"].isna()]
        for fitting in still_in.index:
            all_.correct("fittings", fitting, {"removed_on": day, "removal_reason": "retired"})
    return all_.number


def rename_printer(
    store: Store, printer: str, new_name: str, *, who: str = "", now: datetime | None = None
) -> int | None:
    """Gives a printer another name in every record that names it."""
    new_name = new_name.strip()
    with store.change(f"Renamed printer {printer} to {new_name}", who, now=now) as all_:
        places.known_printer(all_.records, printer)
        if not new_name or (all_.records.printers["printer"] == new_name).any():
            raise RecordError(f"{new_name!r} is taken or empty; choose another name.")
        for table in TABLES:
            if "printer" in table.names:
                frame = all_.records.table(table.name)
                for row_id in frame.index[frame["printer"] == printer]:
                    all_.correct(table.name, row_id, {"printer": new_name})
    return all_.number
