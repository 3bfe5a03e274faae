"""Whose column is it: the contract's names, the trade's words, likenesses to confirm."""

from __future__ import annotations

import pytest

from tracker.errors import UsageError
from tracker.intake.cells.units import split_header
from tracker.intake.headers.columns import contract_word, match_columns
from tracker.intake.headers.sheet_tables import SHEET_TABLES
from tracker.intake.headers.synonyms import CELL_SYNONYMS, HEADERS
from tracker.workshop.contract import TABLE_BY_NAME, TABLES
from tracker.workshop.vocabulary import SYNONYMS


def sure(headers: list[str], table: str) -> dict[str, str]:
    matches = match_columns(headers, TABLE_BY_NAME[table])
    return {match.header: match.column for match in matches if match.is_sure}


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_the_contracts_own_names_are_taken_in_any_case_and_spacing(table) -> None:  # type: ignore[no-untyped-def]
    headers = [name.upper().replace("_", " ") for name in table.names]
    matches = match_columns(headers, table)
    assert [match.column for match in matches] == list(table.names)
    assert all(match.score == 1 for match in matches)


def test_a_german_sheet_of_part_changes_is_understood() -> None:
    headers = ["Drucker", "Teil", "Kanal", "Eingebaut am", "Ausgebaut am", "Grund", "Lieferant",
               "Charge", "Preis", "Bemerkung"]  # fmt: skip
    assert sure(headers, "fittings") == {
        "Drucker": "printer",
        "Teil": "part_kind",
        "Kanal": "position",
        "Eingebaut am": "fitted_on",
        "Ausgebaut am": "removed_on",
        "Grund": "removal_reason",
        "Lieferant": "supplier",
        "Charge": "batch",
        "Preis": "unit_cost",
        "Bemerkung": "note",
    }


def test_german_sheets_of_closed_days_and_of_the_room_are_understood() -> None:
    closed = sure(["Geschlossen ab", "Geschlossen bis", "Standort", "Bemerkung"], "closures")
    assert list(closed.values()) == ["began_on", "ended_on", "site", "note"]
    room = sure(["Drucker", "Datum", "Luftfeuchte", "Tintencharge", "Foliencharge"], "conditions")
    assert list(room.values()) == [
        "printer", "noted_on", "humidity_percent", "ink_lot", "film_lot",
    ]  # fmt: skip


def test_plain_english_headers_are_understood_where_they_belong() -> None:
    headers = ["Machine", "Part", "Slot", "Installed", "Date out", "Reason", "Lot no."]
    assert list(sure(headers, "fittings").values()) == [
        "printer", "part_kind", "position", "fitted_on", "removed_on", "removal_reason", "batch",
    ]  # fmt: skip
    assert sure(["Date", "Machine", "What was done", "Reason"], "maintenance") == {
        "Date": "done_on",
        "Machine": "printer",
        "What was done": "task",
        "Reason": "why",
    }


@pytest.mark.parametrize(
    ("header", "unit"),
    [
        ("sq m printed", "sq m"),
        ("Printed area (ft²)", "ft²"),
        ("area_ft2", "ft2"),
        ("Area [sqft]", "sqft"),
        ("Fläche in qm", "qm"),
        ("area", ""),
    ],
)
def test_a_unit_in_the_header_is_kept_beside_the_column(header: str, unit: str) -> None:
    match = match_columns([header], TABLE_BY_NAME["counters"])[0]
    assert (match.column, match.unit, match.is_sure) == ("area_m2", unit, True)


def test_a_header_of_the_contract_has_no_unit_to_convert() -> None:
    assert match_columns(["area_m2"], TABLE_BY_NAME["counters"])[0].unit == ""
    assert split_header("fitted_on") == ("fitted_on", "")


def test_a_likeness_is_proposed_but_not_sure() -> None:
    match = match_columns(["remvoed on"], TABLE_BY_NAME["fittings"])[0]
    assert match.column == "removed_on"
    assert not match.is_sure
    assert 0.5 < match.score < 0.9


def test_a_header_that_is_nothing_of_the_table_is_left_out() -> None:
    match = match_columns(["Wetter"], TABLE_BY_NAME["counters"])[0]
    assert (match.column, match.score) == ("", 0.0)


