"""A supplier, site or lot in another writing than the workshop's is taken for the one it has."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from tracker.language import _
from tracker.workshop.columns.coded import CodedTable
from tracker.workshop.names import NAMINGS, PRINTER, Naming, by_core, core
from tracker.workshop.records import Records


def in_known_writing(read: Records, known: Records, notices: list[str]) -> Records:
    """The records read, names in the writing that the workshop knows; what was taken is told.

    Only what differs in capitals, spaces, accents and signs from one known name, and from no
    other. A name that is known as it stands stays. Printers are asked about (``intake.names``).
    """
    frames: dict[str, CodedTable] = {}
    for key, naming in NAMINGS.items():
        taken = {} if key == PRINTER else _taken(naming, read, known)
        if not taken:
            continue
        column = naming.columns[0][1]
        notices.append(
            _(
                "{column}: {names}, as the workshop writes it.",
                column=column,
                names="; ".join(
                    _("“{name}” is taken for “{known}”", name=name, known=own)
                    for name, own in taken.items()
                ),
            )
        )
        for table, column in naming.columns:
            coded = read.codes(table, column)
            if any(word in taken for word in coded.words):
                now = frames.get(table, read.coded_table(table)).frame
                words = np.array([taken.get(word, word) for word in coded.words], dtype=object)
                frames[table] = CodedTable(now.assign(**{column: words[coded.codes]}))
    return read.after_reading(frames) if frames else read


def _taken(naming: Naming, read: Records, known: Records) -> Mapping[str, str]:
    """New writing → the known one."""
    told = naming.counts(read).keys() - naming.own
    if not told:
        return {}
    there = naming.counts(known)
    known_as = by_core(there)
    meant = {name: known_as.get(core(name), []) for name in sorted(told - there.keys())}
    return {name: own[0] for name, own in meant.items() if len(own) == 1}
