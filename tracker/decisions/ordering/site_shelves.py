"""One shelf for all sites, or one at each? What a common shelf saves.

Every site needs its own margin of safety where it keeps its own spares; a common shelf needs one.
Both are laid out for the same service level: a common shelf runs short no more often than any one
of the sites' shelves would. The time a spare takes from site to site is not counted.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

import pandas as pd

from tracker.decisions.stock_table import stock_table
from tracker.forecast.need import NeedModel, need_models
from tracker.lives.life_table import life_table
from tracker.say import numbers
from tracker.workshop.records import Records

COLUMNS = (
    "part_kind",
    "common_stock",
    "apart_stock",
    "saved_pieces",
    "saved_money",
    "by_site",
    "fitted_by_site",
)


def site_shelves(
    records: Records,
    as_of: date,
    service: float | None = None,
    *,
    models: Mapping[str, NeedModel] | None = None,
    **what_if: Any,
) -> pd.DataFrame:
    """How many spares of each kind do all sites need together, and how many apart?

    One row per part kind that is fitted somewhere: ``common_stock`` pieces on one shelf for all,
    ``apart_stock`` the sum of the sites' own, both for the service level; ``saved_pieces`` and
    ``saved_money`` (currency units, at the kind's price) by the common shelf, tied up once and not
    every year; ``by_site`` {site: pieces}, ``fitted_by_site`` {site: parts fitted}. Printers
    without a site stand at "". ``what_if``: ``lead_days, retiring, planned_ages`` of
    ``stock_table``. Empty where all printers stand at one site.

    Raises:
        UsageError: as ``stock_table``.
    """
    models = need_models(records, as_of) if models is None else models
    lives = life_table(records, as_of)
    sites = sorted(set(lives.loc[lives["outcome"].eq("running"), "site"]))
    if len(sites) < 2:
        return pd.DataFrame(columns=list(COLUMNS))
    common = stock_table(records, as_of, service, models=models, **what_if)
    tables = {
        site: stock_table(records, as_of, service, site=site, models=models, **what_if).set_index(
            "part_kind"
        )
        for site in sites
    }
    rows = []
    for row in common[common["fitted"] > 0].to_dict("records"):
        kind = row["part_kind"]
        by_site = {site: int(table.at[kind, "stock_for_service"]) for site, table in tables.items()}
        fitted = {site: int(table.at[kind, "fitted"]) for site, table in tables.items()}
        together, apart = int(row["stock_for_service"]), sum(by_site.values())
        saved = apart - together
        rows.append((kind, together, apart, saved, saved * row["unit_cost"], by_site, fitted))
    return pd.DataFrame(rows, columns=list(COLUMNS))


def sentence(table: pd.DataFrame, currency: str = "EUR") -> str:
    """What the common shelf saves, in words; "" for an empty table."""
    if table.empty:
        return ""
    many = len(table["by_site"].iloc[0])
    sites = "both sites" if many == 2 else f"all {many} sites"
    pieces, money = int(table["saved_pieces"].sum()), float(table["saved_money"].sum())
    if pieces <= 0:
        return f"One shelf for {sites} needs as many spares as one at each."
    return (
        f"One shelf for {sites} needs {numbers.count(pieces, 'piece')} fewer than one at "
        f"each ({numbers.money(money, currency)} less lying on the shelf)."
    )
