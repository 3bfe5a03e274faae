"""How long printers stood beside part changes, as stoppages.

Such a row knows the day and the hours and no time of day. Its stoppage is over on the day of the
change, is as long as is told and begins at midnight, as a day without a time is read everywhere;
its note says that only the length is known.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import pandas as pd

from tracker.intake.headers.sheet_tables import HOURS_DOWN
from tracker.intake.questions import COLUMNS, Question
from tracker.intake.talk import Talk
from tracker.intake.together.labelled import Typed
from tracker.language import N_, _, ngettext
from tracker.workshop.checks.cells import above_most, below_least
from tracker.workshop.columns.frames import shape_frame
from tracker.workshop.contract import FITTINGS, STOPPAGES
from tracker.workshop.declarations import Column
from tracker.workshop.refusal import Refusal, written

ONE_STOP, EACH = N_("one stop, told more than once"), N_("one after the other")
ONLY_LENGTH = N_("only how long it stood is known")
_A_DAY = pd.Timedelta(days=1)
_NAMED = 3
_OF_ROWS = ["printer", "began_at", "ended_at", "part_kind", "cause", "note"]
_Span = tuple[pd.Timestamp, pd.Timestamp]


@dataclass(frozen=True)
class Standing:
    """Rows of part changes that tell hours, at their labels in ``one``: ``printer, part_kind,
    position, failure_mode, day, hours``.

    ``refused`` are those that cannot be, ``dayless`` is the number of those without a day.
    """

    one: Typed
    rows: pd.DataFrame
    refused: tuple[Refusal, ...] = ()
    dayless: int = 0

    @classmethod
    def of(cls, one: Typed) -> Standing:
        """What a sheet tells; a change's day is that on which the part came out, if it says so."""
        frame = one.reading.typed.frame
        if HOURS_DOWN.name not in frame:
            return cls(one, frame.iloc[:0])
        bad = {refusal.row for refusal in one.reading.refusals}
        told = frame[frame[HOURS_DOWN.name].notna() & ~frame.index.isin(bad)]
        hours = told[HOURS_DOWN.name]
        refused = impossible_hours(hours, FITTINGS.name, HOURS_DOWN)
        day = told["removed_on"].fillna(told["fitted_on"])
        rows = told[["printer", "part_kind", "position", "failure_mode"]].assign(
            day=day, hours=hours
        )
        rows = rows[(hours > 0) & ~hours.index.isin([refusal.row for refusal in refused])]
        dated = rows[rows["day"].notna()]
        return cls(one, dated, refused, len(rows) - len(dated))


def impossible_hours(hours: pd.Series, table: str, column: Column) -> tuple[Refusal, ...]:
    """Hours below none or beyond a year's, at their labels."""
    assert column.at_most is not None
    return tuple(
        Refusal(table, label, column.name, written(number), *problem)
        for found, problem in (
            (hours < 0, below_least(column, 0)),
            (hours > column.at_most, above_most(column, column.at_most)),
        )
        for label, number in hours[found].items()
    )


def stoppages_of(
    rows: pd.DataFrame, others: pd.DataFrame, talk: Talk, source: str, notices: list[str]
) -> pd.DataFrame:
    """A stoppage for each of these rows (see ``Standing``), at their labels.

    ``others`` are stoppages written down with their times: a day of theirs gets no second one.
    Rows of one printer and day are one stop or several, which is asked; a change told twice is one.
    """
    by_day = _by_day(rows)
    several = [(key, group) for key, group in by_day.items() if len(group) > 1]
    answer = talk.ask(_question(*several[0], source), "stood|several") if several else EACH
    if answer is None:
        return shape_frame(STOPPAGES, rows.iloc[:0])
    taken: dict[str, set[_Span]] = {}
    for other in others.itertuples():
        taken.setdefault(other.printer, set()).add((other.began_at, other.ended_at))
    made: dict[int, tuple[object, ...]] = {}
    told_already: list[str] = []
    for (printer, day), group in by_day.items():
        own = _placed([_as_one(group)] if answer == ONE_STOP else group, day)
        there = taken.setdefault(printer, set())
        if _is_told(own.values(), there, day):
            told_already.append(f"{printer}, {written(day)}")
            continue
        there |= set(own.values())
        for told, (began, ended) in own.items():
            made[told.label] = (printer, began, ended, told.part_kind, told.cause, ONLY_LENGTH)
    _tell(len(made), told_already, notices)
    frame = pd.DataFrame.from_dict(made, orient="index", columns=_OF_ROWS)
    return shape_frame(STOPPAGES, frame)


