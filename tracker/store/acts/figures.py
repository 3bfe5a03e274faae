"""The workshop's own figures: of a part in the catalogue, and settings."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from tracker.language import _
from tracker.store.batch import Batch
from tracker.store.database import Store
from tracker.workshop import vocabulary as words


def state_figures(
    store: Store,
    part_kind: str,
    figures: Mapping[str, float | None],
    settings: Mapping[str, str],
    *,
    who: str = "",
    now: datetime | None = None,
) -> int | None:
    """Writes down figures of a part kind (columns of ``parts``) and settings, as one change.

    None and "" take a figure back, so that the trade's guess or the default holds again. Money in
    currency units.
    """
    label = words.part_label(part_kind)
    with store.change(_("{label}: what a failure costs", label=label), who, now=now) as change:
        put_figures(change, part_kind, figures)
        for name, text in settings.items():
            put_setting(change, name, text)
    return change.number


def put_figures(
    change: Batch, part_kind: str, figures: Mapping[str, float | None], *, variant: str = ""
) -> None:
    """Figures into the catalogue's line for that type ("": for all of that kind), or a new line."""
    facts = change.records.part_facts(part_kind, variant)
    rows = change.records.parts
    rows = rows[(rows["part_kind"] == part_kind) & (rows["variant"] == variant)]
    if len(rows):
        change.correct("parts", int(rows.index[-1]), dict(figures))
    elif any(value is not None for value in figures.values()):
        # A line is written whole: an empty "replaced with" means "with nothing".
        line = {"part_kind": part_kind, "variant": variant, "replaced_with": facts.replaced_with}
        change.add("parts", {**line, **figures})


def put_setting(change: Batch, name: str, text: str) -> None:
    """A setting as text; "" takes it back to its default. Nothing happens where it is the same."""
    rows = change.records.settings
    rows = rows[rows["name"] == name]
    if rows.empty and text:
        change.add("settings", {"name": name, "value": text})
    elif len(rows) and not text:
        change.remove("settings", int(rows.index[-1]))
    elif len(rows) and rows["value"].iloc[-1] != text:
        change.correct("settings", int(rows.index[-1]), {"value": text})
