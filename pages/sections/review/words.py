"""Text of the workshop's own on the page, taken as it was written."""

from __future__ import annotations

from tracker.say import numbers


def plain(text: str) -> str:
    """Text with the marks that would format it taken as they are, line by line.

    No line ends between a number and its unit.

    >>> print(plain("5 * 3 [a]"))
    5 \\* 3 \\[a\\]
    """
    marked = "".join(
        f"\\{mark}" if mark in "\\*_`$[]<>#~:" else mark for mark in numbers.unbroken(text)
    )
    return "  \n".join(marked.splitlines())
