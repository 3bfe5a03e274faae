"""How a number is said: with its unit, rounded to what it is worth, the same words everywhere."""

from __future__ import annotations

import math
import re
from datetime import date

_SYMBOLS = {"EUR": "€", "USD": "$", "GBP": "£", "CHF": "CHF", "JPY": "¥", "PLN": "zł"}
_UNITS = (
    *(re.escape(symbol) for symbol in _SYMBOLS.values()),
    "%", "m²", *(rf"{unit}\b" for unit in ("h", "min", "minutes?", "hours?", "ml")),
    *(rf"{unit}\b" for unit in ("days?", "months?", "years?")),
    # The rest of a long number, and a date after its day.
    r"\d{3}\b", "(?:Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)\\b",
)  # fmt: skip
_BREAKS = re.compile(rf"(?<=[\d¼½¾]) (?={'|'.join(_UNITS)})")


HARDLY = 1.1  # a figure that moves by less than this factor hardly moves


def unbroken(text: str) -> str:
    r"""The text for a screen or paper: no line ends between a number and its unit.

    Plain text (logs, JSON, tables) keeps its ordinary spaces; this is for what is shown.

    >>> unbroken("35 % of 1 234 € by 4 Mar 2026, after 12 days").split(" ")
    ['35\xa0%', 'of', '1\xa0234\xa0€', 'by', '4\xa0Mar', '2026,', 'after', '12\xa0days']
    """
    return _BREAKS.sub("\N{NO-BREAK SPACE}", text)


def chance(probability: float) -> str:
    """A probability in words a person can act on.

    >>> chance(0.004), chance(0.126), chance(0.997)
    ('under 1 %', '13 %', 'over 99 %')
    """
    if not math.isfinite(probability):
        return "not known"
    if probability < 0.01:
        return "under 1 %"
    if probability > 0.99:
        return "over 99 %"
    return f"{100 * probability:.0f} %"


def chance_beside(probability: float, limit: float) -> str:
    """A probability told beside a limit: with a decimal where both would sound alike.

    >>> chance_beside(0.0204, 0.02), chance_beside(0.3, 0.02), chance_beside(0.02, 0.02)
    ('2.04 %', '30 %', '2 %')
    >>> chance_beside(0.024, 0.02), chance_beside(0.0504, 0.05)
    ('2.4 %', '5.04 %')
    """
    told = chance(probability)
    if told != chance(limit) or not math.isfinite(probability):
        return told
    for places in (1, 2, 3):
        if round(100 * probability, places) != round(100 * limit, places):
            return f"{100 * probability:.{places}f} %"
    return told


def money(amount: float, currency: str = "EUR") -> str:
    """An amount of money, whole units from 10 on, two decimals below.

    >>> money(1234.4), money(-8.5), money(310, "USD")
    ('1 234 €', '−8.50 €', '310 $')
    """
    if not math.isfinite(amount):
        return "not known"
    size = abs(amount)
    text = f"{size:,.0f}" if size >= 9.995 or size == 0 else f"{size:.2f}"
    sign = "−" if amount < 0 and float(text.replace(",", "")) else ""
    return f"{sign}{text.replace(',', ' ')} {_SYMBOLS.get(currency, currency)}"


def about_money(amount: float, currency: str = "EUR", *, digits: int = 2) -> str:
    """An estimated amount of money, with no more digits than an estimate has.

    >>> about_money(4483.2), about_money(-27.4), about_money(9.88), about_money(9054, digits=3)
    ('4 500 €', '−27 €', '9.90 €', '9 050 €')
    """
    if not math.isfinite(amount) or not amount:
        return money(amount, currency)
    return money(round(amount, digits - 1 - math.floor(math.log10(abs(amount)))), currency)


def figure(value: float, digits: int = 2) -> str:
    """A number with as many significant digits as asked for and no exponent.

    >>> figure(0.0312), figure(1234.0), figure(2.0)
    ('0.031', '1 200', '2')
    """
    if not math.isfinite(value):
        return "no limit" if value > 0 else "not known"
    if value == 0:
        return "0"
    places = digits - 1 - math.floor(math.log10(abs(value)))
    rounded = round(value, places)
    return (
        f"{rounded:,.{max(places, 0)}f}".rstrip("0").rstrip(".").replace(",", " ")
        if places > 0
        else f"{rounded:,.0f}".replace(",", " ")
    )


