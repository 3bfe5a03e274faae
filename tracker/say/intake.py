"""What files were taken for, in words, before anything is kept."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

from tracker.intake.layout.asking import role_words
from tracker.intake.pieces import CALENDAR, LEAVE_OUT, WIDE, Intake, Piece, SetAside
from tracker.say import numbers
from tracker.say.phrases import listed
from tracker.workshop.contract import TABLE_BY_NAME
from tracker.workshop.records import Records
from tracker.workshop.vocabulary import part_name, task_label

_FIRST = 3  # rows in words
_DAYS = 4  # days named one by one
_NAMED = 6  # rows named one by one
_FEW_PRINTERS = 3
_ON_BUTTON = {"maintenance": ("task", "tasks"), "fittings": ("part change", "part changes")}
# What a record of each table is called, one and several.
_CALLED = {
    "printers": ("printer", "printers"),
    "fittings": ("part", "parts"),
    "maintenance": ("task done", "tasks done"),
    "counters": ("counter reading", "counter readings"),
    "nozzle_checks": ("nozzle check", "nozzle checks"),
    "stoppages": ("stoppage", "stoppages"),
    "stock": ("movement of stock", "movements of stock"),
    "orders": ("order", "orders"),
    "parts": ("line of the catalogue", "lines of the catalogue"),
    "closures": ("closed stretch", "closed stretches"),
    "routines": ("interval", "intervals"),
    "experiments": ("experiment", "experiments"),
    "conditions": ("note of the room", "notes of the room"),
    "actions": ("action", "actions"),
    "review_notes": ("note of a review", "notes of reviews"),
    "settings": ("setting", "settings"),
}


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
    rows = f"row {piece.first_row}" if one_row else f"rows {piece.first_row} to {piece.last_row}"
    where += f", {rows}"
    if piece.layout == LEAVE_OUT:
        return f"{where}: {piece.reason}."
    if not piece.layout:
        return f"{where}: not clear yet what it is; {piece.reason}."
    what = {CALENDAR: "a calendar", WIDE: "a wide sheet"}.get(piece.layout, "a list")
    if held := listed([_held(table) for table in piece.tables]):
        what += f" of {held}"
    about = [piece.printer] if piece.printer else []
    if piece.month:
        about.append(f"{pd.Timestamp(piece.month + '-01'):%B %Y}")
    told = f", for {', '.join(about)}" if about else ""
    return f"{where}: {what}{told}: {piece.reason}."


def _held(table: str) -> str:
    return {"maintenance": "tasks", "fittings": "part changes"}.get(table, _CALLED[table][1])


def roles_in_words(piece: Piece) -> list[str]:
    """What each column was taken for, and why.

    >>> from tracker.intake.pieces import Role
    >>> role = Role("k", 2, "Dampers shaken", "task:shake_dampers", "reads like it", True, 4)
    >>> roles_in_words(Piece("k", "log.csv", "", 1, 5, "calendar", (), roles=(role,)))
    ['“Dampers shaken” is Shake dampers, draw off air: it reads like it.']
    """
    return [
        f"“{role.header}” is {role_words(role.role)}: it {role.reason}." for role in piece.roles
    ]


def unread_in_words(piece: Piece) -> list[str]:
    """The columns that hold something and are left unread."""
    return [
        f"Not read: “{role.header}” ({numbers.count(role.filled, 'cell')}); it {role.reason}."
        for role in piece.unread
    ]


def totals(records: Records) -> list[str]:
    """So many of each, from when to when, by printer."""
    lines = []
    for name, (one, several) in _CALLED.items():
        frame = records.table(name)
        if frame.empty:
            continue
        happened = TABLE_BY_NAME[name].happened_on
        line = numbers.count(len(frame), one, several)
        days = frame[happened].dropna() if happened else pd.Series(dtype="datetime64[ns]")
        if len(days):
            first, last = days.min().date(), days.max().date()
            line += f" from {numbers.day(first)}" if first != last else f" on {numbers.day(first)}"
            line += f" to {numbers.day(last)}" if first != last else ""
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
        lines.append(f"{printer}: {_lower(task_label(task))} on {_days(group['done_on'])}.")
    parts = records.fittings
    by_part = parts.groupby(["printer", "part_kind", "position"], sort=False)
    for (printer, kind, position), group in list(by_part)[:_FIRST]:
        days = group["fitted_on"].dropna()
        when = f"put in on {_days(days)}" if len(days) else "in before the log began"
        lines.append(f"{printer}: {_lower(part_name(kind, position))} {when}.")
    for row in records.stoppages.head(_FIRST).itertuples():
        until = "" if pd.isna(row.ended_at) else f" to {numbers.day(row.ended_at.date())}"
        stood = f"stood from {numbers.day(row.began_at.date())}{until or ', still standing'}"
        lines.append(f"{row.printer}: {stood}.")
    for row in records.counters.head(_FIRST).itertuples():
        area = numbers.area(row.area_m2)
        lines.append(f"{row.printer}: {area} printed by {numbers.day(row.read_on.date())}.")
    return lines


def what_loads(records: Records) -> str:
    """What the button will do: so many of each, of which printers, from when to when; "" for none.

    >>> tasks = pd.DataFrame({"printer": ["Left", "Right"], "task": "stir_ink",
    ...                       "done_on": pd.to_datetime(["2026-03-02", "2026-03-30"])})
    >>> what_loads(Records.of({"maintenance": tasks}))
    'Load 2 tasks of Left and Right, 2 to 30 March 2026'
    """
    counts, printers, days = [], [], []
    for name, (one, several) in _CALLED.items():
        frame = records.table(name)
        if frame.empty:
            continue
        one, several = _ON_BUTTON.get(name, (one, several))
        counts.append(numbers.count(len(frame), one, several))
        if "printer" in frame and name != "printers":
            printers += [printer for printer in frame["printer"].unique() if printer]
        if (happened := TABLE_BY_NAME[name].happened_on) and name != "printers":
            days += [day for day in (frame[happened].min(), frame[happened].max()) if day == day]
    if not counts:
        return ""
    named = sorted(set(printers))
    of = f" of {listed(named)}" if 0 < len(named) <= _FEW_PRINTERS else ""
    of = of or (f" of {len(named)} printers" if named else "")
    when = f", {_from_to(min(days), max(days))}" if days else ""
    return f"Load {listed(counts)}{of}{when}"


def _from_to(first: pd.Timestamp, last: pd.Timestamp) -> str:
    """Two days, what they share said once.

    >>> _from_to(pd.Timestamp("2026-03-02"), pd.Timestamp("2026-04-01"))
    '2 March to 1 April 2026'
    """
    end = f"{last.day} {last:%B %Y}"
    if first.date() == last.date():
        return end
    if first.year != last.year:
        return f"{first.day} {first:%B %Y} to {end}"
    return (
        f"{first.day} to {end}" if first.month == last.month else f"{first.day} {first:%B} to {end}"
    )


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
    tail = f" and {more} more days" if more > 1 else " and 1 more day" if more else ""
    if len({(day.year, day.month) for day in shown}) == 1:
        each = [str(day.day) for day in shown]
        joined = ", ".join(each) if more else listed(each)
        return f"{joined} {shown[0]:%B %Y}{tail}"
    each = [f"{day.day} {day:%B %Y}" for day in shown]
    return f"{', '.join(each) if more else listed(each)}{tail}"


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
        more = f" and {len(named) - _NAMED} more" if len(named) > _NAMED else ""
        which = f"rows {listed(named[:_NAMED])}{more}"
        if len(named) == 1:
            which = f"row {named[0]} (“{rows[0].text[:60]}”)"
        lines.append(f"Set aside in {where}, {which}: {why}.")
    return lines