def test_of_two_headers_for_one_column_neither_is_sure() -> None:
    matches = match_columns(["date", "day"], TABLE_BY_NAME["counters"])
    assert [match.column for match in matches] == ["read_on", ""]
    assert not matches[0].is_sure


def test_the_contracts_name_wins_over_a_synonym_of_the_same_column() -> None:
    assert sure(["Date", "read_on"], "counters") == {"read_on": "read_on"}


def test_a_mapping_that_was_confirmed_is_taken_and_may_leave_a_header_out() -> None:
    table = TABLE_BY_NAME["counters"]
    matches = match_columns(["A", "B", "printer"], table, {"A": "area_m2", "B": "read_on"})
    assert [(match.column, match.score) for match in matches] == [
        ("area_m2", 1.0),
        ("read_on", 1.0),
        ("printer", 1.0),
    ]
    assert match_columns(["Datum"], table, {"Datum": ""})[0].column == ""
    # A mapping remembered from another file does no harm when a header is not there.
    assert match_columns(["read_on"], table, {"Z": "area_m2"})[0].column == "read_on"


def test_a_mapping_to_no_column_or_twice_to_one_is_refused() -> None:
    table = TABLE_BY_NAME["counters"]
    with pytest.raises(UsageError, match="counters has no column 'colour' for 'A'"):
        match_columns(["A"], table, {"A": "colour"})
    with pytest.raises(UsageError, match="A and B cannot both be read_on"):
        match_columns(["A", "B"], table, {"A": "read_on", "B": "read_on"})


@pytest.mark.parametrize(
    ("table", "column", "text", "word"),
    [
        ("fittings", "part_kind", "Printhead", "head"),
        ("fittings", "part_kind", "Druckkopf", "head"),
        ("fittings", "part_kind", "Waste Tank", "waste_tank"),
        ("fittings", "part_kind", "heating bed", "heating bed"),
        ("fittings", "part_kind", "White-ink stirrer", "stirrer"),
        ("fittings", "part_kind", "Rührwerk", "stirrer"),
        ("fittings", "part_kind", "Umwälzpumpe", "circulation_pump"),
        ("fittings", "part_kind", "inline filter", "ink_filter"),
        ("stock", "part_kind", "Absorber", "waste_pad"),
        ("maintenance", "task", "Luft befeuchten", "humidify"),
        ("maintenance", "task", "Tank nachfüllen", "keep_tank_third"),
        ("maintenance", "task", "Flush before a shutdown", "flush_before_shutdown"),
        ("fittings", "claim", "Gutgeschrieben", "credited"),
        ("fittings", "removal_reason", "Defekt", "failed"),
        ("fittings", "removal_reason", "with head", "with_other"),
        ("maintenance", "task", "Shake dampers, draw off air", "shake_dampers"),
        ("maintenance", "why", "Störung", "symptom"),
        ("maintenance", "why", "routine", "planned"),
        ("stock", "reason", "Inventur", "counted"),
        ("stock", "reason", "failed", "failed"),  # no word of this column: left as it is
    ],
)
def test_words_in_cells_are_read_as_the_contracts_words(
    table: str, column: str, text: str, word: str
) -> None:
    assert contract_word(text, TABLE_BY_NAME[table].column(column)) == word


def test_every_synonym_leads_to_a_word_or_column_of_the_contract() -> None:
    choices = {choice for table in TABLES for column in table.columns for choice in column.choices}
    assert {*CELL_SYNONYMS.values(), *SYNONYMS.values()} <= choices
    assert set(HEADERS) <= {name for table in SHEET_TABLES for name in table.names}


def test_a_header_of_one_meaning_goes_before_one_of_several() -> None:
    """ "Ordered" is a day or a number of pieces; beside "Qty" it is the day."""
    found = match_columns(["Ordered", "Item", "Qty"], TABLE_BY_NAME["orders"])
    assert [match.column for match in found] == ["ordered_on", "part_kind", "quantity"]
    alone = match_columns(["Order date", "Item", "Ordered"], TABLE_BY_NAME["orders"])
    assert [match.column for match in alone] == ["ordered_on", "part_kind", "quantity"]
