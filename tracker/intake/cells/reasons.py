"""What a cell says of how a part failed, beside the reason that it was read as.

"Clogged" is read as failed; how it failed is kept as well: as its failure mode where the kind has
such a one, else in the note under the sheet's own heading.
"""

from __future__ import annotations

import numpy as np

from tracker.intake.cells.months import bare
from tracker.intake.cells.typed import DistinctCells, as_text, is_nothing, noted
from tracker.intake.headers.columns import contract_word, own_word, plain_word
from tracker.intake.headers.synonyms import TELL_HOW
from tracker.workshop.contract import FITTINGS
from tracker.workshop.vocabulary import PART_KINDS, failure_modes

_REASON = FITTINGS.column("removal_reason")


def tells_more(text: str) -> bool:
    """True for a reason that is neither one of the contract's nor another word for one.

    >>> tells_more("clogged"), tells_more("edge gone"), tells_more("defekt"), tells_more("failed")
    (True, True, False, False)
    """
    if is_nothing(text) or own_word(text, _REASON):
        return False
    if any(plain_word(text) in failure_modes(kind) for kind in PART_KINDS):
        return True
    return contract_word(text, _REASON) not in _REASON.choices or bare(text) in _TELL_HOW


def keep_what_tells_more(values: dict[str, np.ndarray], cells: DistinctCells, heading: str) -> bool:
    """Puts what ``cells`` tell beside the reason into the failure mode or the note of their rows.

    ``values`` are the columns of the fittings; ``heading`` stands over the cells. True where
    anything was put.
    """
    telling = np.array([tells_more(as_text(cell)) for cell in cells.cells], dtype=bool)
    if not telling.any():
        return False
    rows = np.flatnonzero(telling[cells.codes])
    modes, notes = (np.array(values[name], dtype=object) for name in ("failure_mode", "note"))
    for at in rows.tolist():
        text = as_text(cells[at]).strip()
        failed = values["removal_reason"][at] in ("failed", "accident")
        modes_of_kind = failure_modes(str(values["part_kind"][at])) if failed else {}
        mode = modes_of_kind.get(plain_word(text), "")
        if mode and modes[at] in ("", mode):
            modes[at] = mode
        elif bare(text) not in bare(f"{modes[at]} {notes[at]}"):
            notes[at] = noted(notes[at], heading, text)
    values |= {"failure_mode": modes, "note": notes}
    return True


_TELL_HOW = frozenset(map(bare, TELL_HOW))
