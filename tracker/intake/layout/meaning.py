"""What a heading or a cell means: a part and its place, a task, a printer, a day, a mark."""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass
from datetime import datetime

from tracker.intake.cells.day_patterns import one_day
from tracker.intake.cells.days import numbers_of
from tracker.intake.cells.months import bare, is_weekday, month_named
from tracker.intake.cells.typed import Cell, Problem, as_text
from tracker.intake.headers.synonyms import CELL_SYNONYMS
from tracker.intake.layout import words as patterns
from tracker.intake.layout.known import Known
from tracker.language import N_, _
from tracker.workshop.vocabulary import (
    SYNONYMS,
    TASKS,
    part_label,
    part_labels,
    task_label,
    task_labels,
)

SURE = 0.9  # from here on a meaning is taken without being confirmed
SEVERAL = re.compile(
    r"\s*(?:[,;&+\n]|\band\b|\bund\b|\by\b|\bet\b|\be\b)\s*"
)  # between things of one cell
CHANGED, INSTALLED, UNSAID = N_("changed"), N_("installed"), ""
EMPTY, NO, MARK, DAY, DAY_OF_MONTH, NUMBER, INITIALS, TEXT = (
    "empty",
    "no",
    "mark",
    "day",
    "day of month",
    "number",
    "initials",
    "text",
)


@dataclass(frozen=True)
class Meaning:
    """What a text is taken for, how sure that is (0 to 1) and why, in words.

    ``task`` or ``part`` is set, never both; ``places`` are the positions named beside the part,
    ``verb`` says whether it was ``changed`` or ``installed`` ("" where nothing says so).
    ``printer`` is a known printer that the text names.
    """

    score: float
    reason: str
    task: str = ""
    part: str = ""
    places: tuple[str, ...] = ()
    verb: str = UNSAID
    printer: str = ""

    @property
    def is_sure(self) -> bool:
        """True when it may be taken without being confirmed."""
        return self.score >= SURE


@functools.cache
def _whole(pattern: str) -> re.Pattern[str]:
    return re.compile(rf"(?<![^ ])(?:{pattern})(?![^ ])")


def meaning_of(text: str, known: Known) -> Meaning | None:
    """The task or the part that a heading or a cell of a log means; None for neither.

    >>> from tracker.workshop.records import Records
    >>> known = Known(Records())
    >>> meaning_of("Dämpfer geschüttelt", known).task
    'shake_dampers'
    >>> found = meaning_of("new damper W2", known)
    >>> found.part, found.places, found.verb
    ('damper', ('W2',), 'changed')
    """
    said, printer = _without_printer(bare(text), known)
    if not said:
        return None
    found = _task(said, known) or _part(said, known)
    if found is None:
        return None
    return found if not printer else Meaning(**{**found.__dict__, "printer": printer})


def _without_printer(said: str, known: Known) -> tuple[str, str]:
    """The text without the known printer it names beside other words."""
    for printer in sorted(known.all_printers, key=len, reverse=True):
        name = bare(printer)
        if name and len(name) > 1 and (found := _whole(re.escape(name)).search(said)):
            rest = f"{said[: found.start()]} {said[found.end() :]}".strip()
            if rest:
                return re.sub(" +", " ", rest), printer
    return said, ""


def _task(said: str, known: Known) -> Meaning | None:
    for task in (*TASKS, *known.own_tasks):
        if said == bare(task) or said in map(bare, task_labels(task)):
            return Meaning(1.0, _("the task {task}", task=task_label(task)), task=task)
    for synonyms in (SYNONYMS, CELL_SYNONYMS):
        if (word := synonyms.get(said, "")) in TASKS:
            return Meaning(0.95, _("another word for {task}", task=task_label(word)), task=word)
    if _is_change(said):
        return None
    for task, groups, score in patterns.TASKS:
        if all(_whole(group).search(said) for group in groups):
            return Meaning(score, _("reads like {task}", task=task_label(task)), task=task)
    return None


