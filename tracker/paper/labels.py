"""Labels to stick on the printers: the name and a QR code that opens that printer's log."""

from __future__ import annotations

import io
from collections.abc import Sequence
from datetime import date

from tracker.language import _
from tracker.paper import blocks
from tracker.paper.addresses import page_address
from tracker.paper.blocks import Block
from tracker.paper.page import Page
from tracker.say import numbers
from tracker.say.printer_page import links as say_links


def log_address(base: str, printer: str) -> str:
    """Where a printer's label leads: the log, with that printer chosen."""
    return page_address(base, "log", printer=printer)


def qr_code(address: str) -> Block:
    """The address as a QR code (ISO/IEC 18004), an SVG element with its quiet zone.

    A quarter of it may be hidden by ink and still be read (error correction level Q).
    """
    import segno

    out = io.BytesIO()
    code = segno.make(address, error="q", micro=False, boost_error=False)
    code.save(
        out,
        kind="svg",
        xmldecl=False,
        svgns=True,
        omitsize=True,
        light="#fff",
        border=4,
        title=_("QR code"),
        nl=False,
    )
    return Block(out.getvalue().decode("utf-8"))


def label(base: str, printer: str, site: str = "") -> Block:
    """One label."""
    address = log_address(base, printer)
    return blocks.label(printer, site, qr_code(address), _(say_links.LABEL_SAYS), address)


def label_sheet(
    printers: Sequence[tuple[str, str]], base: str, workshop: str, as_of: date, *,
    is_demo: bool = False,
) -> str:  # fmt: skip
    """A self-contained HTML file with a label for each printer, given as (name, site)."""
    page = Page(
        workshop=workshop,
        title=_("Labels for the printers"),
        known=_("as known on {as_of}", as_of=numbers.day(as_of)),
        is_demo=is_demo,
    )
    return page.labels(*(label(base, name, site) for name, site in printers))
