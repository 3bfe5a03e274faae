"""Which positions will need parts, and until when?"""

from __future__ import annotations

import pandas as pd

from tracker.decisions.ordering.lead_time import usual_days
from tracker.forecast.fitted_lives import FittedLives
from tracker.forecast.futures import fitted_positions
from tracker.forecast.futures.positions import staying, still_filled
from tracker.workshop.records import Records


def positions_ahead(records: Records, fitted: FittedLives) -> pd.DataFrame:
    """Rows of ``fitted_positions``, each until its printer leaves; without those that nobody will
    fill before. ``records``: everything written down, which tells of printers that will leave.
    """
    positions = staying(records, fitted.as_of, fitted_positions(fitted))
    return still_filled(positions, usual_days(fitted.known, fitted.as_of))
