"""Whose closed days are they: the workshop's own, or a supplier's, on which it works?"""

from __future__ import annotations

import pandas as pd


def of_workshop(closures: pd.DataFrame) -> pd.DataFrame:
    """Rows of ``closures`` on which nobody works here."""
    return closures[closures["supplier"] == ""]


def suppliers_named(*tables: pd.DataFrame) -> list[str]:
    """Every supplier that these tables of records name, in order."""
    return sorted({name.strip() for table in tables for name in table["supplier"]} - {""})


def of_suppliers(closures: pd.DataFrame) -> pd.DataFrame:
    """Rows of ``closures`` on which a supplier sends nothing."""
    return closures[closures["supplier"] != ""]
