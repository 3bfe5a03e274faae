"""The pieces a printed page is made of. Every word of every printed page is escaped here.

A ``Block`` is markup that a function of this module made (or ``svg``); words come in as plain text.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from typing import NewType

from tracker.language import _
from tracker.say import numbers
from tracker.say.listing import Listing
from tracker.workshop import vocabulary as vocab

Block = NewType("Block", str)
NOTHING = Block("")
KEPT_WHOLE = 12  # rows up to which a table is not spread over two pages


@dataclass(frozen=True)
class Item:
    """An entry of a list: its lead in bold with an aside in small letters, then the words."""

    lead: str
    words: str
    aside: str = ""


@dataclass(frozen=True)
class Box:
    """A cell of a form: what is printed in it and how it looks.

    ``kind``: words of "name" (a label), "due" (marked in the middle), "closed" (grey), "week" (a
    thick line above), "edge" (a thick line before it), "group" (a heading over ``across`` cells,
    with an ``aside`` in small letters).
    """

    words: str = ""
    kind: str = ""
    across: int = 1
    aside: str = ""


def text(words: str) -> Block:
    """Plain words for the page: nothing in them is markup, and no number loses its unit."""
    return Block(escape(numbers.unbroken(words)))


def joined(*blocks: Block) -> Block:
    """Pieces one after another."""
    return Block("".join(blocks))


def kept_together(*blocks: Block) -> Block:
    """Pieces that stay on one page."""
    return Block(f'<div class="keep">{joined(*blocks)}</div>')


def section(*blocks: Block) -> Block:
    """A sheet of its own where several are printed together."""
    return Block(f'<section class="sheet">{joined(*blocks)}</section>')


def appendices(*blocks: Block) -> Block:
    """What follows on sheets of its own."""
    return Block(f'<div class="appendices">{joined(*blocks)}</div>')


def side_by_side(left: Block, right: Block, *, kind: str = "") -> Block:
    """Two pieces beside each other where there is room; nothing where both are.

    ``kind`` "wide": pictures fill their half of a one-sided sheet.
    """
    pieces = "".join(f"<div>{piece}</div>" for piece in (left, right) if piece)
    name = " ".join(filter(None, ("pair", kind)))
    return Block(f'<div class="{name}">{pieces}</div>') if pieces else NOTHING


def heading(words: str, level: int = 2) -> Block:
    """A heading."""
    return Block(f"<h{level}>{text(words)}</h{level}>")


def paragraph(words: str, kind: str = "") -> Block:
    """A paragraph of plain words, each line of them on its own; nothing where there are none.

    ``kind``: "answer" (the page's first sentence), "lead" (stays with what follows), "small",
    "bad" (marked at the side), "demo" (framed).
    """
    if not words:
        return NOTHING
    start = f'<p class="{kind}">' if kind else "<p>"
    return Block(f"{start}{'<br>'.join(map(text, words.splitlines()))}</p>")


def bullets(items: Iterable[str | Item], kind: str = "") -> Block:
    """A list; ``kind``: "numbered", or "bare" for items that have a mark of their own."""
    body = "".join(f"<li>{_item(item)}</li>" for item in items)
    if not body:
        return NOTHING
    if kind == "numbered":
        return Block(f"<ol>{body}</ol>")
    return Block(f'<ul class="{kind}">{body}</ul>' if kind else f"<ul>{body}</ul>")


def _item(item: str | Item) -> Block:
    if isinstance(item, str):
        return text(item)
    aside = f' <span class="small">({text(item.aside)})</span>' if item.aside else ""
    return Block(f"<b>{text(item.lead)}{aside}</b>{text(item.words)}")


def table(listing: Listing, most: int | None = None) -> Block:
    """A table of at most so many rows, with what was left out; nothing where there are none."""
    if not listing.rows:
        return NOTHING

    def cells(values: Sequence[str], tag: str) -> str:
        number = f'<{tag} class="n">'
        return "".join(
            f"{number if column in listing.numeric else f'<{tag}>'}{text(value)}</{tag}>"
            for column, value in enumerate(values)
        )

    rows = listing.rows[:most]
    body = "".join(f"<tr>{cells(row, 'td')}</tr>" for row in rows)
    short = ' class="keep"' if len(rows) <= KEPT_WHOLE else ""
    head = f"<thead><tr>{cells(listing.heads, 'th')}</tr></thead>"
    foot = f"<tfoot><tr>{cells(listing.foot, 'td')}</tr></tfoot>" if listing.foot else ""
    drawn = Block(f"<table{short}>{head}<tbody>{body}</tbody>{foot}</table>")
    return joined(drawn, more_in_the_tables(len(listing) - len(rows)))


def boxes(
    heads: Sequence[Sequence[Box]], rows: Sequence[Sequence[Box]], widths: Sequence[float], *,
    kind: str = "",
) -> Block:  # fmt: skip
    """A form: rows of boxes to write in, under one or more rows of headings.

    ``widths`` are the columns' shares of the whole; ``kind`` "roomy" makes the rows taller, "lines"
    the tallest.
    """

    def row(cells: Sequence[Box], tag: str) -> str:
        return "<tr>" + "".join(_box(cell, tag) for cell in cells) + "</tr>"

    whole = sum(widths)
    columns = "".join(f'<col style="width:{100 * width / whole:.2f}%">' for width in widths)
    head = "".join(row(cells, "th") for cells in heads)
    body = "".join(row(cells, "td") for cells in rows)
    name = f"boxes {kind}".strip()
    return Block(
        f'<table class="{name}"><colgroup>{columns}</colgroup><thead>{head}</thead>'
        f"<tbody>{body}</tbody></table>"
    )


def _box(box: Box, tag: str) -> str:
    kind = f' class="{box.kind}"' if box.kind else ""
    across = f' colspan="{box.across}"' if box.across > 1 else ""
    aside = f' <span class="small">{text(box.aside)}</span>' if box.aside else ""
    return f"<{tag}{kind}{across}>{text(box.words)}{aside}</{tag}>"


def more_in_the_tables(left_out: int) -> Block:
    """What to read where a list was cut."""
    if left_out <= 0:
        return NOTHING
    return paragraph(
        _("And {left_out} more; all of them are in the CSV tables.", left_out=left_out), "small"
    )


def figure(svg: str, caption: str) -> Block:
    """A picture and the sentence that says what it shows."""
    return Block(f"<figure>{svg}<figcaption>{text(caption)}</figcaption></figure>")


def label(name: str, aside: str, code: str, says: str, address: str) -> Block:
    """A label to cut out: a code beside the name, what it is for, and the address in letters."""
    beside = (
        paragraph(name, "name"), paragraph(aside, "small"), paragraph(says),
        paragraph(address, "address"),
    )  # fmt: skip
    return Block(f'<div class="label">{code}<div>{joined(*beside)}</div></div>')


def cautions(keys: Iterable[str]) -> Block:
    """The usual cautions beside work that can hurt someone; the maker's instructions come first."""
    return bullets(_(vocab.CAUTIONS[key]) for key in dict.fromkeys((*keys, "deference")))
