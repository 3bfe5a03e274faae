"""The maintenance log as the routine's effect is counted from it: everywhere the same."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from tracker.lives.log_gaps import NO_GAPS, LogGaps
from tracker.workshop.records import Records

# Where the log never says why, this lag keeps the trouble before a failure out.
LAG_WITHOUT_REASONS = 7


@dataclass(frozen=True, eq=False)
class CountedLog:
    """``records``: with the suspects as because of a symptom, and with the occasions that the gaps
    of a half-written task tell of; ``gaps``: days to be passed over; ``lags``: per task the days
    beyond which no pile-up before failures remains; ``says_why``: does the log, as it was written,
    tell planned actions from those that a symptom called for?
    """

    records: Records
    says_why: bool
    gaps: LogGaps = NO_GAPS
    lags: Mapping[str, int] = field(default_factory=dict)

    @classmethod
    def as_written(cls, known: Records) -> CountedLog:
        """Nothing left out, nothing filled in."""
        return cls(known, bool(known.codes("maintenance", "why").is_word("symptom").any()))

    def is_as_written(self, known: Records) -> bool:
        """Is nothing of these records left out or filled in?"""
        return self.records is known and self.gaps is NO_GAPS

    def lag_of(self, *tasks: str) -> int:
        """How many days before each day are left out where these tasks are looked at together: the
        fewest beyond which no pile-up of any of them remains, and a week at least where the log
        never says why.
        """
        least = 0 if self.says_why else LAG_WITHOUT_REASONS
        return max([least, *(self.lags.get(task, 0) for task in tasks)])
