"""Records found by the words in their cells, against the plain way: every row written out."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from tracker.intake.exchange import read_folder
from tracker.workshop.columns.found import newest_found
from tracker.workshop.contract import MAINTENANCE, TABLE_BY_NAME, TABLES
from tracker.workshop.records import Records

SAMPLE = Path(__file__).parents[3] / "sample_data"


@pytest.fixture(scope="module")
def demo() -> Records:
    return read_folder(SAMPLE)


def written_out(records: Records, name: str, looked_for: str) -> list[int]:
    """Row by row, all cells in one text."""
    frame = records.table(name).sort_index(ascending=False)
    happened_on = TABLE_BY_NAME[name].happened_on
    if happened_on:
        frame = frame.sort_values(happened_on, ascending=False, kind="stable")
    for word in looked_for.lower().split() if len(frame) else ():
        texts = [" ".join(cells).lower() for cells in frame.astype(str).to_numpy()]
        frame = frame[[word in text for text in texts]]
    return frame.index.tolist()


@pytest.mark.parametrize("table", [table.name for table in TABLES])
@pytest.mark.parametrize("looked_for", ["", "left", "2026-03", "head 1", "SHAKE 12.0", "zzz"])
def test_the_same_rows_in_the_same_order_as_row_by_row(
    demo: Records, table: str, looked_for: str
) -> None:
    rows = demo.table(table)
    found = newest_found(demo, TABLE_BY_NAME[table], looked_for, 10**6)
    assert found.rows.index.tolist() == written_out(demo, table, looked_for)
    assert found.count == len(found.rows) <= len(rows)


def test_only_the_newest_are_given_of_many(demo: Records) -> None:
    found = newest_found(demo, MAINTENANCE, "stir", 7)
    expected = written_out(demo, "maintenance", "stir")
    assert found.rows.index.tolist() == expected[:7]
    assert found.count == len(expected) > 7


def test_a_missing_cell_holds_no_word() -> None:
    log = pd.DataFrame({"printer": ["Ada", "Fernanda"], "task": "stir_ink",
                        "done_on": pd.to_datetime(["2026-01-01", "2026-01-02"]), "why": "planned",
                        "minutes": [np.nan, 3.0]})  # fmt: skip
    found = newest_found(Records.of({"maintenance": log}), MAINTENANCE, "nan", 10)
    assert found.rows["printer"].tolist() == ["Fernanda"]


def test_accents_and_case_make_no_difference() -> None:
    rooms = pd.DataFrame({"printer": ["Cóndor", "Condor", "Alto"], "noted_on": "2026-01-01"})
    records = Records.of({"conditions": rooms})
    for looked_for in ("condor", "CÓNDOR"):
        found = newest_found(records, TABLE_BY_NAME["conditions"], looked_for, 10)
        assert set(found.rows["printer"]) == {"Cóndor", "Condor"}


def test_a_site_shows_its_printers_records_and_what_concerns_no_printer(demo: Records) -> None:
    sites = dict(zip(demo.printers["printer"], demo.printers["site"], strict=True))
    site = demo.printers["site"].iloc[0]
    assert set(sites.values()) != {site}
    found = newest_found(demo, MAINTENANCE, "shake", 10**6, site=site)
    everywhere = demo.maintenance.loc[written_out(demo, "maintenance", "shake")]
    assert found.rows.index.tolist() == [
        row.Index for row in everywhere.itertuples() if sites[row.printer] == site
    ]
    closures = demo.closures
    kept = newest_found(demo, TABLE_BY_NAME["closures"], "", 10**6, site=site).rows
    elsewhere = closures["site"].ne("") & closures["site"].ne(site)
    elsewhere |= closures["printer"].map(sites).fillna(site).ne(site)
    assert set(kept.index) == set(closures.index[~elsewhere])
