"""A whole printed page: one file that prints, opens on a phone and needs no network."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tracker import __version__
from tracker.language import _, voice
from tracker.paper.blocks import Block, heading, paragraph, section, text

_STYLE = """
@page { size: auto; margin: 14mm 14mm 16mm; }
* { box-sizing: border-box; }
body { font: 11pt/1.4 system-ui, "Segoe UI", Roboto, Helvetica, Arial, sans-serif; color: #1a1a1a;
  background: #fff; margin: 0 auto; padding: 1rem; max-width: 50rem; }
header { border-bottom: 2px solid #1a1a1a; margin-bottom: .8rem; }
header p { margin: .1rem 0 .4rem; font-size: 9.5pt; }
h1 { font-size: 1.5rem; margin: 0; } h2 { font-size: 1.15rem; margin: 1.4rem 0 .4rem;
  break-after: avoid; } h3 { font-size: 1rem; margin: .9rem 0 .3rem; break-after: avoid; }
.lead, h2 + p, h3 + p { break-after: avoid; }
table + .small, .small + .small { break-before: avoid; }
p { orphans: 3; widows: 3; }
.answer { font-size: 1.1rem; font-weight: 600; margin: .6rem 0; }
.demo { border: 1px dashed #1a1a1a; padding: .3rem .6rem; }
ol, ul { padding-left: 1.4rem; } li { margin-bottom: .5rem; break-inside: avoid; }
li b { display: block; } .bare { list-style: none; padding: 0; }
table { border-collapse: collapse; width: 100%; margin: .4rem 0 .8rem; font-size: 10pt; }
tr, svg, figure, .keep { break-inside: avoid; } thead { display: table-header-group; }
tfoot { display: table-row-group; font-weight: 600; }
th, td { text-align: left; padding: .2rem .5rem .2rem 0; border-bottom: 1px solid #bbb;
  vertical-align: top; overflow-wrap: break-word; }
th { border-bottom: 1.5px solid #1a1a1a; }
.n { text-align: right; padding-left: .3rem; } td.n { white-space: nowrap; }
figure { margin: .4rem 0; } .pair { display: flex; flex-wrap: wrap; gap: 0 1rem;
  break-inside: avoid; } .pair > div { flex: 1 1 18rem; } .pair figure { max-width: 26rem; }
figcaption, .small { font-size: 9.5pt; color: #444; }
.bad { border-left: 5px solid #C8372D; padding: .2rem .7rem; font-weight: 600; }
svg { height: auto; max-width: 34rem; }
@media print { body { padding: 0; max-width: none; font-size: 10pt; } table { font-size: 9pt; } }
@media (max-width: 40rem) { table { font-size: 9pt; display: block; overflow-x: auto; }
  td, th { padding-right: .3rem; } }
"""
# A sheet that is to fit on one side of paper; on a screen it reads like any other.
_ONE_SIDE = """
@page { margin: 9mm 13mm; }
li { margin-bottom: .15rem; } ul { margin: .2rem 0; }
@media print { body { font-size: 8pt; line-height: 1.18; } h1 { font-size: 13pt; }
  h2 { font-size: 9.5pt; margin: .5rem 0 .15rem; } .answer { font-size: 9.5pt; margin: .2rem 0; }
  header { margin-bottom: .3rem; }
  header p, .small, figcaption { font-size: 8pt; margin: .1rem 0; } .demo { padding: 0 .6rem; }
  figure { margin: 0; } svg { max-width: 16.5rem; }
  p { margin: .25rem 0; } li { margin-bottom: .05rem; }
  table { font-size: 8pt; margin: .2rem 0; } th, td { padding-top: .03rem; padding-bottom: .03rem; }
  .wide svg { max-width: 100%; } .wide > div { flex: 1 1 15rem; }
}
/* What follows the one sheet on demand has room again. */
.appendices { break-before: page; }
@media print { .appendices { font-size: 10pt; line-height: 1.4; }
  .appendices svg { max-width: 34rem; }
  .appendices table { font-size: 9pt; margin: .4rem 0 .8rem; }
  .appendices h2 { font-size: 1.15rem; margin: 1.4rem 0 .4rem; } .appendices p { margin: .5rem 0; }
  .appendices .pair svg { max-width: 100%; } .appendices li { margin-bottom: .5rem; } }
"""
# Forms that are filled in by hand, a sheet of A4 each: every box has its place and its size.
_FORM = """
@page { size: A4; margin: 7mm 9mm 10mm; }
.sheet + .sheet { break-before: page; margin-top: 2rem; }
.boxes { table-layout: fixed; font-size: 8pt; margin: .25rem 0 .35rem; border: 1.5px solid #1a1a1a;
  display: table; }
.boxes th, .boxes td { border: 1px solid #777; padding: 0 .2rem; line-height: 1.1;
  vertical-align: middle; }
.boxes th { vertical-align: bottom; padding: .15rem .2rem; font-size: 7pt; }
.boxes th.group { text-align: left; border-bottom: 0; }
.boxes td { height: 4.8mm; color: #555; }
.boxes th .small { font-weight: 400; } .boxes .edge { border-left: 2.5px solid #1a1a1a; }
.boxes.lines td { height: 6mm; } .boxes.roomy td { height: 5.2mm; }
.boxes .closed { background: #e4e4e4; } .boxes .due { text-align: center; color: #777; }
.boxes td.name { color: #1a1a1a; white-space: nowrap; }
.boxes .week { border-top: 2px solid #1a1a1a; }
@media print { .sheet + .sheet { margin-top: 0; } body { font-size: 8pt; line-height: 1.2; }
  h1 { font-size: 14pt; } h2 { font-size: 9pt; margin: .35rem 0 0; }
  header { margin-bottom: .2rem; border-bottom-width: 1px; }
  header p, .small { font-size: 7pt; margin: 0 0 .1rem; }
  .sheet > .small { font-size: 6.7pt; } p { margin: .15rem 0; }
  .demo { padding: 0 .6rem; } .boxes { font-size: 7.5pt; margin: .15rem 0 .2rem; }
  .pair { gap: 0 4mm; } .pair > div { flex: 3 1 0; } .pair > div + div { flex: 1 1 0; } }
"""
# Labels to cut out: a code of 30 mm is read from half a metre.
_LABELS = """
.labels { display: flex; flex-wrap: wrap; gap: 5mm; }
.label { display: flex; gap: 4mm; align-items: center; width: 86mm; max-width: 100%;
  min-height: 40mm; padding: 2mm; border: 1px dashed #777; break-inside: avoid; }
.label svg { flex: none; width: 36mm; height: 36mm; }
.label div { min-width: 0; } .label p { margin: 0 0 1mm; overflow-wrap: anywhere; }
.label .name { font-size: 15pt; font-weight: 700; line-height: 1.15; }
.label .address { font-size: 7.5pt; color: #444; }
"""


@dataclass(frozen=True)
class Sheet:
    """One sheet of several that are printed together: what stands above it, and its pieces."""

    title: str
    body: tuple[Block, ...]


@dataclass(frozen=True, kw_only=True)
class Page:
    """What stands above a printed page and at the foot of each of its sheets.

    ``workshop`` is the name of whose page it is, "" where none is set; ``known`` says from which
    day it looks ("as known on 31 Mar 2026"); ``one_side``: small print, to fit on one sheet.
    """

    workshop: str
    title: str
    known: str
    is_demo: bool = False
    one_side: bool = False

    def html(self, *body: Block) -> str:
        """The page as one self-contained file; the same page gives the same bytes."""
        whose = f"{self.workshop}: {self.title[0].lower()}{self.title[1:]}"
        style = _ONE_SIDE if self.one_side else ""
        return self._file(style, self._top(whose if self.workshop else self.title), *body)

    def forms(self, sheets: Sequence[Sheet]) -> str:
        """Sheets of A4 to be filled in by hand, each with its own title, as one file."""
        drawn = [
            section(self._top(" – ".join(filter(None, (sheet.title, self.workshop)))), *sheet.body)
            for sheet in sheets
        ]
        return self._file(_FORM, *drawn)

    def labels(self, *labels: Block) -> str:
        """Labels to cut out, as many on a sheet as there is room for, as one file."""
        together = Block(f'<div class="labels">{"".join(labels)}</div>')
        return self._file(_LABELS, self._top(self.title), together)

    def _file(self, style: str, *body: Block) -> str:
        parts = [
            f'<!DOCTYPE html>\n<html lang="{voice().language}"><head><meta charset="utf-8">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            f"<title>{text(' – '.join(filter(None, (self.title, self.workshop))))}</title>",
            f"<style>{_STYLE}{style}{self._foot()}</style></head><body>",
            *body,
            "</body></html>\n",
        ]
        return "\n".join(part for part in parts if part)

    def _top(self, title: str) -> Block:
        known = _(
            "{known} · printhead and consumables tracker, version {version}",
            known=self.known[0].upper() + self.known[1:],
            version=__version__,
        )
        top = Block(f"<header>{heading(title, 1)}\n{paragraph(known)}\n</header>")
        demo = paragraph(_("Demonstration workshop: invented data."), "demo")
        return Block(f"{top}\n{demo}") if self.is_demo else top

    def _foot(self) -> str:
        """The line at the foot of every sheet; characters outside words as CSS escapes."""
        pieces = (
            self.workshop,
            self.title,
            self.known,
            _("version {version}", version=__version__),
        )
        line = " · ".join(filter(None, pieces))
        safe = "".join(char if char.isalnum() else f"\\{ord(char):06x}" for char in line)
        return (
            f'@page {{ @bottom-left {{ content: "{safe}"; font: 8pt sans-serif; }} @bottom-right '
            '{ content: counter(page) " of " counter(pages); font: 8pt sans-serif; } }'
        )
