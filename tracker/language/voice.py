"""In which language are texts said, and how are numbers and days written?"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

from babel import Locale, UnknownLocaleError
from babel.localedata import locale_identifiers
from babel.numbers import get_decimal_symbol

# Each language by its own name, as people look for it in a list.
LANGUAGES = {"en": "English", "es": "Español"}
ENGLISH = "en"


@dataclass(frozen=True)
class Voice:
    """The language of the texts and the locale of the numbers.

    ``locale`` is a CLDR name such as ``es_MX``. English without a locale writes numbers as the
    international standards do (ISO 80000-1: a space between thousands; the month in letters).
    """

    language: str = ENGLISH
    locale: str = ""

    @property
    def is_neutral(self) -> bool:
        """True where no country's habit was asked for: numbers by the international standard."""
        return not self.locale and self.language == ENGLISH

    @cached_property
    def numbers(self) -> Locale:
        """How numbers and money are written."""
        return _locale(self.locale) or Locale.parse(self.language)

    @cached_property
    def days(self) -> Locale:
        """How days are written: as in that country where it speaks the language of the texts."""
        if self.numbers.language == self.language:
            return self.numbers
        return Locale.parse(self.language)


T = TypeVar("T")
_VOICE: ContextVar[Voice] = ContextVar("voice", default=Voice())  # noqa: B039 - it is frozen


def voice() -> Voice:
    """The language and locale in use; each thread and task has its own."""
    return _VOICE.get()


def decimal_sign() -> str:
    """The decimal sign of the numbers on screen: "." or ",".

    >>> decimal_sign()
    '.'
    """
    by_comma = not voice().is_neutral and get_decimal_symbol(voice().numbers) == ","
    return "," if by_comma else "."


@contextmanager
def speaking(language: str, locale: str = "") -> Iterator[None]:
    """Say all texts in that language and write numbers by that locale, as long as this lasts.

    >>> with speaking("es", "es_MX"):
    ...     voice().language
    'es'
    >>> voice().language
    'en'
    """
    token = _VOICE.set(voice())
    try:
        adopt(language, locale)
        yield
    finally:
        _VOICE.reset(token)


def adopt(language: str, locale: str = "") -> None:
    """Go on in that language, until the end of the ``speaking`` that this stands in."""
    wanted = _locale(locale)
    _VOICE.set(Voice(language_of(language) or ENGLISH, str(wanted) if wanted else ""))


def as_spoken(make: Callable[[], T]) -> Callable[[], T]:
    """The same function, to be called later or in another thread, in the language in use now.

    A file that is made when it is asked for is made outside the page's run.

    >>> with speaking("es"):
    ...     later = as_spoken(lambda: voice().language)
    >>> voice().language, later()
    ('en', 'es')
    """
    now = voice()

    def made() -> T:
        with speaking(now.language, now.locale):
            return make()

    return made


def locale_for(language: str, tag: str) -> str:
    """The locale of a browser's tag, where it is the country of another language than English.

    English keeps the international way of writing numbers unless the workshop sets a locale.

    >>> locale_for("es", "es-MX"), locale_for("en", "en-US"), locale_for("es", "de-DE")
    ('es_MX', '', '')
    """
    found = _locale(tag)
    own = found is not None and language != ENGLISH and found.language == language
    return str(found) if own else ""


def language_of(tag: str) -> str:
    """The language of ours that a browser's or system's tag names; "" for one we do not speak.

    >>> language_of("es-MX"), language_of("en_GB.UTF-8"), language_of("xx")
    ('es', 'en', '')
    """
    found = tag.replace("_", "-").split(".")[0].split("-")[0].casefold()
    return found if found in LANGUAGES else ""


def _locale(name: str) -> Locale | None:
    """The locale of that name, None where the CLDR knows none."""
    if not name.strip():
        return None
    try:
        return Locale.parse(name.strip().split(".")[0].replace("-", "_"))
    except (UnknownLocaleError, ValueError):
        return None


def is_locale(name: str) -> bool:
    """True for a name that numbers can be written by.

    >>> is_locale("es_MX"), is_locale("de-AT"), is_locale("nowhere")
    (True, True, False)
    """
    return _locale(name) is not None


def locale_names() -> dict[str, str]:
    """The countries of our languages by whose habit numbers can be written: how the locale is
    called, and how a person who speaks the language in use calls it; by that name.

    >>> [locale_names()[locale] for locale in ("es_MX", "en_GB")]
    ['Spanish (Mexico)', 'English (United Kingdom)']
    """
    found = [Locale.parse(name) for name in locale_identifiers()]
    spoken = voice().language
    named = {
        str(one): one.get_display_name(spoken) or str(one)
        for one in found
        if one.language in LANGUAGES and one.territory and not one.script and not one.variant
    }
    return dict(sorted(named.items(), key=lambda item: item[1].casefold()))