def _is_change(said: str) -> bool:
    """True when a part is named with a word that says it was put in or changed."""
    verb = _whole(patterns.CHANGED).search(said) or _whole(patterns.INSTALLED).search(said)
    return bool(verb) and _kind_in(said, None)[0] != ""


def _kind_in(said: str, known: Known | None) -> tuple[str, str]:
    """The part kind named in the text, and the text without its name."""
    for kind in known.own_kinds if known else ():
        for name in map(bare, (kind, *part_labels(kind))):
            if found := _whole(re.escape(name)).search(said):
                return kind, f"{said[: found.start()]} {said[found.end() :]}".strip()
    for kind, pattern in patterns.PARTS:
        if found := _whole(pattern).search(said):
            return kind, f"{said[: found.start()]} {said[found.end() :]}".strip()
    return "", said


def only_part_in(text: str) -> str:
    """The one kind of part that a text names; "" where it names none or several.

    >>> only_part_in("Cleaned cap"), only_part_in("clean wiper and cap"), only_part_in("stir ink")
    ('cap', '', '')
    """
    kind, rest = _kind_in(bare(text), None)
    return "" if _kind_in(rest, None)[0] else kind


def _part(said: str, known: Known) -> Meaning | None:
    kind, rest = _kind_in(said, known)
    if not kind:
        return None
    verb = UNSAID
    for pattern, name in ((patterns.CHANGED, CHANGED), (patterns.INSTALLED, INSTALLED)):
        if _whole(pattern).search(rest):
            verb, rest = name, _whole(pattern).sub("", rest)
    places = places_in(rest)
    for place in places:
        rest = _whole(re.escape(bare(place))).sub("", rest)
    for pattern in (*patterns.INKS.values(), patterns.FILLERS, r"h ?\d"):
        rest = _whole(pattern).sub("", rest)
    left = [word for word in rest.split() if len(word) > 1 and not is_weekday(word)]
    score = 0.95 if not left else 0.92 if verb and len(left) == 1 else 0.75
    part = part_label(kind).lower()
    there = _(" and ").join(places)
    if verb and places:
        reason = _(
            "names the {part} and says {verb}, in {places}", part=part, verb=_(verb), places=there
        )
    elif verb:
        reason = _("names the {part} and says {verb}", part=part, verb=_(verb))
    elif places:
        reason = _("names the {part}, in {places}", part=part, places=there)
    else:
        reason = _("names the {part}", part=part)
    return Meaning(score, reason, part=kind, places=places, verb=verb)


def says_change(meaning: Meaning) -> bool:
    """True for a part that surely was put in or changed."""
    return bool(meaning.part and meaning.verb) and meaning.is_sure


def says_out(heading: str) -> bool:
    """True for a heading of days on which a part came out.

    >>> says_out("Head out"), says_out("Kopf ausgebaut"), says_out("Head in")
    (True, True, False)
    """
    return _whole(patterns.CAME_OUT).search(bare(heading)) is not None


def names_a_job(text: str) -> bool:
    """True for a change named as a job ("change filters"), not told as what happened.

    >>> names_a_job("Change filters"), names_a_job("new damper W2"), names_a_job("Filter wechseln")
    (True, False, True)
    """
    return _whole(patterns.TO_CHANGE).search(bare(text)) is not None


def says_changed(heading: str) -> bool:
    """True for a heading that says when something was changed, and not what ("Changed on").

    >>> says_changed("Changed on"), says_changed("2nd change"), says_changed("Wiper changed")
    (True, True, False)
    """
    verb = f"({patterns.CHANGED}|{patterns.INSTALLED})"
    said = re.sub(r"(?<![^ ])\d+(st|nd|rd|th|o|er|e)?(?![^ ])", "", bare(heading)).strip()
    return bool(
        re.fullmatch(
            rf"({patterns.FILLERS} )*{verb}( {patterns.FILLERS})*", re.sub(" +", " ", said)
        )
    )


