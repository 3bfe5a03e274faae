"""Names of months and weekdays as people write them, in the languages that sheets come in.

The names are those of the Unicode locale data (CLDR), as Babel keeps them; read when the first
name is asked about.
"""

from __future__ import annotations

import functools
import re
import unicodedata
from collections.abc import Iterator

# The languages of the words for parts and tasks; Austria and Peru write some months their own way.
# More languages would read "list" (Polish) and "out" (Portuguese) as months.
_LANGUAGES = ("en", "de", "es", "fr", "it", "de_AT", "es_PE")
# Short forms that people write and no list has.
_MORE_MONTHS = {
    "genn": 1, "febbr": 2, "feber": 2, "mrz": 3, "magg": 5, "ag": 8, "sept": 9, "sett": 9,
}  # fmt: skip
_MORE_WEEKDAYS = frozenset({"tues", "weds", "wednes", "thur", "thurs", "satur", "sonnabend"})


@functools.lru_cache(maxsize=100_000)
def bare(text: str) -> str:
    """Lower case without accents; everything but letters and digits as single spaces.

    >>> bare("Dämpfer_W1: geschüttelt!")
    'dampfer w1 geschuttelt'
    """
    flat = unicodedata.normalize("NFKD", text.casefold().replace("²", "2"))
    letters = "".join(sign for sign in flat if not unicodedata.combining(sign))
    return re.sub(r"[\W_]+", " ", letters).strip()


def month_named(word: str) -> int | None:
    """The month of that name, 1 to 12; None for any other word.

    >>> month_named("März"), month_named("août"), month_named("Sept."), month_named("Left")
    (3, 8, 9, None)
    """
    return _months().get(bare(word))


def is_weekday(word: str) -> bool:
    """True for the name of a weekday.

    >>> is_weekday("Di"), is_weekday("lunedì"), is_weekday("Thurs"), is_weekday("Left")
    (True, True, True, False)
    """
    return bare(word) in _weekdays()


def without_weekday(text: str) -> str:
    """A day without the weekday written before it.

    >>> without_weekday("lundi 07/09/2026"), without_weekday("Mo., 2.11.2026")
    ('07/09/2026', '2.11.2026')
    """
    match = re.match(r"([^\W\d_]+)\.?,?\s+(?=\d)", text)
    if match is None or not is_weekday(match[1]):
        return text
    day = text[match.end() :]
    is_month = month_named(match[1]) and not re.match(r"\d{1,2}[./-]\d", day)  # Mar 3, 2026
    return text if is_month else day


@functools.cache
def _months() -> dict[str, int]:
    names = dict(_MORE_MONTHS)
    for language in _LANGUAGES:
        for month, name in _names(language, "months", ("wide", "abbreviated")):
            names.setdefault(name, month)
    return names


@functools.cache
def _weekdays() -> frozenset[str]:
    widths = ("wide", "abbreviated", "short")
    return _MORE_WEEKDAYS | {
        name for language in _LANGUAGES for _, name in _names(language, "days", widths)
    }


def _names(language: str, what: str, widths: tuple[str, ...]) -> Iterator[tuple[int, str]]:
    """Number and plain name of each month or weekday; an umlaut also as two letters."""
    from babel import Locale  # its data take a moment to load: only when a name is asked about

    by_use = getattr(Locale.parse(language), what)
    for use in ("format", "stand-alone"):
        for width in widths:
            for number, name in by_use[use].get(width, {}).items():
                yield number, bare(name)
                if "ä" in name:
                    yield number, bare(name.replace("ä", "ae"))
