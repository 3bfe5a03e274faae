"""How a number is said: with its unit, rounded to what it is worth, the same words everywhere."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from datetime import date, datetime
from decimal import ROUND_HALF_UP, Decimal
from functools import cache

from babel import Locale
from babel.dates import format_date, format_skeleton, get_month_names
from babel.numbers import (
    format_currency,
    format_decimal,
    format_percent,
    get_currency_symbol,
)

from tracker.language import N_, _, ngettext, speaking, voice  # noqa: F401 - examples

_SYMBOLS = {"EUR": "€", "USD": "$", "GBP": "£", "CHF": "CHF", "JPY": "¥", "PLN": "zł"}
_UNITS = (
    *(re.escape(symbol) for symbol in _SYMBOLS.values()),
    "%", "m²", *(rf"{unit}\b" for unit in ("h", "min", "minutes?", "hours?", "ml")),
    *(rf"{unit}\b" for unit in ("days?", "months?", "years?", "minutos?", "horas?")),
    *(rf"{unit}\b" for unit in ("días?", "mes(?:es)?", "años?")),
    r"\d{3}\b",  # the rest of a long number
)  # fmt: skip


# Which failures were counted.
OF_TYPE = N_("of its type, accidents left out")
OF_KIND = N_("of all types, accidents left out")
ALL_OF_KIND = N_("of all types, accidents included")
HARDLY = 1.1  # a figure that moves by less than this factor hardly moves


def unbroken(text: str) -> str:
    r"""The text for a screen or paper: no line ends between a number and its unit.

    Plain text (logs, JSON, tables) keeps its ordinary spaces; this is for what is shown.

    >>> unbroken("35 % of 1 234 € by 4 Mar 2026, after 12 days").split(" ")
    ['35\xa0%', 'of', '1\xa0234\xa0€', 'by', '4\xa0Mar', '2026,', 'after', '12\xa0days']
    """
    return _breaks(voice().days).sub("\N{NO-BREAK SPACE}", text)


@cache
def _breaks(locale: Locale) -> re.Pattern[str]:
    """Where no line may end: before a unit, within a long number, within a day and its month."""
    months = [
        rf"{re.escape(name)}\b"
        for name in get_month_names("abbreviated", "format", locale).values()
    ]
    return re.compile(rf"(?<=[\d¼½¾]) (?={'|'.join((*_UNITS, *months))})")


def _spaced(text: str) -> str:
    """Babel's text with ordinary spaces, which ``unbroken`` joins, and a true minus sign."""
    return re.sub("[\N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}]", " ", text).replace("-", "−")


def half_up(value: float, places: int = 0) -> float:
    """The value to so many decimals, halves away from zero, as people round what they see written.

    >>> half_up(42.5), half_up(-157.5), half_up(2.675, 2), half_up(1250, -2)
    (43.0, -158.0, 2.68, 1300.0)
    """
    if not math.isfinite(value):
        return value
    exact = Decimal(repr(float(value)))
    return float(exact.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP))


def decimal(value: float, places: int = 0) -> str:
    """A number with that many decimals, as the locale in use writes it.

    >>> decimal(1234.5, 1)
    '1 234.5'
    >>> with speaking("es"):
    ...     decimal(1234.5, 1)
    '1.234,5'
    """
    rounded = half_up(value, places)
    if voice().is_neutral:
        return f"{rounded:,.{places}f}".replace(",", " ")
    pattern = f"#,##0.{'0' * places}" if places else "#,##0"
    return _spaced(format_decimal(rounded, pattern, voice().numbers))


def percent(share: float, places: int = 0) -> str:
    """A share in per cent.

    >>> percent(0.126), percent(0.0204, 2)
    ('13 %', '2.04 %')
    """
    if voice().is_neutral:
        return f"{100 * share:.{places}f} %"
    usual = voice().numbers.percent_formats[None].pattern
    pattern = usual.replace("##0", f"##0.{'0' * places}") if places else usual
    return _spaced(format_percent(round(share, places + 2), pattern, voice().numbers))


def chance(probability: float) -> str:
    """A probability in words a person can act on.

    >>> chance(0.004), chance(0.126), chance(0.997)
    ('under 1 %', '13 %', 'over 99 %')
    """
    if not math.isfinite(probability):
        return _("not known")
    if probability < 0.01:
        return _("under {share}", share=percent(0.01))
    if probability > 0.99:
        return _("over {share}", share=percent(0.99))
    return percent(probability)


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
            return percent(probability, places)
    return told


