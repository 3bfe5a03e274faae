"""What a load did, for the person and for undo."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from tracker.language import _, counted, ngettext


@dataclass(frozen=True)
class LoadReport:
    """What a load did, rows by table; ``batch`` is the change to undo, None when nothing was new.

    ``corrected`` counts rows that were corrected or taken out here since they came, and stay as
    they are here; ``notes`` say what else the load changed or left, a sentence each.

    >>> report = LoadReport("march", 3, {"fittings": 12}, {"fittings": 2}, {"fittings": 40})
    >>> print(report.sentence())
    march: 12 rows added, 2 completed, 40 already there.
    """

    source: str
    batch: int | None
    added: Mapping[str, int]
    completed: Mapping[str, int]
    unchanged: Mapping[str, int]
    corrected: Mapping[str, int] = field(default_factory=dict)
    notes: tuple[str, ...] = ()

    def sentence(self) -> str:
        """The report in one sentence, the notes after it."""
        added, completed = sum(self.added.values()), sum(self.completed.values())
        there, corrected = sum(self.unchanged.values()), sum(self.corrected.values())
        if added or completed:
            text = _(
                "{added} added, {completed} completed, {there} already there.",
                added=_rows(added),
                completed=completed,
                there=there,
            )
        elif corrected:
            text = _("nothing new, {there} already there.", there=_rows(there))
        else:
            text = _("nothing new, all {there} rows are already there.", there=there)
        return " ".join(filter(None, [f"{self.source}: {text}", self.what_stays, *self.notes]))

    @property
    def what_stays(self) -> str:
        """That rows of the file differ from what was corrected here since; "" where none does."""
        corrected = sum(self.corrected.values())
        if not corrected:
            return ""
        return ngettext(
            "{rows} was corrected or taken out here since; it stays so unless the file is to win.",
            "{rows} were corrected or taken out here since; they stay so unless the file is to "
            "win.",
            corrected,
            rows=_rows(corrected),
        )


def _rows(number: int) -> str:
    return counted(number, "row", "rows")
