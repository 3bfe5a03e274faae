"""Month, year, printer and task that stand in a title, a sheet's name or a file's name."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import PurePath

import numpy as np

from tracker.intake.cells.day_patterns import numbers_of, one_day
from tracker.intake.cells.months import bare, month_named
from tracker.intake.cells.units import split_header
from tracker.intake.headers.columns import is_heading
from tracker.intake.layout import words as patterns
from tracker.intake.layout.known import Known
from tracker.intake.layout.meaning import meaning_of
from tracker.workshop.contract import TABLE_BY_NAME

_MONTH_NUMBER = re.compile(
    r"(?<!\d)(?:(?P<y>20\d\d)[-/. ](?P<m>0?[1-9]|1[0-2])(?![-/.\d])"
    r"|(?<![-/.\d])(?P<m2>0?[1-9]|1[0-2])[-/. ](?P<y2>20\d\d)(?!\d))"
)
_YEAR = re.compile(r"(?<!\d)(20\d\d)(?!\d)")
_MONTHS = 12
_GENERIC = re.compile(
    r"(sheet|tabelle|blatt|hoja|feuille?|foglio|table|page|seite)? ?\d*|(log|protokoll|wartung"
    r"|maintenance|entretien|mantenimiento|manutenzione|plan|liste?|list|calendar|kalender"
    r"|calendario|calendrier|registro|journal|checklist|overview|data|daten|export|copy|kopie)"
    r"( \w+)?"
)


@dataclass(frozen=True)
class Told:
    """What titles tell: ``month`` 1 to 12 and ``year`` (0: unsaid), ``printer`` (a known one),
    ``named`` (a text that may be a printer nobody wrote down yet), ``task`` or ``part``."""

    month: int = 0
    year: int = 0
    printer: str = ""
    named: str = ""
    task: str = ""
    part: str = ""

    def over(self, other: Told) -> Told:
        """These facts, with those of a title farther away where these say nothing."""
        return Told(
            self.month or other.month,
            self.year or other.year,
            self.printer or other.printer,
            self.named or other.named,
            self.task or (other.task if not self.part else ""),
            self.part or (other.part if not self.task else ""),
        )

    @property
    def says_something(self) -> bool:
        return self != Told()


def told_by(text: str, known: Known) -> Told:
    """What one title tells.

    >>> from tracker.workshop.records import Records
    >>> told = told_by("March 2026 – Left", Known(Records()))
    >>> told.month, told.year, told.named
    (3, 2026, 'Left')
    """
    month, year, rest = _month(text)
    said = bare(rest)
    printer = next(
        (
            name
            for name in sorted(known.all_printers, key=len, reverse=True)
            if bare(name) and re.search(rf"(?<![^ ]){re.escape(bare(name))}(?![^ ])", said)
        ),
        "",
    )
    meaning = meaning_of(rest, known)
    task = meaning.task if meaning and meaning.is_sure else ""
    part = meaning.part if meaning and meaning.is_sure else ""
    named = "" if printer or meaning else _name_in(rest)
    return Told(month, year, printer, named, task, part)


def told_by_all(texts: Sequence[str], known: Known) -> Told:
    """What titles tell together, the nearest first."""
    told = Told()
    for text in texts:
        told = told.over(told_by(text, known))
    return told


def unit_told(titles: Sequence[str]) -> str:
    """The unit of all numbers below, as the first title with one says; "" where none does."""
    return next((unit for text in titles if (unit := split_header(text)[1])), "")


def day_told(titles: Sequence[str]) -> date | None:
    """The one whole day that stands in the titles; None where none does, or several.

    >>> day_told(["On the shelf, counted 28 October 2026"]), day_told(["2026-05-03 to 2026-05-04"])
    (datetime.date(2026, 10, 28), None)
    """
    found: set[date | None] = set()
    for title in titles:
        words = [word.strip("(),;:") for word in title.split()]
        runs = (words[at : at + many] for at in range(len(words)) for many in range(1, 6))
        found |= {_whole_day(" ".join(run)) for run in runs}
    found.discard(None)
    return found.pop() if len(found) == 1 else None


def _whole_day(text: str) -> date | None:
    """The day that the text is, where it reads one way only; dots stand between day and month."""
    if not _YEAR.search(text) or len(text) == len("2026"):
        return None
    if match := numbers_of(text):
        day_number, month = int(match["a"]), int(match["b"])
        if "." not in text and month > _MONTHS:
            day_number, month = month, day_number
        elif "." not in text and day_number <= _MONTHS:
            return None
        text = f"{match['y']}-{month:02}-{day_number:02}"
    day = one_day(text, False, False)
    return day.astype("datetime64[D]").item() if isinstance(day, np.datetime64) else None


def file_words(source: str) -> str:
    """A file's name as words, without its ending."""
    return re.sub(r"[_]+", " ", PurePath(source).stem)


def _month(text: str) -> tuple[int, int, str]:
    """Month and year in a text, 0 where unsaid, and the text without them."""
    if match := _MONTH_NUMBER.search(text):
        month, year = int(match["m"] or match["m2"]), int(match["y"] or match["y2"])
        return month, year, text[: match.start()] + " " + text[match.end() :]
    month = 0
    rest = text
    for word in re.findall(r"[^\W\d_]{3,}", text):
        if (number := month_named(word)) is not None:
            month = number
            rest = rest.replace(word, " ", 1)
            break
    year = 0
    if match := _YEAR.search(rest):
        year = int(match[1])
        rest = rest[: match.start()] + " " + rest[match.end() :]
    elif month and (match := re.search(r"(?<!\d)['’]?(\d\d)(?!\d)", rest)):
        year = 2000 + int(match[1])
        rest = rest[: match.start()] + " " + rest[match.end() :]
    return month, year, rest


def _name_in(text: str) -> str:
    """A short text that may be a printer's name: what stands after "Printer:", or all of it."""
    explicit = re.search(
        rf"(?i)\b{patterns.PRINTER_NOISE}\s*[:=]?\s*(?P<name>[\w][\w .-]*)$", text.strip()
    )
    name = (explicit["name"] if explicit and ":" in text else text).strip(" -–—:,;|()[]_./")
    said = bare(name)
    if not said or len(said.split()) > 3 or _GENERIC.fullmatch(said):
        return ""
    if is_heading(name) or said.rstrip("s") in {table.rstrip("s") for table in TABLE_BY_NAME}:
        return ""
    return name