def money(amount: float, currency: str = "EUR", *, cents: bool = False) -> str:
    """An amount of money, whole units from 10 on, two decimals below or where ``cents`` are asked.

    >>> money(1234.5), money(-8.5), money(310, "USD"), money(42.5, cents=True)
    ('1 235 €', '−8.50 €', '310 $', '42.50 €')
    >>> with speaking("es", "es_MX"):
    ...     money(1234.4, "MXN")
    '$1,234'
    """
    if not math.isfinite(amount):
        return _("not known")
    size = abs(amount)
    places = 2 if cents or 0 < size < 9.995 else 0
    rounded = half_up(amount, places)
    if voice().is_neutral:
        sign = "−" if rounded < 0 else ""
        return f"{sign}{decimal(abs(rounded), places)} {currency_sign(currency)}"
    usual = voice().numbers.currency_formats["standard"].pattern
    pattern = usual if places else usual.replace("0.00", "0")
    written = format_currency(
        rounded + 0.0, currency, pattern, voice().numbers, currency_digits=False
    )
    return _spaced(written)


def currency_sign(currency: str) -> str:
    """What a currency is written as beside its amounts.

    >>> currency_sign("EUR"), currency_sign("SEK")
    ('€', 'SEK')
    >>> with speaking("es", "es_MX"):
    ...     currency_sign("MXN")
    '$'
    """
    if voice().is_neutral:
        return _SYMBOLS.get(currency, currency)
    sign: str = get_currency_symbol(currency, voice().numbers)
    return sign


def about_money(amount: float, currency: str = "EUR", *, digits: int = 2) -> str:
    """An estimated amount of money, with no more digits than an estimate has.

    >>> about_money(4483.2), about_money(-27.4), about_money(9.88), about_money(9054, digits=3)
    ('4 500 €', '−27 €', '9.90 €', '9 050 €')
    """
    if not math.isfinite(amount) or not amount:
        return money(amount, currency)
    places = digits - 1 - math.floor(math.log10(abs(amount)))
    return money(half_up(amount, places), currency)


def within(
    estimate: float, low: float, high: float, say: Callable[[float], str], *, beside: str = ""
) -> str:
    """An estimate with the range of 8 in 10 cases, all three written by one ``say``: rounded alike,
    none stands outside of limits that hold it. A mean that lies outside of them says so.
    ``beside``: what else stands in the brackets. Limits that read alike are left out.

    >>> within(1796, 1774, 2804, about_money)
    '1 800 € (1 800 € to 2 800 € in 8 of 10 cases)'
    >>> within(1796, 1796, 1796, money), within(9, 0, 4, figure)
    ('1 796 €', '9 (0 to 4 in 8 of 10 cases; few large cases lift the mean above that)')
    """
    told, first, last = say(estimate), say(low), say(high)
    notes = []
    if first != last:
        notes.append(_("{low} to {high} in 8 of 10 cases", low=first, high=last))
        if estimate > high and told != last:
            notes.append(_("few large cases lift the mean above that"))
        if estimate < low and told != first:
            notes.append(_("few small cases pull the mean below that"))
    notes += [beside] if beside else []
    if not notes:
        return told
    return _("{estimate} ({notes})", estimate=told, notes="; ".join(notes))


def figure(value: float, digits: int = 2) -> str:
    """A number with as many significant digits as asked for and no exponent.

    >>> figure(0.0312), figure(1234.0), figure(2.0)
    ('0.031', '1 200', '2')
    """
    if not math.isfinite(value):
        return _("no limit") if value > 0 else _("not known")
    if value == 0:
        return "0"
    places = digits - 1 - math.floor(math.log10(abs(value)))
    rounded = half_up(value, places)
    if places <= 0:
        return decimal(rounded)
    needed = len(f"{rounded:.{places}f}".rstrip("0").partition(".")[2])
    return decimal(rounded, needed)


def days(value: float) -> str:
    """A time span in days, in months once days say too much.

    >>> days(1), days(45.2), days(400), days(2000)
    ('1 day', '45 days', '13 months', '5.5 years')
    """
    if not math.isfinite(value):
        return _("no end in sight") if value > 0 else _("not known")
    span, unit = _span(value)
    if unit == "day":
        return ngettext("{span} day", "{span} days", round(value), span=span)
    if unit == "month":
        return _("{span} months", span=span)
    return _("{span} years", span=span)


