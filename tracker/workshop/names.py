"""Names that a workshop gives, where each is written, and which look like one in several writings.

A supplier under two writings is two suppliers to every answer: each with half the deliveries, half
the lots, half the failures.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations

from tracker.language import N_
from tracker.workshop import vocabulary as words
from tracker.workshop.columns.found import folded
from tracker.workshop.contract import TABLES
from tracker.workshop.records import Records

_LEAST_LETTERS = 5  # of a word in which one wrong letter makes a likeness and no other name
_MOST_COMPARED = 300  # names of one sort, each against each


@dataclass(frozen=True)
class Naming:
    """One sort of name: what it is called, and the ``columns`` (table, column) that hold it.

    ``typed``: it is typed freely, so that a letter may be wrong; names of people, places and lots
    differ by a letter rightly. ``answers``: some answer tells these names apart. ``own``: words of
    the program itself are among them, which keep their names.
    """

    label: str
    columns: tuple[tuple[str, str], ...]
    typed: bool = False
    answers: bool = True
    own: frozenset[str] = frozenset()

    def counts(self, records: Records) -> Counter[str]:
        """How many records bear each name."""
        return records.once(_counts, self)

    def names(self, records: Records) -> list[str]:
        """The names that may be given anew, in order."""
        return sorted(self.counts(records).keys() - self.own, key=str.casefold)


def _counts(records: Records, naming: Naming) -> Counter[str]:
    found: Counter[str] = Counter()
    for table, column in naming.columns:
        found.update(records.codes(table, column).counts())
    del found[""]
    return found


def _everywhere(column: str) -> tuple[tuple[str, str], ...]:
    return tuple((table.name, column) for table in TABLES if column in table.names)


PRINTER = "printer"
NAMINGS: Mapping[str, Naming] = {
    PRINTER: Naming(N_("Printer"), _everywhere("printer")),
    "site": Naming(N_("Site"), _everywhere("site")),
    "supplier": Naming(N_("Supplier"), _everywhere("supplier"), typed=True),
    "batch": Naming(N_("Batch"), _everywhere("batch")),
    "failure_mode": Naming(
        N_("How it failed"),
        _everywhere("failure_mode"),
        typed=True,
        own=frozenset(mode for kind in words.PART_KINDS.values() for mode in kind.failure_modes),
    ),
    "type": Naming(
        N_("Type of part"), (*_everywhere("head_type"), *_everywhere("variant")), typed=True
    ),
    "part_kind": Naming(
        N_("Part"),
        (*_everywhere("part_kind"), ("parts", "replaced_with")),
        typed=True,
        own=frozenset(words.PART_KINDS),
    ),
    "task": Naming(N_("Task"), _everywhere("task"), typed=True, own=frozenset(words.TASKS)),
    "person": Naming(
        N_("Person"), (("maintenance", "done_by"), ("actions", "assigned_to")), answers=False
    ),
}


@dataclass(frozen=True)
class Likeness:
    """Names of one sort that may be one: how many records bear each, the ``best`` first.

    ``sure``: they differ in capitals, spaces, accents and signs alone.
    """

    naming: str
    counts: Mapping[str, int]
    sure: bool

    @property
    def best(self) -> str:
        """The name to keep: a word of the program's own, else the one that most records bear."""
        return next(iter(self.counts))


def alike(records: Records, *, answers_only: bool = False) -> list[Likeness]:
    """Which names of one sort may be the same name in several writings, the surest first?

    Printers are not asked about: two machines never become one. ``answers_only``: leave out names
    that no answer tells apart.
    """
    found = [
        likeness
        for key, naming in NAMINGS.items()
        if key != PRINTER and (naming.answers or not answers_only)
        for likeness in _alike(key, naming, naming.counts(records))
    ]
    return sorted(found, key=lambda likeness: not likeness.sure)


def _alike(key: str, naming: Naming, counts: Counter[str]) -> Iterator[Likeness]:
    best_first = sorted(counts, key=lambda name: (name not in naming.own, -counts[name], name))
    groups = by_core(best_first)
    for names in groups.values():
        if len(names) > 1:
            yield Likeness(key, {name: counts[name] for name in names}, sure=True)
    if not naming.typed or len(groups) > _MOST_COMPARED:
        return
    for one, other in combinations([names[0] for names in groups.values()], 2):
        if {one, other} - naming.own and one_letter_apart(folded(one), folded(other)):
            yield Likeness(key, {name: counts[name] for name in (one, other)}, sure=False)


def core(name: str) -> str:
    """What is left of a name without capitals, accents, spaces and signs; a sign between two
    numbers stays, for it tells lots apart.

    >>> core("L-17"), core("l 17"), core("1-11"), core("11-1"), core("Cóndor Tintas")
    ('l17', 'l17', '1-11', '11-1', 'condortintas')
    """
    bare = re.sub(r"[\W_]+", "-", folded(name)).strip("-")
    return re.sub(r"(?<!\d)-|-(?!\d)", "", bare) or name


def by_core(names: Iterable[str]) -> dict[str, list[str]]:
    """The names that are one but for their writing, together by what is left of them, in order."""
    groups: dict[str, list[str]] = {}
    for name in names:
        groups.setdefault(core(name), []).append(name)
    return groups


def written_before(name: str, others: Iterable[str]) -> str:
    """The other name that this one is in another writing, "" where there is none."""
    return next((other for other in others if core(other) == core(name)), "")


def one_letter_apart(one: str, other: str) -> bool:
    """Do two names differ in one letter of one long word: wrong, missing, or changed with the next?

    >>> one_letter_apart("clogged", "cloged"), one_letter_apart("supplier a", "supplier b")
    (True, False)
    """
    first, second = one.split(), other.split()
    if len(first) != len(second):
        return False
    apart = [pair for pair in zip(first, second, strict=True) if pair[0] != pair[1]]
    if len(apart) != 1:
        return False
    short, long = sorted(apart[0], key=len)
    if len(short) < _LEAST_LETTERS or len(long) - len(short) > 1:
        return False
    same = next((at for at, letter in enumerate(short) if letter != long[at]), len(short))
    if any(sign.isdigit() for sign in short[same:][:2] + long[same:][:2]):
        return False
    swapped = short[:same] + short[same + 1 : same + 2] + short[same : same + 1] + short[same + 2 :]
    return (
        short[same:] == long[same + 1 :]
        if len(short) < len(long)
        else short[same + 1 :] == long[same + 1 :] or swapped == long
    )