@dataclass(frozen=True)
class _Told:
    """One row that tells hours."""

    label: int
    part_kind: str
    cause: str
    hours: float


def _by_day(rows: pd.DataFrame) -> dict[tuple[str, pd.Timestamp], list[_Told]]:
    """Printer and day → what its rows tell, day after day; a change told twice once."""
    once = rows[~rows[["printer", "part_kind", "position", "day", "hours"]].duplicated()]
    found: dict[tuple[str, pd.Timestamp], list[_Told]] = {}
    for row in once.sort_values("day", kind="stable").itertuples():
        told = _Told(row.Index, str(row.part_kind), str(row.failure_mode), float(row.hours))
        found.setdefault((str(row.printer), row.day), []).append(told)
    return found


def _question(key: tuple[str, pd.Timestamp], group: Sequence[_Told], source: str) -> Question:
    """Whether the hours beside several changes of one day are those of one stop."""
    printer, day = key
    hours = " + ".join(written(told.hours) for told in group)
    return Question(
        HOURS_DOWN.name,
        _("several changes of one printer and day tell hours that it stood. Which is it?"),
        (ONE_STOP, EACH),
        (_("{printer}, {day}: {hours} hours", printer=printer, day=written(day), hours=hours),),
        COLUMNS,
        source,
        filed="stood|several",
    )


def _as_one(group: Sequence[_Told]) -> _Told:
    """The longest of them, of the part that all are of."""
    longest = max(group, key=lambda told: told.hours)
    is_one_kind = len({told.part_kind for told in group}) == 1
    return longest if is_one_kind else replace(longest, part_kind="")


def _placed(group: Sequence[_Told], day: pd.Timestamp) -> dict[_Told, _Span]:
    """Stops one after the other, the first from the midnight after which the last ends that day."""
    lengths = [pd.Timedelta(hours=told.hours).round("s") for told in group]
    began = day - sum(lengths, pd.Timedelta(0)) // _A_DAY * _A_DAY
    placed = {}
    for told, length in zip(group, lengths, strict=True):
        placed[told] = (began, began + length)
        began += length
    return placed


def _is_told(own: Collection[_Span], taken: Collection[_Span], day: pd.Timestamp) -> bool:
    """True where a stoppage other than these is written down for one of their days."""
    first = min(began for began, _ended in own).normalize()
    return any(
        began.normalize() <= day and (pd.isna(ended) or ended.normalize() >= first)
        for began, ended in taken
        if (began, ended) not in own
    )


def _tell(made: int, told_already: Sequence[str], notices: list[str]) -> None:
    if made:
        notices.append(
            ngettext(
                "{many} stoppage was made of the hours beside a part change. Its time of day is "
                "not known: it is kept from midnight on, over on the day of the change, and of "
                "each day at most the working hours count.",
                "{many} stoppages were made of the hours beside part changes. Their times of day "
                "are not known: they are kept from midnight on, over on the day of the change, and "
                "of each day at most the working hours count.",
                made,
                many=made,
            )
        )
    if told_already:
        days = "; ".join(told_already[:_NAMED]) + ("; …" if len(told_already) > _NAMED else "")
        notices.append(
            ngettext(
                "The hours beside a part change were not added ({days}), for a stoppage is "
                "written down for that day already.",
                "The hours beside part changes of {many} days were not added ({days}), for "
                "stoppages are written down for those days already.",
                len(told_already),
                many=len(told_already),
                days=days,
            )
        )


def hours_without_day(many: int) -> str:
    """That hours stand in rows that say no day."""
    return ngettext(
        "{many} row tells how long the printer stood and no day: no stoppage is made of it.",
        "{many} rows tell how long the printer stood and no day: no stoppage is made of them.",
        many,
        many=many,
    )
