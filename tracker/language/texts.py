"""What is this text in the language in use?

Every text that a person reads is written in English where it is said and goes through one of
these functions, whole sentences with named places, so that Babel finds it and a translator can
move its words:

- ``_("{printer} stands since {day}", printer=…, day=…)``
- ``ngettext("{count} part is due", "{count} parts are due", n, count=n)``: one or many
- ``N_("Printhead")``: a text said later (a constant); ``_(word)`` says it.
"""

from __future__ import annotations

import gettext
import re
from functools import cache
from io import BytesIO
from pathlib import Path

from tracker.language.voice import ENGLISH, voice

# How a language counts; the CLDR's third form for Spanish millions is of no use here.
PLURALS = {"es": "nplurals=2; plural=(n != 1);"}
HERE = Path(__file__).parent
_JOINER = "\N{WORD JOINER}"
_STARS = re.compile(r"(?<=\*)(?=\*)")


def catalogues(language: str) -> list[Path]:
    """The catalogue files of a language, one per room."""
    return sorted((HERE / language).glob("*.po"))


@cache
def _translations(language: str) -> gettext.NullTranslations:
    """All catalogues of a language as one; a text that none has is said in English."""
    if language == ENGLISH:
        return gettext.NullTranslations()
    from babel.messages.catalog import Catalog
    from babel.messages.mofile import write_mo
    from babel.messages.pofile import read_po

    whole = Catalog(locale=language)
    whole.mime_headers = [("Plural-Forms", PLURALS[language])]
    for path in catalogues(language):
        with path.open("rb") as file:
            for message in read_po(file, locale=language):
                if message.id and message.string and not message.fuzzy:
                    whole.add(message.id, message.string)
    compiled = BytesIO()
    write_mo(compiled, whole)
    compiled.seek(0)
    return gettext.GNUTranslations(compiled)


def N_(text: str) -> str:  # noqa: N802 - gettext's name for it
    """The text as it is, marked as one to translate: it is said later, by ``_``."""
    return text


def _(text: str, /, **places: object) -> str:
    """The text in the language in use, its places filled in.

    >>> _("{printer} stands since {day}", printer="P1", day="4 Mar")
    'P1 stands since 4 Mar'

    Without places nothing is filled in, so that words people wrote may hold braces. Two stars make
    words of the text itself bold, never what is filled in (``unmarked``).
    """
    if not text:
        return text
    said = _translations(voice().language).gettext(text)
    return _filled(said, places)


def ngettext(one: str, many: str, number: float, /, **places: object) -> str:
    """One text or the other, as the language in use counts.

    >>> ngettext("{count} part is due", "{count} parts are due", 3, count=3)
    '3 parts are due'
    """
    # A share of one counts as many; gettext's rules are for whole numbers.
    whole = int(number) if float(number).is_integer() else 2
    said = _translations(voice().language).ngettext(one, many, abs(whole))
    return _filled(said, places)


def unmarked(words: str) -> str:
    """Words from outside, in which two stars stay two stars where a sentence makes words bold.

    An invisible joiner (U+2060, Unicode 16.0, section 23.2) keeps them apart.

    >>> unmarked("**x**").replace(_JOINER, "|"), unmarked("3 * 4")
    ('*|*x*|*', '3 * 4')
    """
    return _STARS.sub(_JOINER, words) if "**" in words else words


def _filled(said: str, places: dict[str, object]) -> str:
    if not places:
        return said
    return said.format(
        **{
            name: unmarked(place) if isinstance(place, str) else place
            for name, place in places.items()
        }
    )


def counted(number: int, one: str, many: str) -> str:
    """A count and its noun, for texts below the room that writes numbers.

    >>> counted(1, "mistake", "mistakes"), counted(3, "mistake", "mistakes")
    ('1 mistake', '3 mistakes')
    """
    return f"{number} {ngettext(one, many, number)}"
