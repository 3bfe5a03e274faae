"""The workshop's own figures: of a part in the catalogue, and settings."""

from __future__ import annotations

from collections.abc import Mapping

from tracker.language import _
from tracker.store.batch import Batch
from tracker.store.database import Store
from tracker.store.meanwhile.as_read import Disagreement
from tracker.store.meanwhile.authors import author_of_cell
from tracker.workshop import vocabulary as words
from tracker.workshop.age_guesses import guesses_as_of, log_first_day


def state_figures(
    store: Store,
    part_kind: str,
    figures: Mapping[str, float | None],
    settings: Mapping[str, str],
    *,
    as_read: Mapping[str, object] | None = None,
) -> int | None:
    """Writes down figures of a part kind (columns of ``parts``) and settings, as one change.

    None and "" take a figure back, so that the trade's guess or the default holds again. Money in
    currency units. ``as_read``: the figures and settings as the person read them, by their names
    (see ``Batch.correct``).
    """
    label = words.part_label(part_kind)
    with store.change(_("{label}: what a failure costs", label=label)) as change:
        put_figures(change, part_kind, figures, as_read=as_read)
        for name, text in settings.items():
            put_setting(change, name, text, as_read=as_read)
    return change.number


def put_figures(
    change: Batch,
    part_kind: str,
    figures: Mapping[str, object],
    *,
    variant: str = "",
    as_read: Mapping[str, object] | None = None,
) -> None:
    """Figures into the catalogue's line for that type ("": for all of that kind), or a new line.

    ``as_read``: the figures as the person read them (see ``Batch.correct``).
    """
    facts = change.records.part_facts(part_kind, variant)
    rows = change.records.parts
    rows = rows[(rows["part_kind"] == part_kind) & (rows["variant"] == variant)]
    if len(rows):
        read = None if as_read is None else {n: as_read[n] for n in figures if n in as_read}
        change.correct("parts", int(rows.index[-1]), dict(figures), as_read=read)
    elif any(value is not None for value in figures.values()):
        # A line is written whole: an empty "replaced with" means "with nothing".
        line = {"part_kind": part_kind, "variant": variant, "replaced_with": facts.replaced_with}
        change.add("parts", {**line, **figures})


def put_settings(
    change: Batch, texts: Mapping[str, str], *, as_read: Mapping[str, object] | None = None
) -> None:
    """Several of them. Where the log's first day moves, guesses of ages are of the new one, so that
    parts are as old as was said; one that went in after it is 0 days old then.
    """
    for name, text in texts.items():
        put_setting(change, name, text, as_read=as_read)
    began = log_first_day(change.candidate())
    if began is None or began == log_first_day(change.records):
        return
    for row_id, days in guesses_as_of(change.records, began).items():
        change.correct("fittings", int(str(row_id)), {"age_guess_days": max(0.0, float(days))})


def put_setting(
    change: Batch, name: str, text: str, *, as_read: Mapping[str, object] | None = None
) -> None:
    """A setting as text; "" takes it back to its default. Nothing happens where it is the same.

    ``as_read``: the settings as the person read them, by name: one that they did not touch stays as
    it is now, and one that both changed is noted as a disagreement (see ``Batch.correct``).
    """
    rows = change.records.settings
    rows = rows[rows["name"] == name]
    now = rows["value"].iloc[-1] if len(rows) else ""
    read = None if as_read is None else str(as_read.get(name, ""))
    if text in (now, read):
        return
    if read is not None and read != now:
        author = None
        if len(rows):
            author = author_of_cell(change.connection, "settings", int(rows.index[-1]), "value")
        change.disagreements.append(Disagreement("settings", "value", name, now, text, author))
    elif rows.empty:
        change.add("settings", {"name": name, "value": text})
    elif text:
        change.correct("settings", int(rows.index[-1]), {"value": text})
    else:
        change.remove("settings", int(rows.index[-1]))
