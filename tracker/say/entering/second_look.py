"""What in the records is possible, but worth a second look?"""

from __future__ import annotations

from datetime import date

from tracker.decisions.due_days.closed_again import closed_again
from tracker.lives.open_days import quiet_gaps
from tracker.say.maintenance.closures import again_notices, gap_notices
from tracker.workshop.checks import failed_before_log, notices
from tracker.workshop.records import Records


def second_look(records: Records, as_of: date) -> list[str]:
    """Doubtful records, stretches without an entry or closed a year ago, failures left out; one
    sentence for each.
    """
    left_out = failed_before_log(records)
    quiet = gap_notices(quiet_gaps(records, as_of))
    again = again_notices(closed_again(records, as_of))
    return [*notices(records), *quiet, *again, *([left_out.notice()] if left_out else [])]
