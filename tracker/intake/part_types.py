"""Types of heads in the names of articles: "8-channel head" is a head of the type 8-channel.

Known are the head types of the printers, those of the files included, and the variants in use.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from tracker.intake.cells.months import bare
from tracker.intake.cells.typed import Cell, as_text, is_nothing
from tracker.intake.drafts import Draft, tables_of
from tracker.intake.files.raw_table import RawTable
from tracker.intake.layout.known import Known
from tracker.workshop.contract import TABLE_BY_NAME

HEAD_KIND = "head"


def head_types(drafts: Iterable[Draft], known: Known) -> tuple[str, ...]:
    """The types of heads that the workshop or these files name."""
    records = known.records
    found = [*records.printers["head_type"]]
    for frame in (records.fittings, records.parts):
        found += frame["variant"][frame["part_kind"].eq(HEAD_KIND)].unique().tolist()
    for draft, table, raw in tables_of(drafts):
        header = draft.header_of(raw, "head_type") if table == "printers" else None
        if header is not None:
            found += [as_text(cell).strip() for cell in raw.column(header).cells]
    return tuple(dict.fromkeys(name for name in found if not is_nothing(name)))


def type_in(text: str, types: Sequence[str]) -> str:
    """The one type whose words stand in the text beside others; "" for none or several.

    >>> type_in("8-channel head", ("6-channel", "8-channel")), type_in("head", ("head",))
    ('8-channel', '')
    """
    said = bare(text)
    found = [
        name
        for name in types
        if bare(name) != said and re.search(rf"(?<![^ ]){re.escape(bare(name))}(?![^ ])", said)
    ]
    return found[0] if len(found) == 1 else ""


def with_types(
    draft: Draft, table: str, raw: RawTable, mapping: dict[str, str], types: Sequence[str]
) -> RawTable:
    """The table with the types that its names of parts hold as variants, where none is written."""
    named = draft.header_of(raw, "part_kind")
    if named is None or not types or "variant" not in TABLE_BY_NAME[table].names:
        return raw
    texts = raw.column(named)
    of_text: dict[Cell, Cell] = {cell: type_in(as_text(cell), types) for cell in texts.cells}
    if not any(of_text.values()):
        return raw
    header = draft.header_of(raw, "variant")
    if header is None:
        if "variant" in raw.header:
            return raw
        if mapping:
            mapping["variant"] = "variant"
        number = raw.column_numbers[raw.header.index(named)]
        return raw.beside("variant", texts.each(of_text.__getitem__), number)
    cells: list[Cell] = [
        of_text[text] if is_nothing(as_text(cell)) else cell
        for cell, text in zip(raw.column(header), texts, strict=True)
    ]
    return raw.with_column(header, cells)
