"""The one gate for stored words on their way to the screen: they are shown as they were written.

Text, labels, buttons, tabs, notices and hints of Streamlit are Markdown, in which a printer's name
could become bold, a picture from elsewhere or a formula. What a table's cells, the options of a
select box and ``st.text`` show is no Markdown: there words go in as they are.
"""

from __future__ import annotations

import re

from tracker.say import numbers

_MARKS = frozenset("\\*_`$[]<>#~:|&^{}!")
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


def plain(text: str) -> str:
    """Text with the marks that would format it taken as they are, line by line.

    No line ends between a number and its unit.

    >>> print(plain("5 * 3 [a]"))
    5 \\* 3 \\[a\\]
    >>> print(plain("- a\\n2. b"))
    \\- a
    2\\. b
    """
    return "  \n".join(_line(line) for line in numbers.unbroken(text).splitlines())


def _line(line: str) -> str:
    line = _JOINED.sub(_JOINER, line.lstrip())  # four spaces would begin a block of code
    begins = _BLOCK.match(line)
    marked = "".join(f"\\{mark}" if mark in _MARKS else mark for mark in line)
    if begins is None:
        return marked
    end = begins.end()
    return f"{marked[:end]}\\{marked[end:]}" if begins[1].isdigit() else f"\\{marked}"