def _span(value: float) -> tuple[str, str]:
    """The number of a time span and the unit it is told in."""
    if round(value) < 120:
        return f"{round(value)}", "day"
    if value < 1095:
        return f"{value / 30.4375:.0f}", "month"
    return decimal(value / 365.25, 1), "year"


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
    return f"{decimal(square_metres, 1)} m²"


def day_range(low: float, high: float) -> str:
    """Two ends of a time span.

    >>> day_range(12, 90), day_range(100, 700)
    ('12 to 90 days', '100 days to 23 months')
    """
    first = days(low)
    if math.isfinite(low) and math.isfinite(high) and _span(low)[1] == _span(high)[1]:
        first = _span(low)[0]
    return _("{low} to {high}", low=first, high=days(high))


def day(value: date | None, *, year: bool = True) -> str:
    """A date as people say it, the month in letters so that it cannot be read both ways.

    >>> day(date(2026, 3, 4)), day(date(2026, 3, 4), year=False), day(None)
    ('4 Mar 2026', '4 Mar', 'not known')
    >>> with speaking("es"):
    ...     day(date(2026, 3, 4))
    '4 mar 2026'
    """
    if value is None or value != value:
        return _("not known")
    plain = date(value.year, value.month, value.day)
    if voice().is_neutral or voice().days.language != voice().numbers.language:
        return format_date(plain, "d MMM y" if year else "d MMM", voice().days)
    return _spaced(format_skeleton("yMMMd" if year else "MMMd", plain, locale=voice().days))


def moment(when: datetime) -> str:
    """A day and the time by its clock.

    >>> moment(datetime(2026, 10, 5, 7, 30))
    '5 Oct 2026 07:30'
    """
    return f"{day(when.date())} {when:%H:%M}"


def count(number: float, singular: str, plural: str = "") -> str:
    """A count with its noun.

    >>> count(1, "failure"), count(3, "failure"), count(0, "spare"), count(2702, "record")
    ('1 failure', '3 failures', 'no spares', '2 702 records')
    """
    noun = ngettext(singular, plural or f"{singular}s", number)
    if number == 0:
        return _("no {things}", things=noun)
    return f"{decimal(number)} {noun}"


def evidence(
    failures: float,
    usual: float,
    halved: float,
    doubled: float,
    unit: str,
    *,
    which: str = "",
    guessed: bool = False,
) -> str:
    """How much stands behind a figure, and how it moves with the guess of the typical life.

    ``usual, halved, doubled``: the figure as it is, and had half or twice the life been guessed;
    ``unit`` follows it. ``which`` failures were counted, for counts differ. ``guessed``: nobody in
    the workshop set the typical life; it is the trade's.

    >>> evidence(0, 100, 60, 180, "days")
    'no failure so far. If your starting guess of its life were half, this would be 60; if double, \
180 days'
    >>> evidence(400, 100, 99, 101, "days", which=OF_TYPE)
    '400 failures (of its type, accidents left out) so far; your starting guess no longer matters'
    >>> evidence(1, 2.0, 1.2, 3.1, "pieces", guessed=True)
    "1 failure so far. If the trade's starting guess of its life were half, this would be 1.2; \
if double, 3.1 pieces"
    """
    seen = _("no failure") if failures == 0 else count(failures, "failure", "failures")
    seen = _("{failures} ({which})", failures=seen, which=_(which)) if which and failures else seen
    low, high = sorted((halved, doubled))
    if low >= usual / HARDLY and high <= usual * HARDLY:
        if guessed:
            return _("{seen} so far; the trade's starting guess no longer matters", seen=seen)
        return _("{seen} so far; your starting guess no longer matters", seen=seen)
    text = (
        N_(
            "{seen} so far. If the trade's starting guess of its life were half, this would be "
            "{half}; if double, {double} {unit}"
        )
        if guessed
        else N_(
            "{seen} so far. If your starting guess of its life were half, this would be {half}; "
            "if double, {double} {unit}"
        )
    )
    return _(text, seen=seen, half=figure(halved), double=figure(doubled), unit=_(unit))