def days(value: float) -> str:
    """A time span in days, in months once days say too much.

    >>> days(1), days(45.2), days(400), days(2000)
    ('1 day', '45 days', '13 months', '5.5 years')
    """
    if not math.isfinite(value):
        return "no end in sight" if value > 0 else "not known"
    whole = round(value)
    if whole < 120:
        return f"{whole} day" if whole == 1 else f"{whole} days"
    if value < 1095:
        return f"{value / 30.4375:.0f} months"
    return f"{value / 365.25:.1f} years"


def working_time(minutes: float) -> str:
    """How long work takes: minutes up to an hour, then quarters of an hour, then whole hours.

    >>> working_time(25), working_time(105), working_time(59.9), working_time(1000)
    ('25 min', '1¾ h', '1 h', '17 h')
    """
    if round(minutes) < 60:
        return f"{minutes:.0f} min"
    if minutes >= 600:
        return f"{figure(minutes / 60)} h"
    whole, quarters = divmod(round(minutes / 15), 4)
    return f"{whole}{('', '¼', '½', '¾')[quarters]} h"


def area(square_metres: float) -> str:
    """A printed area, to a tenth.

    >>> area(5003.2), area(80)
    ('5 003.2 m²', '80.0 m²')
    """
    return f"{square_metres:,.1f} m²".replace(",", " ")


def day_range(low: float, high: float) -> str:
    """Two ends of a time span.

    >>> day_range(12, 90), day_range(100, 700)
    ('12 to 90 days', '100 days to 23 months')
    """
    first, last = days(low), days(high)
    if first.split()[-1].rstrip("s") == last.split()[-1].rstrip("s"):
        return f"{first.split()[0]} to {last}"
    return f"{first} to {last}"


def day(value: date | None, *, year: bool = True) -> str:
    """A date as people say it, the month in letters so that it cannot be read both ways.

    >>> day(date(2026, 3, 4)), day(date(2026, 3, 4), year=False), day(None)
    ('4 Mar 2026', '4 Mar', 'not known')
    """
    if value is None or value != value:
        return "not known"
    text = f"{value.day} {value:%b}"
    return f"{text} {value.year}" if year else text


def count(number: float, singular: str, plural: str = "") -> str:
    """A count with its noun.

    >>> count(1, "failure"), count(3, "failure"), count(0, "spare"), count(2702, "record")
    ('1 failure', '3 failures', 'no spares', '2 702 records')
    """
    noun = singular if number == 1 else (plural or f"{singular}s")
    return f"{'no' if number == 0 else f'{number:,.0f}'.replace(',', ' ')} {noun}"


def evidence(
    failures: float,
    usual: float,
    halved: float,
    doubled: float,
    unit: str,
    *,
    guessed: bool = False,
) -> str:
    """How much stands behind a figure, and how it moves with the guess of the typical life.

    ``usual, halved, doubled``: the figure as it is, and had half or twice the life been guessed;
    ``unit`` follows it. ``guessed``: nobody in the workshop set the typical life; it is the
    trade's.

    >>> evidence(0, 100, 60, 180, "days")
    'no failure so far; with half your guess of a typical life 60, with double 180 days'
    >>> evidence(400, 100, 99, 101, "days")
    '400 failures so far; your guess of a typical life no longer matters'
    >>> evidence(1, 2.0, 1.2, 3.1, "pieces", guessed=True)
    "1 failure so far; with half the trade's guess of a typical life 1.2, with double 3.1 pieces"
    """
    seen = "no failure" if failures == 0 else count(failures, "failure")
    whose = "the trade's guess" if guessed else "your guess"
    low, high = sorted((halved, doubled))
    if low >= usual / HARDLY and high <= usual * HARDLY:
        return f"{seen} so far; {whose} of a typical life no longer matters"
    return (
        f"{seen} so far; with half {whose} of a typical life {figure(halved)}, with double "
        f"{figure(doubled)} {unit}"
    )
