"""The one gate for stored words on their way to the screen: they are shown as they were written.

Text, labels, buttons, tabs, notices and hints of Streamlit are Markdown, in which a printer's name
could become bold, a picture from elsewhere or a formula. What a table's cells, the options of a
select box and ``st.text`` show is no Markdown: there words go in as they are. Also how a field
and a table write a day.
"""

from __future__ import annotations

import re

from tracker.language import speaking, voice  # noqa: F401 - speaking: for the example
from tracker.language.voice import ENGLISH
from tracker.say import numbers

# Of a colon only one before a letter begins something, of an ampersand only one of an entity.
_MARK = re.compile(r"[\\*_`$\[\]<>#~|]|:(?=[^\W\d_])|&(?=#?\w+;)")
# Blocks begin with these at the start of a line: lists, rules, headings underlined.
_BLOCK = re.compile(r"([-+=]|\d{1,9}(?=[.)](?:\s|$)))")
# What is looked for in the text after Markdown was read, where no backslash is left to stop it:
# icons and emoji by name, addresses that become links, arrows and dashes. An invisible joiner
# (U+2060, Unicode 16.0, section 23.2) between the two signs keeps them apart.
_JOINED = re.compile(
    r"(?<=:)(?=[\w+-]+[:/])|(?<=:)(?=//)|(?i:(?<=www)(?=\.))|(?<=\w@)(?=\w)"
    r"|(?<=-)(?=[->])|(?<=<)(?=[-=])|(?<=[>~])(?==)"
)
_JOINER = "\N{WORD JOINER}"


def day_format() -> str:
    """How a field shows a day: in figures as the language has it, in English as ISO 8601 does."""
    return "YYYY-MM-DD" if voice().language == ENGLISH else "DD/MM/YYYY"


def day_in_tables() -> str:
    """How the cell of a table shows a day, which it sorts as a day: as the country has it, the
    month by name where that is English, for a table knows no other names.

    >>> day_in_tables()
    'D MMM YYYY'
    >>> with speaking("es", "es_MX"):
    ...     day_in_tables()
    'DD/MM/YYYY'
    """
    by_name = voice().language == ENGLISH
    forms = voice().days.datetime_skeletons
    form = "d MMM y" if voice().is_neutral else forms["yMMMd" if by_name else "yMd"].pattern
    letters = {"d": "D" if by_name else "DD", "M": "MMM" if by_name else "MM", "y": "YYYY"}
    return re.sub(r"d+|M+|y+", lambda found: letters[found[0][0]], form)


def plain(text: str) -> str:
    """Text with the marks that would format it taken as they are, line by line.

    No line ends between a number and its unit.

    >>> print(plain("5 * 3 [a]"))
    5 \\* 3 \\[a\\]
    >>> plain("- a\\n2. b").split("  \\n")
    ['\\\\- a', '2\\\\. b']
    """
    return "  \n".join(_line(line) for line in numbers.unbroken(text).splitlines())


def marked(text: str) -> str:
    """The same for a sentence that makes some of its words bold with two stars: those stay.

    >>> print(marked("**P_1** – 3 * 4"))
    **P\\_1** – 3 \\* 4
    """
    lines = numbers.unbroken(text).splitlines()
    return "  \n".join(_marked_line(line.rstrip()) for line in lines)


def _marked_line(line: str) -> str:
    pieces = line.split("**")
    if len(pieces) % 2 == 0:  # a star too many: none of them is ours for sure
        return _line(line)
    # A sign before it keeps a later piece from being taken for the beginning of a line.
    first, *rest = pieces
    return "**".join([_line(first), *(_line(f".{piece}")[1:] for piece in rest)])


def _line(line: str) -> str:
    line = _JOINED.sub(_JOINER, line.lstrip())  # four spaces would begin a block of code
    begins = _BLOCK.match(line)
    marked = _MARK.sub(r"\\\g<0>", line)
    if begins is None:
        return marked
    end = begins.end()
    return f"{marked[:end]}\\{marked[end:]}" if begins[1].isdigit() else f"\\{marked}"
