"""Whose rows: the printers that texts, titles and names of sheets mean, and a row for each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from tracker.intake.cells.typed import Cell, as_text
from tracker.intake.drafts import Draft, tables_of
from tracker.intake.files.raw_table import RawTable
from tracker.intake.layout.known import Known
from tracker.intake.names import EVERY, Names, match_names
from tracker.intake.talk import Talk
from tracker.language import _
from tracker.workshop.contract import TABLE_BY_NAME

_LISTS_THEM = "printers"  # the table whose printers are new by what it is


@dataclass(frozen=True)
class Whose:
    """The printers that are meant: by text, and all that the rows may be of."""

    names: Names = field(default_factory=Names)
    printers: tuple[str, ...] = ()

    @property
    def notices(self) -> list[str]:
        """What was taken for which printer, once it is settled."""
        return [
            _(
                '"{text}" was taken for every printer: {printers}.',
                text=text,
                printers=", ".join(self.printers),
            )
            if printer == EVERY
            else _('"{text}" was taken for the printer {printer}.', text=text, printer=printer)
            for text, printer in self.names.by_text.items()
            if text != printer and not self.names.open
        ]

    def renamed(self, draft: Draft, table: str, raw: RawTable) -> RawTable:
        """The table with each printer's name as it is written down."""
        header = draft.header_of(raw, "printer")
        if header is None or not _names_others(table) or not self.names.by_text:
            return raw
        named = raw.column(header)
        meant = named.each(lambda cell: self.names.of(as_text(cell).strip()))
        return raw if meant.cells == named.cells else raw.with_column(header, meant)

    def for_every(
        self,
        draft: Draft,
        table: str,
        raw: RawTable,
        mapping: dict[str, str],
        constants: dict[str, str],
    ) -> RawTable:
        """The table with a row for each printer where one stands for every one of them.

        Where a table may leave the printer empty, that says the same.
        """
        if not _names_others(table):
            return raw
        header = draft.header_of(raw, "printer")
        if header is None and constants.get("printer") == EVERY:
            del constants["printer"]
            header = "printer"
            mapping[header] = "printer"
            raw = raw.beside(header, [EVERY] * len(raw.row_numbers))
        if header is None or EVERY not in raw.column(header):
            return raw
        each: list[Cell] = list(self.printers) if _needs_printer(table) else [""]
        return raw.repeated(
            header, [each if cell == EVERY else [cell] for cell in raw.column(header)]
        )


def whose_rows(drafts: Sequence[Draft], known: Known, talk: Talk) -> Whose:
    """The printers that the files' texts mean, a likeness asked; and all there are."""
    counts: Counter[str] = Counter()
    examples: dict[str, str] = {}
    listed: list[str] = list(known.all_printers)
    lonely: list[Draft] = []
    for draft, table, raw in tables_of(drafts):
        header = draft.header_of(raw, "printer")
        if table == _LISTS_THEM and header:
            named = raw.column(header).cells
            listed += [text for cell in named if (text := as_text(cell).strip())]
        elif _names_others(table) and header:
            _count(draft, raw, header, counts, examples)
        elif _names_others(table) and _needs_printer(table):
            lonely.append(draft)
    printers = list(dict.fromkeys(listed))
    for draft in lonely:
        only_one = len(printers) == 1 and not draft.piece.sheet
        if draft.told.named and not draft.told.printer and not only_one:
            counts[draft.told.named] += 1
            examples.setdefault(draft.told.named, _("the title or name of {name}", name=draft.name))
    sources = {draft.piece.source for draft in drafts}
    source = sources.pop() if len(sources) == 1 else ""
    names = match_names(counts, printers, talk, examples, source)
    in_use = [p for p in printers if p in known.printers or p not in known.all_printers]
    return Whose(names, tuple(dict.fromkeys([*in_use, *names.printers])))


def _count(
    draft: Draft, raw: RawTable, header: str, counts: Counter[str], examples: dict[str, str]
) -> None:
    cells = raw.column(header)
    for cell, often in cells.counts().items():
        if text := as_text(cell).strip():
            counts[text] += often
            if text not in examples:
                examples[text] = f"{draft.name} {raw.shown(cells.index(cell))}"


def _names_others(table: str) -> bool:
    """True for a table whose rows are of printers written down elsewhere."""
    return table != _LISTS_THEM and "printer" in TABLE_BY_NAME[table].names


def _needs_printer(table: str) -> bool:
    return TABLE_BY_NAME[table].column("printer").required
