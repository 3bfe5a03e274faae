"""What one cell or one row cannot hold: missing, wrong word, impossible number or day."""

from __future__ import annotations

import numpy as np
import pandas as pd

from tracker.language import _
from tracker.workshop import vocabulary as words
from tracker.workshop.columns.coded import Coded
from tracker.workshop.contract import TABLE_BY_NAME, TABLES
from tracker.workshop.declarations import Column, Table
from tracker.workshop.limits import FIRST_YEAR, LAST_YEAR, LONGEST_TEXT
from tracker.workshop.refusal import Findings, nearest_word, written

EARLIEST = pd.Timestamp(FIRST_YEAR, 1, 1)
LATEST = pd.Timestamp(LAST_YEAR + 1, 1, 1)

# Days that may lie ahead: promises, use-by days, plans for printers, routines,
# experiments and closed days.
_MAY_LIE_AHEAD = {
    ("printers", "started_on"),
    ("printers", "retired_on"),
    ("stock", "best_before"),
    ("orders", "expected_on"),
    ("routines", "starts_on"),
    ("routines", "ends_on"),
    ("experiments", "starts_on"),
    ("experiments", "ends_on"),
    ("experiments", "look_on"),
    ("closures", "began_on"),
    ("closures", "ended_on"),
}


_BUILT_IN = {"part_kind": words.BUILT_IN_PART_KINDS, "task": words.BUILT_IN_TASKS}


def check_cells(found: Findings) -> None:
    """Refuses each cell that its column cannot hold, table by table."""
    whole, found = found, found.alone
    for table in TABLES:
        if not found.is_touched(table.name) or not found.records.count(table.name):
            continue
        frame = found.records.table(table.name)
        for column in table.columns:
            if column.is_text:
                coded = found.records.codes(table.name, column.name)
                _refuse_missing(found, table, column, coded.is_word(""))
                if column.kind == "choice":
                    _check_word(found, whole, table, column, coded)
                _check_length(found, table, column, coded)
                continue
            _refuse_missing(found, table, column, frame[column.name].isna())
            if column.is_number:
                _check_number(found, table, column, frame[column.name])
            elif column.is_time:
                _check_day(found, table, column, frame[column.name])


def known_part_kinds(found: Findings) -> frozenset[str]:
    """Kinds that need no second look: built in, or the workshop's own and meant."""
    return _known_words(found, "part_kind", words.BUILT_IN_PART_KINDS, "parts", "stock", "orders")


def known_tasks(found: Findings) -> frozenset[str]:
    """Tasks that need no second look: built in, or the workshop's own and meant."""
    return _known_words(found, "task", words.BUILT_IN_TASKS, "routines")


def _known_words(
    found: Findings, column: str, built_in: tuple[str, ...], listed_in: str, *also: str
) -> frozenset[str]:
    """A workshop's own word is meant when it was there before, or is listed beside its likeness.

    The catalogue (for tasks: the routines) may hold "liner" as well as "line": whoever lists both
    means both.
    """
    known = set(built_in)
    if found.only is not None:
        for name in ("fittings", "maintenance", "stoppages", listed_in, *also):
            if column in TABLE_BY_NAME[name].names:
                before = found.records.codes(name, column).take(~found.judged(name))
                known.update(before.occurring())
    listed = set(found.records.table(listed_in)[column].unique())
    for word in sorted(listed - known):
        likeness = nearest_word(word, built_in)
        if likeness and likeness in listed and word.casefold() != likeness:
            known.add(word)
    return frozenset(known - {""})


def _refuse_missing(
    found: Findings, table: Table, column: Column, missing: np.ndarray | pd.Series
) -> None:
    if column.required and missing.any():
        mend = _("fill it in ({means})", means=column.means)
        if column.choices and not column.open_choices:
            mend = _("write one of {choices}", choices=", ".join(column.choices))
        found.refuse(table.name, missing, column.name, _("is empty but every row needs it"), mend)


