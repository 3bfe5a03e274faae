"""A setting as a person types it, brought into the contract's writing."""

from __future__ import annotations

from tracker.errors import RecordError
from tracker.intake.cells.days import read_days
from tracker.intake.cells.numbers import COMMA, POINT, read_numbers
from tracker.workshop import vocabulary as words
from tracker.workshop.checks.rows import LEAST_BARE_PERCENT, setting_problem
from tracker.workshop.declarations import Column
from tracker.workshop.refusal import written

SHARES = ("service_level", "risk_limit", "holding_rate_per_year")


def setting_label(name: str) -> str:
    """The setting in the words of the screen: ``labour_per_hour`` → ``Labour per hour``.

    The unit stands behind it where the name does not say it.

    >>> setting_label("labour_per_hour"), setting_label("hours_per_day")
    ('Labour per hour', 'Hours per day')
    """
    setting = words.SETTINGS.get(name)
    text = name.replace("_", " ").capitalize()
    unit = setting.unit if setting else ""
    return text if not unit or unit in text.lower() else f"{text} ({unit})"


def setting_text(name: str, typed: str) -> str:
    """What is kept for a setting that was typed so; "" for one left empty.

    Numbers are read as in spreadsheets (decimal comma or point, a unit beside them), shares in
    percent or as a fraction, days in any writing that reads one way only.

    Raises RecordError with what was written, where, and what would be right.

    >>> setting_text("service_level", "95 %"), setting_text("labour_per_hour", "27,50 €")
    ('0.95', '27.5')
    >>> setting_text("log_began_on", "31.12.2025")
    '2025-12-31'
    """
    text = typed.strip()
    setting = words.SETTINGS.get(name)
    if not text or setting is None or setting.kind == "text":
        return text
    kept = _day(name, text) if setting.kind == "day" else _number(name, text)
    wrong = setting_problem(name, kept)
    if wrong:
        raise _refused(name, text, *wrong)
    return kept


def _day(name: str, text: str) -> str:
    reading = read_days([text], name)
    for problem in reading.problems.values():
        raise _refused(name, text, problem.problem, problem.mend)
    if reading.question is not None:
        both = reading.question.examples[0].partition(" is ")[2]
        raise _refused(name, text, "reads both ways", f"write {both}")
    return str(reading.values[0])[:10]


def _number(name: str, text: str) -> str:
    share = name in SHARES
    percent = share and text.endswith("%")
    bare = text.removesuffix("%").strip() if percent else text
    unit = {"days": "days", "hours": "h"}.get(words.SETTINGS[name].unit, "")
    column = Column(name, "number" if unit or share else "money", "", unit=unit)
    reading = read_numbers([bare], column)
    for problem in reading.problems.values():
        example = words.SETTINGS[name].default
        raise _refused(name, text, problem.problem, f"write digits only, e.g. {example}")
    if reading.question is not None:
        ways = [
            written(float(read_numbers([bare], column, answers={name: way}).values[0]))
            for way in (COMMA, POINT)
        ]
        raise _refused(name, text, "reads both ways", f"write {ways[0]} or {ways[1]} as you mean")
    number = float(reading.values[0])
    if percent or (name == "service_level" and LEAST_BARE_PERCENT <= number < 100):
        number = round(number / 100, 9)
    return written(number)


def _refused(name: str, text: str, problem: str, mend: str) -> RecordError:
    return RecordError(f"{setting_label(name)}: “{text}” {problem}; {mend}.")
