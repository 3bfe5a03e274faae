"""Words typed on the command line to values, or one line that says what to write instead."""

from __future__ import annotations

import argparse
import math
import re
from datetime import date, datetime

from tracker.language import _, exact
from tracker.workshop.limits import FIRST_YEAR, LAST_YEAR, PRICE

_TWO_YEARS = 731  # a calendar of more has an event for each task of each day
_LAST_ASKED = LAST_YEAR + 1  # from behind all days that can be written down
# Refused values; argparse shows the text of these, while of a ValueError it shows none.
_Unfit = argparse.ArgumentTypeError


def day(text: str) -> date:
    """A day written as 2026-10-31."""
    try:
        return _of_our_time(datetime.strptime(text, "%Y-%m-%d").date(), text)
    except ValueError:
        raise _Unfit(_("{text} is not a day; write it as 2026-10-31.", text=repr(text))) from None


def month(text: str) -> date:
    """A month written as 2026-10; its first day."""
    try:
        return _of_our_time(datetime.strptime(text, "%Y-%m").date(), text)
    except ValueError:
        raise _Unfit(_("{text} is not a month; write it as 2026-10.", text=repr(text))) from None


def _of_our_time(day: date, text: str) -> date:
    if not FIRST_YEAR <= day.year <= _LAST_ASKED:
        raise _Unfit(
            _(
                "{text} is not within the years {first} to {last}; correct the year.",
                text=repr(text),
                first=FIRST_YEAR,
                last=_LAST_ASKED,
            )
        )
    return day


def days(text: str) -> float:
    """A number of days above 0."""
    number = _number(text)
    if not 0 < number <= 36_500:
        raise _Unfit(_("{text} is not a number of days between 0 and 36500.", text=repr(text)))
    return number


def days_ahead(text: str) -> int:
    """Whole days that a calendar looks ahead."""
    number = _number(text)
    if not (1 <= number <= _TWO_YEARS and number.is_integer()):
        raise _Unfit(
            _(
                "{text} is no whole number of days from 1 to {most}.",
                text=repr(text),
                most=_TWO_YEARS,
            )
        )
    return int(number)


def chance(text: str) -> float:
    """A chance between 0 and 1, such as 0.95."""
    return _within_0_and_1(text, 0.95)


def risk(text: str) -> float:
    """A risk between 0 and 1, such as 0.05."""
    return _within_0_and_1(text, 0.05)


def _within_0_and_1(text: str, such_as: float) -> float:
    number = _number(text)
    if not 0 < number < 1:
        raise _Unfit(
            _(
                "{text}: write a chance between 0 and 1, such as {example}.",
                text=repr(text),
                example=exact(such_as),
            )
        )
    return number


def amount(text: str) -> float:
    """An amount of money or days, 0 or more."""
    number = _number(text)
    if number < 0:
        raise _Unfit(_("{text} is below 0; write an amount of 0 or more.", text=repr(text)))
    if number > PRICE.at_most:
        most = f"{PRICE.at_most:.0f}"
        raise _Unfit(_("{text} is more than {most}; correct it.", text=repr(text), most=most))
    return number


def count_of_printers(text: str) -> int:
    """A whole number of printers."""
    number = _number(text)
    if number < 0 or number != int(number) or number > 10_000:
        raise _Unfit(
            _("{text} is no count of printers; write a whole number such as 2.", text=repr(text))
        )
    return int(number)


def task_interval(text: str) -> tuple[str, float]:
    """A task with the days between, written as shake_dampers=7."""
    task, equals, every = text.partition("=")
    if not equals:
        raise _Unfit(_("{text} is no task with its days; write shake_dampers=7.", text=repr(text)))
    return task.strip(), days(every)


def _number(text: str) -> float:
    """A number with a decimal point or comma; never one whose thousands would be taken for it."""
    if re.fullmatch(r"[1-9]\d{0,2}([.,]\d{3})+", text):
        plain = re.sub(r"[.,]", "", text)
        raise _Unfit(
            _(
                "{text} reads two ways; write it without {mark}, such as {plain}.",
                text=repr(text),
                mark=repr(text[-4]),
                plain=plain,
            )
        )
    try:
        number = float(text.replace(",", ".", 1) if "." not in text else text)
    except ValueError:
        raise _Unfit(_("{text} is not a number; write one such as 30.", text=repr(text))) from None
    if not math.isfinite(number):
        raise _Unfit(
            _("{text} is not a number of use here; write one such as 30.", text=repr(text))
        )
    return number
