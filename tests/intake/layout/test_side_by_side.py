"""What stands side by side: areas of each printer by month, pieces on the shelf of each site."""

from __future__ import annotations

import pytest

from tests.intake.sheets import read, taken
from tracker.intake.layout.titles import day_told

AREA = "Printed per month, m²\n\nMonth,Left,Right,All\n"
SHELF = "On the shelf, counted 28 October 2025\n\nArticle,Mill,Harbour,Total\n"


def test_areas_by_month_are_added_up_to_what_a_counter_would_show() -> None:
    intake = read(f"{AREA}Apr 2025,84.5,,84.5\nMay 2025,80,20.5,100.5\nJun 2025,-,10,10\n")
    assert taken(intake, "counters", "printer", "read_on", "area_m2") == [
        ("Left", "2025-04-01", "0"),
        ("Left", "2025-04-30", "84.5"),
        ("Left", "2025-05-31", "164.5"),
        # It came on some day of May, so where its counter began nobody says.
        ("Right", "2025-05-31", "20.5"),
        ("Right", "2025-06-30", "30.5"),
    ]
    assert any("as if each counter had begun at 0" in notice for notice in intake.notices)


def test_areas_in_another_unit_are_converted_and_no_number_is_refused_at_its_place() -> None:
    feet = read("Printed by month (ft²)\nMonth,Left,Right\n04/2025,1000,\n05/2025,,2000\n")
    assert taken(feet, "counters", "printer", "area_m2")[1] == ("Left", "92.903")
    wrong = read(f"{AREA}Apr 2025,84.5,1,85.5\nMay 2025,-3,2,-1\n")
    assert {(r.row, r.header, r.value) for r in wrong.refusals} == {(5, "Left", "-3")}


def test_months_under_other_words_are_asked_about() -> None:
    intake = read("Costs\nMonth,Left,Right\nApr 2025,84.5,12\nMay 2025,80,20\n")
    assert intake.records is None
    assert "what does this sheet hold?" in intake.questions[0].sentence()
    said = read(
        "Costs\nMonth,Left,Right\nApr 2025,84.5,12\nMay 2025,80,20\n",
        answers={intake.questions[0].key: "counters"},
    )
    assert len(taken(said, "counters", "printer")) == 6


def test_pieces_on_shelves_side_by_side_are_added_as_of_the_day_of_the_count() -> None:
    intake = read(f"{SHELF}Damper,9 pcs,3 pcs,12\nWiper blade,4 pcs,,4\nCap,0,0,0\n", "shelf.csv")
    assert taken(intake, "stock", "part_kind", "quantity", "moved_on", "reason") == [
        ("cap", "0", "2025-10-28", "counted"),
        ("damper", "12", "2025-10-28", "counted"),
        ("wiper", "4", "2025-10-28", "counted"),
    ]
    assert any("Mill and Harbour" in notice for notice in intake.notices)


def test_a_list_that_its_headings_tell_is_one_whatever_its_cells_look_like() -> None:
    # Days beside short words under "Head type" were taken for a calendar of head cleans.
    machines = (
        "Machine,Where it stands,Head type,Running since,Remarks\n"
        "Left,Harbour,6-channel,2022-09-12,bought used\nNew,Mill,8-channel,2023-05-02,\n"
    )
    columns = ("printer", "site", "head_type", "started_on")
    assert taken(read(machines, known=None), "printers", *columns)[-1] == (
        "New", "Mill", "8-channel", "2023-05-02"
    )  # fmt: skip


def test_orders_and_changes_in_everyday_words() -> None:
    orders = (
        "Ordered on,Supplier,Article,How many,Price each,Promised for,Came on\n"
        "2025-10-07,North,Damper,20,14.50,2025-10-17,2025-10-20\n"
        "2025-10-09,North,Cap,2,58.00,2025-10-19,\n"
    )
    columns = ("part_kind", "quantity", "unit_cost", "expected_on", "received_on")
    assert taken(read(orders, "o.csv"), "orders", *columns) == [
        ("cap", "2", "58", "2025-10-19", ""),
        ("damper", "20", "14.5", "2025-10-17", "2025-10-20"),
    ]
    changes = (
        "Day,Machine,What,Position,Why,New serial,Cost,Note\n"
        "2025-04-18,Left,Damper,K,clogged,D7,14.50,\n"
    )
    assert taken(read(changes, "c.csv"), "fittings", "position", "removal_reason", "serial") == [
        ("K", "", "D7"),
        ("K", "failed", ""),
    ]


def test_the_same_in_spanish_and_german() -> None:
    shelf = (
        "Contado el 28 de octubre de 2025\n\nArtículo,Nave 1,Nave 2\nRasqueta,4 uds,2 uds\n"
        "Cabezal,1 ud,0 uds\n"
    )
    assert taken(read(shelf, "a.csv"), "stock", "part_kind", "quantity", "moved_on") == [
        ("head", "1", "2025-10-28"),
        ("wiper", "6", "2025-10-28"),
    ]
    orders = (
        "Pedido el;Proveedor;Artículo;Cantidad;Precio por unidad;Prometido para;Llegó el\n"
        "21.05.2025;Norte;Amortiguador;20 uds;14,50 €;21.06.2025;24.06.2025\n",
        "Bestellt am;Lieferant;Artikel;Stück;Stückpreis;Zugesagt für;Gekommen am\n"
        "21.05.2025;Nord;Dämpfer;20 Stk;14,50 €;21.06.2025;24.06.2025\n",
    )
    columns = ("part_kind", "quantity", "unit_cost", "expected_on", "received_on")
    for sheet in orders:
        assert taken(read(sheet, "p.csv"), "orders", *columns) == [
            ("damper", "20", "14.5", "2025-06-21", "2025-06-24")
        ]
    changes = (
        "Fecha;Impresora;Qué;Posición;Por qué;N.º de serie nuevo;Coste\n"
        "18.04.2025;Left;Amortiguador;K;obstruido;D7;14,50 €\n",
        "Datum;Maschine;Was;Stelle;Warum;Neue Seriennr.;Kosten\n"
        "18.04.2025;Left;Dämpfer;K;verstopft;D7;14,50 €\n",
    )
    for sheet in changes:
        found = taken(read(sheet, "c.csv"), "fittings", "position", "removal_reason", "serial")
        assert found == [("K", "", "D7"), ("K", "failed", "")]


@pytest.mark.parametrize(
    ("title", "day"),
    [
        ("Counted October 28, 2026", "2026-10-28"),
        ("Bestand am 28.10.2026 (alle)", "2026-10-28"),
        ("10/28/2026", "2026-10-28"),
        ("En el estante, contado el 28 de octubre de 2026", "2026-10-28"),
        ("3/4/2026", "None"),  # reads both ways
        ("Stock 2026", "None"),
        ("from 2026-05-03 to 2026-05-04", "None"),
    ],
)
def test_a_title_tells_a_day_where_it_holds_one_that_reads_one_way(title: str, day: str) -> None:
    assert str(day_told([title])) == day
