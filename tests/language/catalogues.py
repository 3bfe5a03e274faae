"""Bring the catalogues up to date with the texts of the source.

Run ``python -m tests.language.catalogues`` after texts were added, changed or deleted: new ones
come in without a translation, those that nobody says any more go, and what is missing is listed.
``python -m tests.language.catalogues WORDS.json`` also fills translations in: an object that maps
a text to its translation, or to the list of its plural forms.

A text belongs to the catalogue of the leftmost room that says it.
"""

from __future__ import annotations

import ast
import json
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from babel.messages.catalog import Catalog, Message
from babel.messages.pofile import read_po, write_po

from tests.language.scan import called
from tests.test_layers import ROOMS
from tracker.language import LANGUAGES
from tracker.language.texts import PLURALS, catalogues

ROOT = Path(__file__).parent.parent.parent
LANGUAGE_ROOM = ROOT / "tracker" / "language"
KEYWORDS = {"_": (1,), "N_": (1,), "ngettext": (1, 2), "counted": (2, 3), "count": (2, 3)}
# The same texts give the same file: no day, no person, no line numbers.
_HEADER = """msgid ""
msgstr ""
"Language: {language}\\n"
"Content-Type: text/plain; charset=utf-8\\n"
"Content-Transfer-Encoding: 8bit\\n"
"Plural-Forms: {plural}\\n"

"""
_ORDER = (*ROOMS, "app", "pages")
Text = str | tuple[str, str]


@dataclass
class Found:
    """A text of the source with the places that say it."""

    text: Text
    room: str
    places: list[str] = field(default_factory=list)


def room_of(path: Path) -> str:
    """The catalogue that a file's texts belong to."""
    place = path.relative_to(ROOT)
    return "pages" if place.parts[0] == "pages" else place.parts[1].removesuffix(".py")


def sources() -> list[Path]:
    """Every file that may say something, from the leftmost room on."""
    paths = [*(ROOT / "tracker").rglob("*.py"), *(ROOT / "pages").rglob("*.py")]
    known = [path for path in paths if room_of(path) in _ORDER]
    return sorted(known, key=lambda path: (_ORDER.index(room_of(path)), path))


@cache
def extracted() -> dict[Text, Found]:
    """Every text of the source that goes through the catalogue."""
    found: dict[Text, Found] = {}
    for path in sources():
        for line, text in texts_in(path):
            entry = found.setdefault(text, Found(text, room_of(path)))
            entry.places.append(f"{path.relative_to(ROOT)}:{line}")
    # One entry says a word alone and counted.
    counted = {text[0] for text in found if isinstance(text, tuple)}
    return {text: entry for text, entry in found.items() if text not in counted}


def texts_in(path: Path) -> Iterator[tuple[int, Text]]:
    """By the syntax tree: Babel's own reader takes a variable of a keyword's name for a call, and
    loses what is said further down.
    """
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.Call):
            continue
        name = called(node)
        places = [place - 1 for place in KEYWORDS.get(name, ()) if place <= len(node.args)]
        said = [
            arg.value
            for arg in (node.args[place] for place in places)
            if isinstance(arg, ast.Constant) and isinstance(arg.value, str) and arg.value
        ]
        if said and len(said) == len(KEYWORDS[name]):
            yield node.lineno, said[0] if len(said) == 1 else (said[0], said[1])


def read(path: Path, language: str) -> Catalog:
    """One catalogue file."""
    with path.open("rb") as file:
        return read_po(file, locale=language)


def translations(language: str) -> dict[str, tuple[Path, Message]]:
    """Every message of a language by its (first) text, with its file."""
    found = {}
    for path in catalogues(language):
        for message in read(path, language):
            if message.id:
                found[_first(message.id)] = (path, message)
    return found


def _first(text: Text | list[str]) -> str:
    return text if isinstance(text, str) else text[0]


def update(language: str, words: dict[str, str | list[str]]) -> list[str]:
    """Writes the catalogues of a language anew; the texts that still lack a translation."""
    known = translations(language)
    rooms: dict[str, Catalog] = {}
    missing = []
    for text, entry in extracted().items():
        catalog = rooms.setdefault(entry.room, _empty(language))
        said = words.get(_first(text)) or _said(known, text)
        if isinstance(text, tuple):
            said = tuple(said) if isinstance(said, (list, tuple)) else (said or "", "")
            if isinstance(said, tuple) and not all(said):
                missing.append(text[0])
        elif not said:
            missing.append(text)
        catalog.add(text, said or "")
    for path in catalogues(language):
        path.unlink()
    for room, catalog in rooms.items():
        path = LANGUAGE_ROOM / language / f"{room}.po"
        path.parent.mkdir(exist_ok=True)
        with path.open("wb") as file:
            file.write(_HEADER.format(language=language, plural=PLURALS[language]).encode())
            write_po(file, catalog, width=100, omit_header=True, sort_output=True)
    return missing


def _said(known: dict[str, tuple[Path, Message]], text: Text) -> object:
    if _first(text) not in known:
        return ""
    message = known[_first(text)][1]
    plural = isinstance(message.string, (list, tuple))
    return message.string if plural == isinstance(text, tuple) else ""


def _empty(language: str) -> Catalog:
    catalog = Catalog(locale=language)
    catalog.mime_headers = [("Plural-Forms", PLURALS[language])]
    return catalog


def main(arguments: list[str]) -> int:
    """Update every language; 1 where texts lack a translation."""
    words: dict[str, str | list[str]] = {}
    for name in arguments:
        words |= json.loads(Path(name).read_text(encoding="utf-8"))
    code = 0
    for language in LANGUAGES:
        if language != "en":
            for text in update(language, words):
                print(json.dumps(text, ensure_ascii=False))
                code = 1
    return code


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
