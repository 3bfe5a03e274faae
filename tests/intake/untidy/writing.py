"""A workshop's events written as sheets in any style: order of columns, marks, days, numbers."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

MONTHS = {
    "English": "January February March April May June July August September October November"
    " December",
    "German": "Januar Februar März April Mai Juni Juli August September Oktober November Dezember",
    "Spanish": "enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre"
    " diciembre",
    "French": "janvier février mars avril mai juin juillet août septembre octobre novembre"
    " décembre",
    "Italian": "gennaio febbraio marzo aprile maggio giugno luglio agosto settembre ottobre"
    " novembre dicembre",
}

WEEKDAYS = ("Mo", "Di", "Mi", "Do", "Fr", "Sa", "So")


def _in_words(language: str) -> Callable[[date], str]:
    words = MONTHS[language].split()
    return lambda day: f"{day.day} {words[day.month - 1]} {day.year}"


DAYS: dict[str, Callable[[date], str]] = {
    "ISO": date.isoformat,
    "points": lambda day: f"{day:%d.%m.%Y}",
    "strokes": lambda day: f"{day.day}/{day.month}/{day.year}",
    "two digits": lambda day: f"{day:%d.%m.%y}",
    "month first": lambda day: f"{day:%m/%d/%Y}",
    "weekday": lambda day: f"{WEEKDAYS[day.weekday()]} {day:%d.%m.%Y}",
    **{language: _in_words(language) for language in MONTHS},
}
NUMBERS: dict[str, Callable[[float], str]] = {
    "point": lambda value: f"{value:.2f}",
    "comma": lambda value: f"{value:.2f}".replace(".", ","),
    "thousands and point": lambda value: f"{value:,.2f}",
    "thousands and comma": lambda value: f"{value:,.2f}".translate(str.maketrans(",.", ".,")),
    "space and comma": lambda value: f"{value:,.2f}".translate(str.maketrans(",.", " ,")),
}
ENCODINGS = ("utf-8", "utf-8-sig", "cp1252")


@dataclass(frozen=True)
class Style:
    """How a person writes: separator, days, numbers, encoding."""

    separator: str = ","
    days: str = "ISO"
    numbers: str = "point"
    encoding: str = "utf-8"

    @property
    def answers(self) -> Mapping[str, str]:
        """What the person answers where days or numbers read two ways."""
        order = "month first" if self.days == "month first" else "day first"
        decimals = "decimal comma" if self.numbers.endswith("comma") else "decimal point"
        return {"dates": order, "numbers": decimals}


def written(header: Sequence[str], rows: Sequence[Sequence[object]], style: Style) -> bytes:
    """A table as a text file in that style."""
    buffer = io.StringIO()
    writer = csv.writer(buffer, delimiter=style.separator, lineterminator="\n")
    writer.writerow(header)
    for row in rows:
        writer.writerow([_cell(cell, style) for cell in row])
    return buffer.getvalue().encode(style.encoding)


def _cell(cell: object, style: Style) -> str:
    if isinstance(cell, date):
        return DAYS[style.days](cell)
    if isinstance(cell, float):
        return NUMBERS[style.numbers](cell)
    return str(cell)


@dataclass(frozen=True, order=True)
class Change:
    """A part put in on a day."""

    printer: str
    part: str
    day: date


def long_changes(changes: Sequence[Change], style: Style) -> bytes:
    """One row for each change."""
    rows = [(change.day, change.printer, change.part) for change in changes]
    return written(("Date", "Printer", "Part changed"), rows, style)


def wide_changes(changes: Sequence[Change], style: Style) -> bytes:
    """One row for each printer, a column for each part; a later change in a row of its own."""
    parts = sorted({change.part for change in changes})
    rows = []
    for printer in sorted({change.printer for change in changes}):
        columns = [
            sorted(c.day for c in changes if (c.printer, c.part) == (printer, part))
            for part in parts
        ]
        for at in range(max(map(len, columns))):
            rows.append((printer, *(days[at] if at < len(days) else "" for days in columns)))
    return written(("Printer", *(f"{part} changed" for part in parts)), rows, style)


def calendars(changes: Sequence[Change], style: Style) -> list[bytes]:
    """A calendar for each printer and month: its days down, the parts across."""
    sheets = []
    for printer, year, month in sorted({(c.printer, c.day.year, c.day.month) for c in changes}):
        of_month = [
            c for c in changes if (c.printer, c.day.year, c.day.month) == (printer, year, month)
        ]
        parts = sorted({change.part for change in of_month})
        title = f"{MONTHS['English'].split()[month - 1]} {year} {printer}"
        marked = {(change.day.day, change.part) for change in of_month}
        rows = [
            (str(day), *("x" if (day, part) in marked else "" for part in parts))
            for day in range(1, 29)
        ]
        table = written(("Day", *(f"{part} changed" for part in parts)), rows, style)
        sheets.append(f"{title}\n".encode(style.encoding) + table)
    return sheets


# Task → how a calendar heads it in each of the languages.
TASKS = {
    "shake_dampers": {
        "English": "Shake dampers",
        "German": "Dämpfer schütteln",
        "Spanish": "Agitar amortiguadores",
        "French": "Secouer les amortisseurs",
        "Italian": "Agitare smorzatori",
    },
    "stir_ink": {
        "English": "Stir white ink",
        "German": "Weiß rühren",
        "Spanish": "Remover tinta blanca",
        "French": "Mélanger encre blanche",
        "Italian": "Mescolare inchiostro bianco",
    },
    "nozzle_check": {
        "English": "Nozzle check",
        "German": "Düsentest",
        "Spanish": "Prueba de inyectores",
        "French": "Contrôle des buses",
        "Italian": "Controllo ugelli",
    },
    "head_clean": {
        "English": "Clean head",
        "German": "Kopf reinigen",
        "Spanish": "Limpiar cabezal",
        "French": "Nettoyer la tête",
        "Italian": "Pulizia testina",
    },
    "empty_waste": {
        "English": "Empty waste tank",
        "German": "Resttank leeren",
        "Spanish": "Vaciar depósito de residuos",
        "French": "Vider le bac de déchets",
        "Italian": "Svuotare tanica di scarto",
    },
}
DAY_WORDS = {
    "English": "Day", "German": "Tag", "Spanish": "Día", "French": "Jour", "Italian": "Giorno",
}  # fmt: skip
TASK_WORDS = {
    "English": "Task", "German": "Aufgabe", "Spanish": "Tarea", "French": "Tâche",
    "Italian": "Attività",
}  # fmt: skip


def task_calendar(
    marks: Mapping[tuple[int, str], str], year: int, month: int, printer: str, language: str,
    style: Style, *, is_across: bool,
) -> bytes:  # fmt: skip
    """A month of one printer: marks by day and task, days down or across, in one language."""
    tasks = sorted({task for _, task in marks})
    title = f"{MONTHS[language].split()[month - 1]} {year} - {printer}"
    days = [str(day) for day in range(1, 29)]
    table = [[marks.get((int(day), task), "") for task in tasks] for day in days]
    words = [TASKS[task][language] for task in tasks]
    if is_across:
        rows = [[word, *(row[at] for row in table)] for at, word in enumerate(words)]
        data = written([TASK_WORDS[language], *days], rows, style)
    else:
        rows = [[day, *row] for day, row in zip(days, table, strict=True)]
        data = written([DAY_WORDS[language], *words], rows, style)
    return f"{title}\n\n".encode(style.encoding) + data
