"""What files were taken for, in words, before anything is kept."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

from tracker.intake.pieces import CALENDAR, LEAVE_OUT, WIDE, Intake, Piece, SetAside
from tracker.language import _, month_name, ngettext
from tracker.say import numbers
from tracker.say.phrases import listed
from tracker.workshop.contract import TABLE_BY_NAME
from tracker.workshop.records import Records
from tracker.workshop.vocabulary import part_name, task_label

_FIRST = 3  # rows in words
_DAYS = 4  # days named one by one
_NAMED = 6  # rows named one by one
_FEW_PRINTERS = 3
_TABLES = (
    *("printers", "fittings", "maintenance", "counters", "nozzle_checks", "stoppages", "stock"),
    *("orders", "parts", "closures", "routines", "experiments", "conditions", "actions"),
    *("review_notes", "settings"),
)


def _noun(table: str, number: int) -> str:
    """What so many records of a table are called."""
    called = {
        "printers": lambda: ngettext("printer", "printers", number),
        "fittings": lambda: ngettext("part", "parts", number),
        "maintenance": lambda: ngettext("task done", "tasks done", number),
        "counters": lambda: ngettext("counter reading", "counter readings", number),
        "nozzle_checks": lambda: ngettext("nozzle check", "nozzle checks", number),
        "stoppages": lambda: ngettext("stoppage", "stoppages", number),
        "stock": lambda: ngettext("movement of stock", "movements of stock", number),
        "orders": lambda: ngettext("order", "orders", number),
        "parts": lambda: ngettext("line of the catalogue", "lines of the catalogue", number),
        "closures": lambda: ngettext("closed stretch", "closed stretches", number),
        "routines": lambda: ngettext("interval", "intervals", number),
        "experiments": lambda: ngettext("experiment", "experiments", number),
        "conditions": lambda: ngettext("note of the room", "notes of the room", number),
        "actions": lambda: ngettext("action", "actions", number),
        "review_notes": lambda: ngettext("note of a review", "notes of reviews", number),
        "settings": lambda: ngettext("setting", "settings", number),
    }
    return called[table]()


def _noun_in_short(table: str, number: int) -> str:
    """The same for a button and for what a sheet is made of."""
    if table == "maintenance":
        return ngettext("task", "tasks", number)
    if table == "fittings":
        return ngettext("part change", "part changes", number)
    return _noun(table, number)


def intake_in_words(intake: Intake) -> list[str]:
    """All that is to be said of files before the button, a sentence a line."""
    lines = []
    for piece in intake.pieces:
        lines.append(taken_for(piece))
        lines += [f"  {line}" for line in unread_in_words(piece)]
    if intake.records is not None:
        lines += totals(intake.records)
        lines += first_rows(intake.records)
    lines += set_aside_in_words(intake.set_aside)
    return lines


def taken_for(piece: Piece) -> str:
    """What a piece was taken for, and why.

    >>> piece = Piece("log.csv||1", "log.csv", "", 3, 34, "calendar", ("maintenance",),
    ...               "days go down its side", printer="Left", month="2026-03")
    >>> print(taken_for(piece))
    log.csv, rows 3 to 34: a calendar of tasks, for Left, March 2026: days go down its side.
    """
    where = ", ".join(filter(None, [piece.source, piece.sheet]))
    one_row = piece.first_row == piece.last_row
    rows = (
        _("row {first_row}", first_row=piece.first_row)
        if one_row
        else _("rows {first_row} to {last_row}", first_row=piece.first_row, last_row=piece.last_row)
    )
    where += f", {rows}"
    if piece.layout == LEAVE_OUT:
        return f"{where}: {piece.reason}."
    if not piece.layout:
        return _("{where}: not clear yet what it is; {reason}.", where=where, reason=piece.reason)
    what = _sheet(piece.layout, listed([_noun_in_short(table, 2) for table in piece.tables]))
    about = [piece.printer] if piece.printer else []
    if piece.month:
        about.append(month_name(pd.Timestamp(piece.month + "-01").date()))
    if about:
        what = _("{sheet}, for {about}", sheet=what, about=", ".join(about))
    return f"{where}: {what}: {piece.reason}."


def _sheet(layout: str, held: str) -> str:
    """What kind of sheet it is and what it holds; "" where nothing is known of that."""
    if layout == CALENDAR:
        return _("a calendar of {held}", held=held) if held else _("a calendar")
    if layout == WIDE:
        return _("a wide sheet of {held}", held=held) if held else _("a wide sheet")
    return _("a list of {held}", held=held) if held else _("a list")


def unread_in_words(piece: Piece) -> list[str]:
    """The columns that hold something and are left unread."""
    lines = []
    for role in piece.unread:
        filled = numbers.count(role.filled, "cell", "cells")
        lines.append(
            _("Not read, as you said: “{header}” ({filled}).", header=role.header, filled=filled)
            if role.reason == _("as you said")
            else _(
                "Not read: “{header}” ({filled}); it {reason}.",
                header=role.header,
                filled=filled,
                reason=role.reason,
            )
        )
    return lines


def totals(records: Records) -> list[str]:
    """So many of each, from when to when, by printer."""
    lines = []
    for name in _TABLES:
        frame = records.table(name)
        if frame.empty:
            continue
        happened = TABLE_BY_NAME[name].happened_on
        line = f"{numbers.decimal(len(frame))} {_noun(name, len(frame))}"
        days = frame[happened].dropna() if happened else pd.Series(dtype="datetime64[ns]")
        if len(days):
            first, last = days.min().date(), days.max().date()
            line = (
                _(
                    "{records} from {first} to {last}",
                    records=line,
                    first=numbers.day(first),
                    last=numbers.day(last),
                )
                if first != last
                else _("{records} on {day}", records=line, day=numbers.day(first))
            )
        if "printer" in frame and name != "printers":
            counts = frame[frame["printer"].ne("")].groupby("printer").size()
            shown = [f"{printer} {count}" for printer, count in counts.items()]
            line += f" ({', '.join(shown[:6])}{', …' if len(shown) > 6 else ''})" if shown else ""
        lines.append(f"{line}.")
    return lines


def first_rows(records: Records) -> list[str]:
    """The first records in words: "Left: shake dampers on 2 and 16 November 2026."."""
    lines = []
    tasks = records.maintenance
    for (printer, task), group in list(tasks.groupby(["printer", "task"], sort=False))[:_FIRST]:
        lines.append(
            _(
                "{printer}: {task} on {done_on}.",
                printer=printer,
                task=_lower(task_label(task)),
                done_on=_days(group["done_on"]),
            )
        )
    parts = records.fittings
    by_part = parts.groupby(["printer", "part_kind", "position"], sort=False)
    for (printer, kind, position), group in list(by_part)[:_FIRST]:
        days = group["fitted_on"].dropna()
        part = _lower(part_name(kind, position))
        lines.append(
            _("{printer}: {part} put in on {days}.", printer=printer, part=part, days=_days(days))
            if len(days)
            else _("{printer}: {part} in before the log began.", printer=printer, part=part)
        )
    for row in records.stoppages.head(_FIRST).itertuples():
        began = numbers.day(row.began_at.date())
        lines.append(
            _(
                "{printer}: stood from {began_at}, still standing.",
                printer=row.printer,
                began_at=began,
            )
            if pd.isna(row.ended_at)
            else _(
                "{printer}: stood from {began_at} to {ended_at}.",
                printer=row.printer,
                began_at=began,
                ended_at=numbers.day(row.ended_at.date()),
            )
        )
    for row in records.counters.head(_FIRST).itertuples():
        area = numbers.area(row.area_m2)
        lines.append(
            _(
                "{printer}: {area} printed by {read_on}.",
                printer=row.printer,
                area=area,
                read_on=numbers.day(row.read_on.date()),
            )
        )
    return lines


def what_loads(records: Records) -> str:
    """What the button will do: so many of each, of which printers, from when to when; "" for none.

    >>> tasks = pd.DataFrame({"printer": ["Left", "Right"], "task": "stir_ink",
    ...                       "done_on": pd.to_datetime(["2026-03-02", "2026-03-30"])})
    >>> what_loads(Records.of({"maintenance": tasks}))
    'Load 2 tasks of Left and Right, 2 to 30 March 2026'
    """
    counts, printers, days = [], [], []
    for name in _TABLES:
        frame = records.table(name)
        if frame.empty:
            continue
        already = int(frame["fitted_on"].isna().sum()) if name == "fittings" else 0
        number = _part_changes(frame) if name == "fittings" else len(frame)
        if not already or frame[["fitted_on", "removed_on"]].notna().any(axis=None):
            counts.append(f"{numbers.decimal(number)} {_noun_in_short(name, number)}")
        if already:
            counts.append(numbers.count(already, "part in there already", "parts in there already"))
        if "printer" in frame and name != "printers":
            printers += [printer for printer in frame["printer"].unique() if printer]
        if (happened := TABLE_BY_NAME[name].happened_on) and name != "printers":
            days += [day for day in (frame[happened].min(), frame[happened].max()) if day == day]
    if not counts:
        return ""
    named = sorted(set(printers))
    what = listed(counts)
    if 0 < len(named) <= _FEW_PRINTERS:
        what = _("{records} of {named}", records=what, named=listed(named))
    elif named:
        what = _("{records} of {count} printers", records=what, count=len(named))
    if not days:
        return _("Load {records}", records=what)
    return _("Load {records}, {days}", records=what, days=_from_to(min(days), max(days)))


def _part_changes(fittings: pd.DataFrame) -> int:
    """How many changes these parts tell of: one that came out and the one that took its place on
    that day are two records and one change.
    """
    place = ["printer", "part_kind", "position"]
    days = pd.concat(
        [
            fittings[[*place, day]].rename(columns={day: "day"})
            for day in ("fitted_on", "removed_on")
        ]
    ).dropna(subset=["day"])
    return min(len(fittings), len(days.drop_duplicates())) or len(fittings)


def _from_to(first: pd.Timestamp, last: pd.Timestamp) -> str:
    """Two days, what they share said once.

    >>> _from_to(pd.Timestamp("2026-03-02"), pd.Timestamp("2026-04-01"))
    '2 March to 1 April 2026'
    """
    end = _on(str(last.day), last)
    if first.date() == last.date():
        return end
    if first.year != last.year:
        begin = _on(str(first.day), first)
    elif first.month != last.month:
        begin = _on(str(first.day), first, year=False)
    else:
        begin = str(first.day)
    return _("{begin} to {end}", begin=begin, end=end)


def _on(days: str, month: pd.Timestamp, *, year: bool = True) -> str:
    """Days of one month with its name, as the language in use writes them."""
    return _("{days} {month}", days=days, month=month_name(month.date(), year=year))


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]


def _days(days: pd.Series) -> str:
    """Days in a row, month and year said once where they are the same.

    >>> _days(pd.Series(pd.to_datetime(["2026-11-02", "2026-11-16"])))
    '2 and 16 November 2026'
    """
    ordered = sorted(set(pd.to_datetime(days)))
    shown = ordered[:_DAYS]
    more = len(ordered) - len(shown)
    if len({(day.year, day.month) for day in shown}) == 1:
        each = [str(day.day) for day in shown]
        joined = ", ".join(each) if more else listed(each)
        told = _on(joined, shown[0])
    else:
        each = [_on(str(day.day), day) for day in shown]
        told = ", ".join(each) if more else listed(each)
    if not more:
        return told
    return ngettext(
        "{days} and {more} more day", "{days} and {more} more days", more, days=told, more=more
    )


def set_aside_in_words(aside: Sequence[SetAside]) -> list[str]:
    """The rows that are no records, with the reason, alike ones together.

    >>> rows = [SetAside("log.csv", "", row, "Total", "a total of other rows") for row in (9, 12)]
    >>> set_aside_in_words(rows)
    ['Set aside in log.csv, rows 9 and 12: a total of other rows.']
    """
    groups: dict[tuple[str, str], list[SetAside]] = {}
    for row in aside:
        where = ", ".join(filter(None, [row.source, row.sheet]))
        groups.setdefault((where, row.why), []).append(row)
    lines = []
    for (where, why), rows in groups.items():
        named = [str(number) for number in sorted(row.row for row in rows)]
        shown = listed(named[:_NAMED])
        which = _("rows {named}", named=shown)
        if len(named) > _NAMED:
            which = _("rows {named} and {more} more", named=shown, more=len(named) - _NAMED)
        if len(named) == 1:
            which = _("row {named} (“{text}”)", named=named[0], text=rows[0].text[:60])
        lines.append(_("Set aside in {where}, {which}: {why}.", where=where, which=which, why=why))
    return lines
