"""Something broke, as one event: part, time it stood, spoiled goods, work; and it runs again."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date, datetime

from tracker.errors import RecordError
from tracker.language import _
from tracker.store.acts.daily import Stoppage, TaskDetails, put_end, put_stoppage, put_tasks
from tracker.store.acts.once import once
from tracker.store.acts.parts import NewPart, Removal, put_first_part, put_part_change
from tracker.store.acts.positions import PartPosition
from tracker.store.batch import Batch
from tracker.store.database import Store


@dataclass(frozen=True)
class PartChange:
    """A part that came out and the one that went in; ``new`` None: nothing is in yet.

    ``fitted_on`` is the day the new one went in, where that was later.
    """

    position: PartPosition
    removal: Removal
    new: NewPart | None = field(default_factory=NewPart)
    fitted_on: date | None = None


@dataclass(frozen=True)
class Breakdown:
    """What broke on a printer on a day; what did not happen is left out.

    ``tasks`` is the work that the symptom called for (``work`` says more of each; it is never
    planned). A part that came out with its ``change`` is the stoppage's cause unless another is
    named there.
    """

    printer: str
    day: date
    change: PartChange | None = None
    stoppage: Stoppage | None = None
    tasks: tuple[str, ...] = ()
    work: TaskDetails = field(default_factory=lambda: TaskDetails(why="symptom"))


def something_broke(store: Store, event: Breakdown, *, again: bool = False) -> int | None:
    """Writes the event down as one change, which is undone as a whole.

    LoggedAlready where somebody wrote the same part, stop or work of that day down before, unless
    it happened ``again``.

    Raises RecordError when nothing is said of it, when its pieces are of different printers, or
    when one of them cannot be; then nothing is written.
    """
    if event.change is None and event.stoppage is None and not event.tasks:
        raise RecordError(
            _("Nothing is said of what broke; name the part, the time it stood still or the work.")
        )
    named = {event.printer}
    named |= {event.change.position.printer} if event.change else set()
    named |= {event.stoppage.printer} if event.stoppage else set()
    if len(named) > 1:
        raise RecordError(
            _(
                "One event is of one printer, and this names {named}; log them one after the "
                "other.",
                named=_(" and ").join(sorted(named)),
            )
        )
    what = _("Something broke on {printer}", printer=event.printer)
    among = ("maintenance", "stoppages")
    with once(store, what, among=among, again=again) as change:
        if event.change is not None:
            at = event.change
            said = put_part_change(
                change, at.position, at.removal, at.new, fitted_on=at.fitted_on, again=again
            )
            change.what = _("Something broke: {said}", said=said[:1].lower() + said[1:])
        if event.stoppage is not None:
            kind = event.change.position.part_kind if event.change else ""
            stopped = event.stoppage
            put_stoppage(change, replace(stopped, part_kind=stopped.part_kind or kind))
        if event.tasks:
            work = replace(event.work, why="symptom")
            put_tasks(change, event.printer, event.tasks, event.day, work)
    return change.number


@dataclass(frozen=True)
class WentIn:
    """The part that went in while a printer stood; ``removal`` None: its place was empty."""

    position: PartPosition
    removal: Removal | None = None
    new: NewPart = field(default_factory=NewPart)
    counter_m2: float | None = None


def end_stoppage(
    store: Store,
    row_id: int,
    ended_at: datetime,
    *,
    went_in: WentIn | None = None,
    scrap_cost: float | None = None,
    time_zone: str = "",
    again: bool = False,
) -> int | None:
    """Writes down that the printer of that stoppage runs again, and the part that went in for it.

    Scrap adds to what is there. ``time_zone`` and the ``fold`` of ``ended_at`` are as in
    ``Stoppage``. LoggedAlready where it ended before, or where that part was changed already
    unless it was so ``again``.
    """
    with store.change() as change:
        printer = put_end(change, row_id, ended_at, scrap_cost, time_zone)
        change.what = _("{printer} runs again", printer=printer)
        if went_in is not None:
            said = _put_in(change, went_in, ended_at.date(), again=again)
            change.what = _("{printer} runs again: {said}", printer=printer, said=said)
            if not change.values("stoppages", row_id)["part_kind"]:
                change.correct("stoppages", row_id, {"part_kind": went_in.position.part_kind})
    return change.number


def _put_in(change: Batch, part: WentIn, day: date, *, again: bool) -> str:
    if part.removal is None:
        return put_first_part(change, part.position, day, part.new, part.counter_m2)
    return put_part_change(
        change, part.position, part.removal, part.new, fitted_on=day, again=again
    )
