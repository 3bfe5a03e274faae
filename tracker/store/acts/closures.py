"""Closed days: holidays and shutdowns, and gaps of the log that were none."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from tracker.language import _
from tracker.store.acts.figures import put_setting
from tracker.store.acts.positions import known_printer
from tracker.store.database import Store
from tracker.workshop.settings.spans_worked import OPEN_AGAIN, WORKED_THROUGH, with_span


@dataclass(frozen=True)
class Closure:
    """Days from ``began_on`` to ``ended_on``, both closed; for a site, a printer, everyone, or a
    supplier, while everyone here works.
    """

    began_on: date
    ended_on: date
    site: str = ""
    printer: str = ""
    supplier: str = ""
    note: str = ""


def write_closure(store: Store, first: Closure, *more: Closure) -> int | None:
    """Writes down closed days, of one or of several on the same days, as one change; RecordError
    where the end lies before the beginning.
    """
    told = Closure(first.began_on, first.ended_on) if more else first
    with store.change(_("Closed from {closure}", closure=_days(told))) as change:
        for closure in (first, *more):
            if closure.printer:
                known_printer(change.records, closure.printer)
            change.add("closures", vars(closure))
    return change.number


def change_closure(
    store: Store, row_id: int, closure: Closure, *, as_read: Mapping[str, object] | None = None
) -> int | None:
    """Other days, or another place, for closed days already written down.

    ``as_read`` is the record as the person read it (see ``Batch.correct``).
    """
    with store.change(_("Closed from {closure}", closure=_days(closure))) as change:
        change.correct("closures", row_id, vars(closure), as_read=as_read)
    return change.number


def worked_through(store: Store, began_on: date, ended_on: date) -> int | None:
    """Remembers that people worked on days on which nothing was written down."""
    told = _("Worked from {began_on} to {ended_on}", began_on=began_on, ended_on=ended_on)
    return _note_span(store, WORKED_THROUGH, told, (began_on, ended_on))


def open_again(store: Store, began_on: date, ended_on: date) -> int | None:
    """Remembers that what was closed a year before is not closed on these days."""
    told = _("Open from {began_on} to {ended_on}", began_on=began_on, ended_on=ended_on)
    return _note_span(store, OPEN_AGAIN, told, (began_on, ended_on))


def _note_span(store: Store, name: str, told: str, days: tuple[date, date]) -> int | None:
    with store.change(told) as change:
        put_setting(change, name, with_span(change.records.setting(name), *days))
    return change.number


def _days(closure: Closure) -> str:
    where = closure.printer or closure.site or closure.supplier
    days = _("{began_on} to {ended_on}", began_on=closure.began_on, ended_on=closure.ended_on)
    return f"{days} ({where})" if where else days