def places_in(text: str) -> tuple[str, ...]:
    """The positions a text names: channels, ink colours, H1.

    >>> places_in("W1 and W2"), places_in("black"), places_in("head h2"), places_in("set")
    (('W1', 'W2'), ('K',), ('H2',), ())
    """
    said = bare(text)
    found = re.findall(r"(?<![^ ])(w ?\d|[cmykw]|lc|lm|h ?\d|bk)(?![^ ])", said)
    places = [place.upper().replace(" ", "").replace("BK", "K") for place in found]
    if said.count(" ") == 0 and not places and re.fullmatch("[cmyk]{2,}w*", said):
        places = list(said.upper())
    for ink, pattern in patterns.INKS.items():
        if (match := _whole(rf"{pattern}(?P<number> \d)?").search(said)) and not (
            any(place.startswith(ink) for place in places)
        ):
            places.append(ink + (match["number"] or "").strip())
    return tuple(dict.fromkeys(places))


def is_channel(header: str) -> bool:
    """True for a heading that is nothing but the name of a channel, or of a head's place."""
    return bool(header) and bare(header) in {bare(place) for place in places_in(header)}


def own_role(meaning: Meaning) -> str:
    """The meaning as a column's role: ``task:shake_dampers``, ``part:damper/W1 W2``."""
    if meaning.task:
        return f"task:{meaning.task}"
    return f"part:{meaning.part}/{' '.join(meaning.places)}"


def is_task(name: str) -> bool:
    return name in TASKS


@functools.lru_cache(maxsize=200_000)
def sort_of(cell: Cell) -> str:
    """What sort of thing stands in a cell: empty, no, mark, day, day of month, number, …

    >>> [sort_of(cell) for cell in ("", "-", "✓", "31.12.2025", "2 Nov", 14.0, "AB", "seal hard")]
    ['empty', 'no', 'mark', 'day', 'day of month', 'number', 'initials', 'text']
    """
    if isinstance(cell, datetime):
        return DAY
    text = as_text(cell).strip()
    plain = text.casefold()
    if not text:
        return EMPTY
    if plain in patterns.NOT_DONE_MARKS:
        return NO
    if plain in patterns.DONE_MARKS:
        return MARK
    if re.fullmatch(r"[-+]?\d+([.,]\d+)?", text):
        return NUMBER
    if numbers_of(text) or not isinstance(one_day(text, True, False), Problem):
        return DAY
    if part_day(text) is not None:
        return DAY_OF_MONTH
    if re.fullmatch(r"[^\W\d_]\.?[^\W\d_]?\.?[^\W\d_]?\.?", text) and not is_weekday(text):
        return INITIALS
    return TEXT


def part_day(text: str) -> tuple[int, int | None] | None:
    """Day and month (None: unsaid) of a day without its year: "2.", "Mon 2", "2 Nov", "2.11.".

    >>> part_day("Mo 2."), part_day("2 Nov"), part_day("2nd"), part_day("45")
    ((2, None), (2, 11), (2, None), None)
    """
    said = text.strip().rstrip(".")
    if match := re.fullmatch(r"(?P<d>\d{1,2})[./-](?P<m>\d{1,2})", said):
        day, month = int(match["d"]), int(match["m"])
        return (day, month) if 1 <= day <= 31 and 1 <= month <= 12 else None
    parts = [part for part in bare(said).split() if part not in ("de", "of")]
    parts = [part for part in parts if month_named(part) or not is_weekday(part)]
    parts = [re.sub(r"^(\d{1,2})(st|nd|rd|th|er|o)$", r"\1", part) for part in parts]
    numbers = [int(part) for part in parts if part.isdigit()]
    names = [named for part in parts if (named := month_named(part))]
    if len(numbers) != 1 or len(names) > 1 or len(numbers) + len(names) != len(parts):
        return None
    if not 1 <= numbers[0] <= 31:
        return None
    return numbers[0], (names[0] if names else None)
