"""One shelf for all sites, or one at each? What a common shelf saves.

Every site needs its own margin of safety where it keeps its own spares; a common shelf needs one.
Both are laid out for the same service level: a common shelf runs short no more often than any one
of the sites' shelves would. The time a spare takes from site to site is not counted.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pandas as pd

from tracker.decisions.stock_table import AS_IT_IS, WhatIf, stock_table
from tracker.forecast.fitted_lives import FittedLives, fit_lives
from tracker.forecast.futures import fitted_positions
from tracker.workshop.records import Records

COLUMNS = (
    "part_kind",
    "variant",
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
    what_if: WhatIf = AS_IT_IS,
    fitted: FittedLives | None = None,
) -> pd.DataFrame:
    """How many spares of each kind do all sites need together, and how many apart?

    One row per part kind and type that is fitted or waited for somewhere: ``common_stock`` pieces
    on one shelf for all, ``apart_stock`` the sum of the sites' own, both for the service level;
    ``saved_pieces`` and ``saved_money`` (currency units, at the kind's price) by the common shelf,
    tied up once and not every year; ``by_site`` {site: pieces}, ``fitted_by_site`` {site: parts
    fitted}. Printers without a site stand at "". ``what_if`` as of ``stock_table``, its site and
    printers to come left aside. Empty where all printers stand at one site.

    Raises:
        UsageError: as ``stock_table``.
    """
    fitted = fit_lives(records, as_of) if fitted is None else fitted
    sites = sorted(set(fitted_positions(fitted)["site"]))
    if len(sites) < 2:
        return pd.DataFrame(columns=list(COLUMNS))

    def table(site: str | None) -> pd.DataFrame:
        asked = replace(what_if, site=site, more_printers=0)
        return stock_table(records, as_of, service, what_if=asked, fitted=fitted)

    common = table(None)
    tables = {site: table(site).set_index(["part_kind", "variant"]) for site in sites}
    rows = []
    for row in common[common["fitted"] + common["waiting"] > 0].to_dict("records"):
        part = (row["part_kind"], row["variant"])
        by_site = {site: int(own.at[part, "stock_for_service"]) for site, own in tables.items()}
        in_use = {site: int(own.at[part, "fitted"]) for site, own in tables.items()}
        together, apart = int(row["stock_for_service"]), sum(by_site.values())
        saved = apart - together
        rows.append((*part, together, apart, saved, saved * row["unit_cost"], by_site, in_use))
    return pd.DataFrame(rows, columns=list(COLUMNS))
