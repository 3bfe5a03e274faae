"""What was in each place of a printer and how it ended, the tasks, and when nobody printed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta

import pandas as pd

from tracker.charts.colours import BAD, QUIET, SEEN, part_colour
from tracker.charts.picture import Axis, Band, Mark, Picture, Points, Spans, day_form
from tracker.language import N_, _
from tracker.lives.printer_history import RUNNING, PrinterHistory
from tracker.workshop import vocabulary as words

_ROW_PIXELS, _AROUND_PIXELS, _LEGEND_PIXELS = 21, 130, 120
_LABEL = 21  # letters of a row's name that leave a phone room for the picture
_ENDS = {
    "failed": (N_("Failed"), BAD, "x"),
    "accident": (N_("Accident"), BAD, "diamond"),
    "": (N_("Came out working"), SEEN, "square"),
}


def printer_timeline_picture(history: PrinterHistory) -> Picture:
    """One row per place, a bar per part; below them one row per task; shades where it stood."""
    names = [_place_name(*place) for place in history.places]
    tasks = list(history.work["task"].value_counts().index)
    rows = [*names, *(_cut(_task_name(task), _LABEL) for task in tasks)][::-1]
    place_at = {place: len(rows) - 1 - at for at, place in enumerate(history.places)}
    task_at = {task: len(tasks) - 1 - at for at, task in enumerate(tasks)}
    return Picture(
        title=_("{printer}: what was in it", printer=history.printer),
        x=Axis(title=_("date"), form=day_form(history.first, history.last), most_ticks=5),
        y=Axis(
            title=_("place in the printer, tasks below") if tasks else _("place in the printer"),
            ticks=tuple(enumerate(rows)),
            limits=(-0.7, max(len(rows), 1) - 0.3),
        ),
        marks=(
            *_shades(history, len(rows)),
            *_bars(history, place_at),
            *_ends(history.changes, place_at),
            *_work(history.work, task_at),
        ),
        height=_AROUND_PIXELS + _ROW_PIXELS * len(rows) + _LEGEND_PIXELS,
        legend_room=_LEGEND_PIXELS,
    )


def _place_name(kind: str, position: str) -> str:
    """The part and its place; where room is short the place stays, which tells rows apart."""
    name = words.part_name(kind, position)
    if len(name) <= _LABEL or not name.endswith(position):
        return _cut(name, _LABEL)
    return f"{_cut(words.part_label(kind), _LABEL - len(position) - 1)} {position}"


def _cut(name: str, letters: int) -> str:
    return name if len(name) <= letters else f"{name[: letters - 1].rstrip()}…"


def _task_name(task: str) -> str:
    """The task in short: what stands before a comma says enough beside the table."""
    return words.task_label(task).split(",")[0]


def _shades(history: PrinterHistory, rows: int) -> list[Mark]:
    closed = [(began, ended + timedelta(days=1)) for began, ended in history.closures]
    stood = [
        (row.began_at.date(), row.ended_at.date() + timedelta(days=1))
        for row in history.stoppages.itertuples()
    ]
    found: list[Mark] = []
    for name, spans, colour, hatch in (
        (_("Closed"), closed, QUIET, "/"),
        (_("Stood still"), stood, BAD, ""),
    ):
        if spans:
            days, covered = _steps(spans, history.first, history.last + timedelta(days=1))
            low = [-0.7] * len(days)
            high = [rows - 0.3 if inside else -0.7 for inside in covered]
            found.append(
                Band(
                    name=name,
                    x=days,
                    low=low,
                    high=high,
                    colour=colour,
                    opacity=0.3,
                    hatch=hatch,
                    steps=True,
                )
            )
    return found


def _steps(
    spans: Sequence[tuple[date, date]], first: date, end: date
) -> tuple[list[pd.Timestamp], list[bool]]:
    """The days on which it begins or ends, and whether a span holds from there on."""
    inside = [(max(began, first), min(ended, end)) for began, ended in spans]
    days = sorted({first, end, *(day for span in inside for day in span)})
    covered = [any(began <= day < ended for began, ended in inside) for day in days]
    return [pd.Timestamp(day) for day in days], covered


def _bars(history: PrinterHistory, row_at: Mapping[tuple[str, str], int]) -> list[Mark]:
    fittings = history.fittings
    if fittings.empty:
        return []
    return [
        Spans(
            name=_("A part from the day it went in to the day it came out"),
            low=list(fittings["from_day"]),
            high=list(fittings["until_day"]),
            rows=_rows(fittings, row_at),
            colour=tuple(map(part_colour, fittings["part_kind"])),
            says="",
        )
    ]


def _ends(changes: pd.DataFrame, row_at: Mapping[tuple[str, str], int]) -> list[Mark]:
    kind = changes["end"].where(changes["end"].isin(list(_ENDS)), "")
    kind = kind[changes["end"] != RUNNING]
    found: list[Mark] = []
    for end, (name, colour, form) in _ENDS.items():
        rows = changes.loc[kind.index[kind == end]]
        if len(rows):
            found.append(
                Points(
                    name=_(name), x=list(rows["removed_on"]), y=_rows(rows, row_at), colour=colour,
                    form=form, size=9, says=f"{_(name).lower()} {{x:%d %b %Y}}",
                )
            )  # fmt: skip
    return found


def _work(work: pd.DataFrame, row_at: Mapping[str, int]) -> list[Mark]:
    found: list[Mark] = []
    symptom = work["why"] == "symptom"
    for name, rows, form in (
        (_("Task done"), work[~symptom], "tick"),
        (_("Task done because something was wrong"), work[symptom], "triangle-up"),
    ):
        if len(rows):
            found.append(
                Points(
                    name=name,
                    x=list(rows["done_on"]),
                    y=[row_at[task] for task in rows["task"]],
                    colour=SEEN,
                    form=form,
                    size=8,
                    says=_("done {x:%d %b %Y}"),
                )
            )
    return found


def _rows(fittings: pd.DataFrame, row_at: Mapping[tuple[str, str], int]) -> list[int]:
    places = zip(fittings["part_kind"], fittings["position"], strict=True)
    return [row_at[place] for place in places]
