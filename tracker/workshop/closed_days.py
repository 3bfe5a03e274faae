"""Whose closed days are they: the workshop's own, or a supplier's, on which it works?"""

from __future__ import annotations

import pandas as pd

from tracker.workshop.records import Records


def of_workshop(closures: pd.DataFrame) -> pd.DataFrame:
    """Rows of ``closures`` on which nobody works here."""
    return closures[closures["supplier"] == ""]


def suppliers_named(records: Records) -> list[str]:
    """Everybody from whom something was ordered or bought, or who was shut, by name."""
    tables = (records.orders, records.fittings, records.closures)
    return sorted({name.strip() for table in tables for name in table["supplier"]} - {""})


def of_suppliers(closures: pd.DataFrame) -> pd.DataFrame:
    """Rows of ``closures`` on which a supplier sends nothing."""
    return closures[closures["supplier"] != ""]
