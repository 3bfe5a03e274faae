"""Whose rows are these: names of printers as typed, matched to the printers there are.

The same letters are taken. A likeness ("R", "left one", "Left printer") is asked once for each
name and remembered, and so is a word for all of them ("Both", "alle Drucker"); several writings of
one name become one. A name like no other is offered as a new printer.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from tracker.intake.cells.months import bare
from tracker.intake.layout import words as patterns
from tracker.intake.questions import NAMES, ONE_BY_ONE, YES, Question
from tracker.intake.talk import Talk
from tracker.language import N_, _
from tracker.workshop.refusal import nearest_word

NEW, EVERY = N_("a new printer"), N_("every printer")


@dataclass(frozen=True)
class Names:
    """Text as typed → printer, and the printers that nobody wrote down yet and that are added.

    A text may mean ``EVERY`` printer. ``open`` says that some of it is only proposed and still
    asked.
    """

    by_text: Mapping[str, str] = field(default_factory=dict)
    new: tuple[str, ...] = ()
    open: bool = False

    @property
    def printers(self) -> list[str]:
        """The single printers that are meant."""
        return [printer for printer in self.by_text.values() if printer != EVERY]

    def of(self, text: str) -> str:
        """The printer that is meant; the text itself where none is known."""
        return self.by_text.get(text, text)


def match_names(
    counts: Mapping[str, int],
    printers: Sequence[str],
    talk: Talk,
    examples: Mapping[str, str],
    source: str = "",
) -> Names:
    """Which printer is each text?

    ``counts`` says how many cells hold a text, ``examples`` where the first of them stands.

    >>> talk = Talk()
    >>> match_names({"LEFT ": 2, "Left": 5}, ["Left", "Right"], talk, {}).by_text
    {'LEFT ': 'Left', 'Left': 'Left'}
    >>> match_names({"R": 3}, ["Left", "Right"], talk, {}).open, talk.questions[0].suggested
    (True, 'Right')
    """
    by_text: dict[str, str] = {}
    same = {_letters(name): name for name in reversed(printers)}
    groups: dict[str, Counter[str]] = {}
    for text, often in counts.items():
        if not text.strip():
            continue
        if text in printers:
            by_text[text] = text
        elif (known := same.get(_letters(text))) is not None:
            by_text[text] = known
        else:
            groups.setdefault(_letters(text), Counter())[text] += often
    # The commonest writing stands for a new name; names that others are like come first.
    names = {key: _best_writing(group) for key, group in groups.items()}
    every = {key for key in names if re.fullmatch(patterns.EVERY_PRINTER, bare(names[key]))}
    order = sorted(
        names,
        key=lambda key: (key in every, len(_core(names[key])) < 2, -sum(groups[key].values())),
    )
    canonical = list(printers)
    proposals: list[tuple[Question, str]] = []
    for key in order:
        name = names[key]
        like = EVERY if key in every and canonical else _likeness(name, canonical)
        proposals.append((_question(name, like, canonical, examples, source), f"name|{name}"))
        if not like:
            canonical.append(name)
    answers = talk.ask_together(proposals, lambda asked: _all_names(asked, canonical, source))
    new = []
    for (question, _memory), key in zip(proposals, order, strict=True):
        answer = answers.get(question.key)
        if (answer or question.suggested) == NEW:
            meant = names[key]
            new += [meant] if answer == NEW else []
        else:
            meant = answer or question.suggested
        for text in groups[key]:
            by_text[text] = meant
    meant_by = dict(by_text)
    for text, printer in by_text.items():  # a name like another one that is itself a likeness
        by_text[text] = meant_by.get(printer, printer)
    return Names(by_text, tuple(new), len(answers) < len(proposals))


def _question(
    name: str, like: str, printers: Sequence[str], examples: Mapping[str, str], source: str
) -> Question:
    is_new = _(
        '"{name}" is not in your list of printers. Add it, or which printer is it?', name=name
    )
    what = _('which printer is "{name}"?', name=name) if like else is_new
    if like == EVERY:
        what = _(
            'does "{name}" mean {printers}, a record for each?', name=name, printers=_each(printers)
        )
    return Question(
        "printer",
        what,
        tuple(dict.fromkeys([like or NEW, *printers, NEW, *([EVERY] if printers else [])])),
        (examples[name],) if examples.get(name) else (),
        NAMES,
        source,
        like or NEW,
        filed=f"name|{name}",
    )


def _said(printer: str) -> str:
    return _(NEW) if printer == NEW else printer


def _each(printers: Sequence[str]) -> str:
    return _("every printer ({printers})", printers=", ".join(printers))


def _all_names(questions: Sequence[Question], printers: Sequence[str], source: str) -> Question:
    pairs = tuple(
        f'"{q.key.removeprefix("name|")}" = '
        + (_each(printers) if q.suggested == EVERY else _said(q.suggested))
        for q in questions
    )
    filed = "names|" + "|".join(
        sorted(question.key.removeprefix("name|") for question in questions)
    )
    return Question(
        "printer",
        _("are these the printers that are meant?"),
        (YES, ONE_BY_ONE),
        pairs,
        NAMES,
        source,
        YES,
        filed=filed,
    )


def _best_writing(group: Counter[str]) -> str:
    """The commonest writing, without outer spaces; of equals the one that begins with a capital."""
    best = max(
        group, key=lambda text: (group[text], text.strip()[:1].isupper(), not text.isupper())
    )
    return best.strip()


def _letters(text: str) -> str:
    return bare(text).replace(" ", "")


def _core(text: str) -> str:
    """The name without words that every printer may be called by."""
    said = re.sub(rf"(?<![^ ])(?:{patterns.PRINTER_NOISE})(?![^ ])", " ", bare(text))
    return re.sub(" +", " ", said).strip() or bare(text)


def _likeness(text: str, names: Sequence[str]) -> str:
    """The one name that a text is like; "" for none or several.

    Like is: the same but for words such as "printer"; the beginning of one name only, or the other
    way round; a slip of the keyboard.
    """
    core = _core(text)
    same = [name for name in names if _core(name) == core]
    if len(same) == 1:
        return same[0]
    begins = [
        name for name in names
        if not core.isdigit() and not _core(name).isdigit()
        and (_core(name).startswith(core)
             or (len(_core(name)) > 1 and core.startswith(_core(name))))
    ]  # fmt: skip
    if len(begins) == 1:
        return begins[0]
    if re.search(r"\d", core):  # P1 and P2 are two printers, not a slip
        return ""
    return nearest_word(text, names)