def _check_word(
    found: Findings,
    whole: Findings,
    table: Table,
    column: Column,
    coded: Coded,
) -> None:
    said = frozenset(coded.occurring()) - {""}
    known = frozenset(_BUILT_IN[column.name] if column.open_choices else column.choices)
    if column.open_choices and said - known:  # only then the whole log is looked through
        known = known_part_kinds(whole) if column.name == "part_kind" else known_tasks(whole)
    unknown = [word for word in coded.words if word in said and word not in known]
    for word in unknown:
        likeness = nearest_word(word, sorted(known))
        likeness = likeness or _meant_by_synonym(word, known, column.open_choices)
        if column.open_choices and not likeness:
            continue  # the workshop's own word; notices() tells of it
        if likeness:
            mend = _("did you mean {likeness}?", likeness=likeness)
        else:
            mend = _("write one of {choices}", choices=", ".join(column.choices))
        if column.open_choices:
            home = "parts" if column.name == "part_kind" else "routines"
            mend += _(
                " If it is one of its own, list it in “{home}” beside {likeness}.",
                home=home,
                likeness=likeness,
            )
        found.refuse(
            table.name,
            coded.is_word(word),
            column.name,
            _("is not a known word for “{column}”", column=column.name),
            mend,
        )


def _meant_by_synonym(word: str, known: frozenset[str], exact: bool) -> str:
    """The known word whose synonym was written, or nearly written where no own words are taken."""
    synonyms = {text: meant for text, meant in words.SYNONYMS.items() if meant in known}
    found = word.casefold() if exact else nearest_word(word, synonyms)
    return synonyms.get(found, "")


def _check_length(found: Findings, table: Table, column: Column, coded: Coded) -> None:
    too_long = coded.marked(np.array([len(word) > LONGEST_TEXT for word in coded.words], bool))
    found.refuse(
        table.name,
        too_long,
        column.name,
        _("is longer than {most} characters", most=LONGEST_TEXT),
        _("shorten it"),
    )


def below_least(column: Column, least: float) -> tuple[str, str]:
    """What is wrong with a number below the ``least`` of its column, and how to mend it."""
    if least == 0:
        return _("is below zero"), _("write it without the minus sign, or correct it")
    told = written(least)
    mend = _("write {least} or more, or leave it empty", least=told)
    mend = mend.removesuffix(", or leave it empty") if column.required else mend
    return _("is less than {least}{unit}", least=told, unit=_unit(column)), mend


def above_most(column: Column, most: float) -> tuple[str, str]:
    """What is wrong with a number above the ``most`` of its column, and how to mend it."""
    told = f"{written(most)}{_unit(column)}"
    return _("is more than {most}", most=told), _("write at most {most}", most=told)


def _unit(column: Column) -> str:
    return f" {_(column.unit)}" if column.unit else ""


def _check_number(found: Findings, table: Table, column: Column, values: pd.Series) -> None:
    numbers = values.to_numpy(dtype=float)
    endless = np.isinf(numbers)
    if endless.any():
        found.refuse(table.name, endless, column.name, _("is not a number"), _("write digits"))
    if column.at_least is not None:
        low = (numbers < column.at_least) & ~endless
        found.refuse(table.name, low, column.name, *below_least(column, column.at_least))
    if column.at_most is not None:
        high = (numbers > column.at_most) & ~endless
        found.refuse(table.name, high, column.name, *above_most(column, column.at_most))
    if column.kind == "whole":
        broken = np.isfinite(numbers) & (numbers != np.floor(numbers))
        found.refuse(
            table.name,
            broken,
            column.name,
            _("is not a whole number"),
            _("write whole pieces, e.g. 3"),
        )


def _check_day(found: Findings, table: Table, column: Column, values: pd.Series) -> None:
    found.refuse(
        table.name,
        values < EARLIEST,
        column.name,
        _("is before {year}", year=EARLIEST.year),
        _("correct the year"),
    )
    too_late = values >= LATEST
    found.refuse(
        table.name,
        too_late,
        column.name,
        _("is after {year}", year=LATEST.year - 1),
        _("correct the year"),
    )
    if found.today is not None and (table.name, column.name) not in _MAY_LIE_AHEAD:
        tomorrow = pd.Timestamp(found.today) + pd.Timedelta(days=1)
        found.refuse(
            table.name,
            (values >= tomorrow) & ~too_late,
            column.name,
            _("is in the future (today is {today})", today=found.today),
            _("write a day that has been, or enter it when it has happened"),
        )
