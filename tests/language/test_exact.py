"""Numbers as written down, days as said, things by their names: in the language in use."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from tracker.language import exact, speaking
from tracker.say import part_types
from tracker.say.entering.record_words import cell_words
from tracker.store import acts
from tracker.store.connections import file_url
from tracker.store.database import Store, open_store
from tracker.workshop.contract import COUNTERS, STOCK
from tracker.workshop.variants import PartType
from tracker.workshop.vocabulary import part_name


@pytest.fixture
def store(tmp_path: Path) -> Store:
    store = open_store(file_url(tmp_path / "own.sqlite"))
    acts.add_printer(store, acts.NewPrinter("Luna", date(2026, 1, 5), head_type="six-channel head"))
    where = acts.PartPosition("Luna", "head", "H1")
    acts.fit_first_part(store, where, date(2026, 1, 5))
    return store


def test_a_cell_has_the_decimal_mark_of_the_language() -> None:
    with speaking("es"):
        assert cell_words(STOCK.column("unit_cost"), "1.2") == "1,2"
        assert cell_words(COUNTERS.column("area_m2"), "12345.5") == "12.345,5 m²"
        assert exact(1234567.25) == "1.234.567,25"
    assert exact(1234567.25) == "1 234 567.25"


def test_a_type_in_brackets_does_not_say_its_kind_again() -> None:
    with speaking("es"):
        assert part_types.label("head", "six-channel head") == "Cabezal (de seis canales)"
        assert part_name("head", "H1", variant="eight-channel head") == (
            "Cabezal H1 (de ocho canales)"
        )
        assert part_types.counted(2, PartType("head", "six-channel head")) == (
            "2 × cabezal (de seis canales)"
        )
    assert part_types.label("head", "six-channel head") == "Printhead (six-channel head)"


def test_the_change_log_of_a_spanish_workshop_holds_no_english_word(store: Store) -> None:
    with speaking("es"):
        acts.log_tasks(store, "Luna", ["nozzle_check"], date(2026, 9, 10))
        acts.read_counter(store, "Luna", date(2026, 9, 10), 1200.5)
        store.correct("fittings", int(store.records().fittings.index[0]), {"note": "vista"})
        order = acts.Order("head", 1, date(2026, 9, 10), variant="six-channel head")
        acts.place_order(store, order)
        store.correct("orders", int(store.records().orders.index[0]), {"supplier": "Sur"})
        told = [change.what for change in store.changes(5)][::-1]
    assert told == [
        "Prueba de inyectores: Luna (planificado)",
        "Contador de Luna: 1.200,5 m²",
        "Corregido en fittings: Luna Cabezal H1 2026-01-05 (note)",
        "Pedido: 1 × Cabezal, cabezal de seis canales",
        "Corregido en orders: Cabezal cabezal de seis canales 2026-09-10 1 (supplier)",
    ]
