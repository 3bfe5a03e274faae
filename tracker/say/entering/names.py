"""What is said where a name is changed, and where several look like one."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from tracker.language import _, ngettext
from tracker.workshop import vocabulary as words
from tracker.workshop.names import NAMINGS, Likeness

_LABELS: Mapping[str, Callable[[str], str]] = {
    "part_kind": words.part_label, "task": words.task_label, "failure_mode": words.said,
}  # fmt: skip


def in_words(naming: str, name: str) -> str:
    """A name as the screen has it: a word of the program in the language in use, others as they
    were written.
    """
    return _LABELS[naming](name) if name in NAMINGS[naming].own else name


def writings(found: Likeness) -> str:
    """The names with how many records bear each: ``“Nord Druck” (12), “nord druck” (3)``."""
    return ", ".join(
        _("“{name}” ({count})", name=in_words(found.naming, name), count=count)
        for name, count in found.counts.items()
    )


def likeness(found: Likeness) -> str:
    """Are these one, and what follows while they are two?"""
    sort = _(NAMINGS[found.naming].label)
    names = writings(found)
    if found.sure:
        return _(
            "{sort}: {names} count as different ones. Are they one? The numbers tell how many "
            "records bear each.",
            sort=sort,
            names=names,
        )
    return _("{sort}: {names} differ by one letter. Are they one?", sort=sort, names=names)


def waiting(found: Sequence[Likeness]) -> str:
    """One line for all of them: the first in words, how many more."""
    said = _(
        "{sort}: {names} count as different ones.",
        sort=_(NAMINGS[found[0].naming].label),
        names=writings(found[0]),
    )
    if more := len(found) - 1:
        said += " " + ngettext(
            "One more name is written in several ways.",
            "{count} more names are written in several ways.",
            more,
            count=more,
        )
    return said


def what_happens(records: str, name: str, new_name: str, *, becomes_one: bool) -> str:
    """What a tap changes: ``records`` in words."""
    said = _(
        "{records} of {name} will carry the new name. It is one change and can be taken back.",
        records=records,
        name=name,
    )
    if becomes_one:
        said += " " + _("{new_name} is there already: both become one.", new_name=new_name)
    return said
