"""All untidy sheets."""

from __future__ import annotations

from tests.intake.untidy.besides import BESIDES
from tests.intake.untidy.calendars import CALENDARS
from tests.intake.untidy.changes import CHANGES
from tests.intake.untidy.history import HISTORY
from tests.intake.untidy.logs import LOGS
from tests.intake.untidy.readings import READINGS
from tests.intake.untidy.refused import REFUSED
from tests.intake.untidy.shelves import SHELVES
from tests.intake.untidy.workbooks import WORKBOOKS

SHEETS = (
    *CALENDARS,
    *WORKBOOKS,
    *CHANGES,
    *BESIDES,
    *HISTORY,
    *LOGS,
    *READINGS,
    *SHELVES,
    *REFUSED,
)
