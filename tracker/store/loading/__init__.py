"""Files into the database: what is new, what is known, what completes or contradicts a record.

Read ``plan`` (a whole load), ``match`` (the rows of one table, those not paired yet in
``positions``), ``earlier_versions`` (rows that were corrected here since they came),
``placeholders`` (parts that were in there already, and what a file tells of them), ``first_days``
(older history than any day written down), ``report``.
"""

from tracker.store.loading.first_days import NONE_EARLIER, FirstDays, earlier_first_days
from tracker.store.loading.plan import OnConflict, plan_load
from tracker.store.loading.report import LoadReport

__all__ = [
    "NONE_EARLIER",
    "FirstDays",
    "LoadReport",
    "OnConflict",
    "earlier_first_days",
    "plan_load",
]
