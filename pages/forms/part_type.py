"""Which type of part: its kind, and its type where the workshop has several."""

from __future__ import annotations

import streamlit as st

from pages.forms.fields import known_kinds, pick_kind
from pages.shell.session import Workshop
from pages.shell.words import plain
from tracker.language import _
from tracker.say import part_types as names
from tracker.workshop import vocabulary as words
from tracker.workshop.variants import PartType, part_types, types_in


def pick_type(workshop: Workshop, key: str) -> PartType | None:
    """The kind as taps, then its type where there is more than one; None until both are said."""
    kind = pick_kind(workshop, key)
    if not kind:
        return None
    variants = [part.variant for part in shelf_types(workshop) if part.part_kind == kind]
    if len(variants) < 2:
        return PartType(kind, *variants)
    chosen = st.pills(
        _("Which type?"),
        variants,
        key=f"{key}-type-{kind}",
        required=True,
        format_func=lambda name: plain(words.said(name) or _("not known")),
    )
    return None if chosen is None else PartType(kind, chosen)


def shelf_types(workshop: Workshop) -> list[PartType]:
    """Every type the shelf may hold: those in use, those written down, and the kinds of the trade
    that the workshop does not have yet."""
    records = workshop.records
    found = dict.fromkeys(part_types(records))
    kept = records.stock[records.stock["variant"] != ""]
    found |= dict.fromkeys(types_in(kept))
    there = {part.part_kind for part in found}
    found |= {PartType(kind): None for kind in known_kinds(workshop) if kind not in there}
    return list(found)


def type_label(part: PartType) -> str:
    """The type in words."""
    return names.label(*part)
