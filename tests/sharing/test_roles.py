"""What each role may write is refused in the store, whatever a page shows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime

import pandas as pd
import pytest

from tests.hands import by
from tracker.errors import NotAllowed
from tracker.sharing.role_permit import RolePermit
from tracker.sharing.roles import Person
from tracker.store import acts
from tracker.store.acts import (
    Delivery,
    NewPart,
    NewPrinter,
    Order,
    PartPosition,
    Removal,
    Stoppage,
)
from tracker.store.database import Store, open_store
from tracker.workshop.records import Records

NOW = datetime(2026, 4, 2, 9, 0)
DAY = date(2026, 4, 2)
HEAD = PartPosition("P1", "head", "H1")


@pytest.fixture
def whole(database_url: str) -> Iterator[Store]:
    """A workshop that its owner, Olga, began: one printer, a stoppage, an order on its way."""
    with open_store(database_url) as store:
        new = NewPrinter("P1", date(2026, 1, 5), channels="C M Y K W1", usual_parts="new")
        acts.add_printer(by(store, "Olga"), new)
        stood = Stoppage("P1", datetime(2026, 3, 1, 8, 0), cause="waiting for a part")
        acts.begin_stoppage(by(store, "Olga"), stood)
        acts.place_order(by(store, "Olga"), Order("damper", 4, date(2026, 3, 1)))
        acts.log_tasks(by(store, "Olga"), "P1", ["nozzle_check"], date(2026, 3, 1))
        yield store


def as_seen_by(store: Store, name: str, role: str) -> Store:
    person = Person(name, role)
    return store.handed_to(RolePermit(person, lambda: person))


@pytest.fixture
def technician(whole: Store) -> Store:
    return as_seen_by(whole, "Tom", "log")


def test_who_may_look_reads_everything_and_writes_nothing(whole: Store) -> None:
    looker = as_seen_by(whole, "Lea", "look")
    assert len(looker.records().printers) == 1
    for write in (
        lambda: acts.log_tasks(by(looker, now=NOW), "P1", ["nozzle_check"], DAY),
        lambda: looker.add("settings", {"name": "currency", "value": "EUR"}),
        lambda: looker.undo(1),
        lambda: looker.remember_answers({"name|R": "P1"}),
        looker.permit.replace_all,
    ):
        before = whole.version()
        with pytest.raises(NotAllowed):
            write()
        assert whole.version() == before


def test_who_may_log_writes_what_happens_at_the_printers(technician: Store) -> None:
    acts.log_tasks(by(technician, now=NOW), "P1", ["shake_dampers"], DAY)
    acts.read_counter(by(technician, now=NOW), "P1", DAY, 120.0)
    acts.log_nozzle_check(by(technician, now=NOW), "P1", "H1", DAY, {"C": 2})
    acts.change_part(
        by(technician, now=NOW), HEAD, Removal(DAY, "failed", note="dark"), new=NewPart()
    )
    records = technician.records()
    assert records.fittings["removal_reason"].tolist().count("failed") == 1


def test_who_may_log_ends_what_others_began(technician: Store) -> None:
    records = technician.records()
    stood, order = records.stoppages.index[0], records.orders.index[0]
    acts.end_stoppage(by(technician, now=NOW), stood, datetime(2026, 4, 1, 8, 0), scrap_cost=20.0)
    acts.receive_order(by(technician, now=NOW), order, Delivery(DAY), quantity=3)
    assert technician.records().orders["quantity"].tolist() == [3, 1]


def test_who_may_log_ends_a_stoppage_over_a_change_of_clocks(technician: Store) -> None:
    """The time zone, which is a setting, comes along with it once, and is not theirs to change."""
    stood = technician.records().stoppages.index[0]
    ended = datetime(2026, 10, 25, 2, 10, fold=1)
    after = datetime(2026, 10, 26)
    acts.end_stoppage(by(technician, now=after), stood, ended, time_zone="Europe/Berlin")
    records = technician.records()
    assert records.stoppages["ended_pass"].tolist() == ["second"]
    assert records.setting("time_zone") == "Europe/Berlin"
    row = records.settings.index[records.settings["name"] == "time_zone"][0]
    with pytest.raises(NotAllowed):
        technician.correct("settings", row, {"value": "Europe/Madrid"})
    with pytest.raises(NotAllowed):
        technician.add("settings", {"name": "currency", "value": "USD"})


def test_who_may_log_corrects_and_removes_own_records_alone(
    whole: Store, technician: Store
) -> None:
    others = whole.records().maintenance.index[0]
    own = technician.add("counters", {"printer": "P1", "read_on": DAY, "area_m2": 90}).row_ids[0]
    technician.correct("counters", own, {"area_m2": 95})
    technician.remove("counters", own)
    with pytest.raises(NotAllowed, match="written down by Olga"):
        technician.correct("maintenance", others, {"done_on": "2026-03-02"})
    with pytest.raises(NotAllowed, match="written down by Olga"):
        technician.remove("maintenance", others)
    assert len(whole.records().maintenance) == 1


def test_ending_a_record_smuggles_no_other_change_in(technician: Store) -> None:
    order = technician.records().orders.index[0]
    with pytest.raises(NotAllowed, match="written down by Olga"):
        technician.correct(
            "orders",
            order,
            {"received_on": DAY, "supplier": "Elsewhere"} | {"ordered_on": "2026-01-01"},
        )


@pytest.mark.parametrize(
    ("table", "values"),
    [
        ("settings", {"name": "currency", "value": "EUR"}),
        ("parts", {"part_kind": "head", "unit_cost": 1}),
        ("routines", {"task": "nozzle_check", "every_days": 900, "starts_on": "2026-01-05"}),
        ("printers", {"printer": "P2", "started_on": "2026-01-05"}),
        ("closures", {"began_on": "2026-01-05", "ended_on": "2026-03-05"}),
    ],
)
def test_who_may_log_decides_nothing_for_the_workshop(
    technician: Store, table: str, values: dict[str, object]
) -> None:
    with pytest.raises(NotAllowed, match="may log what happens at the printers"):
        technician.add(table, values)


def test_who_may_log_loads_no_files_and_restores_nothing(whole: Store, technician: Store) -> None:
    with pytest.raises(NotAllowed, match="files"):
        by(technician, now=NOW).load(_one_more(whole), "counters.csv")
    with pytest.raises(NotAllowed, match="bring back a backup"):
        technician.permit.replace_all()


def _one_more(store: Store) -> Records:
    row = {"printer": ["P1"], "read_on": [pd.Timestamp(DAY)], "area_m2": [90.0]}
    return replace(store.records(), counters=pd.DataFrame(row | {"carried_m2": [float("nan")]}))


def test_who_may_log_takes_back_own_changes_alone(whole: Store, technician: Store) -> None:
    own = acts.log_tasks(by(technician, now=NOW), "P1", ["shake_dampers"], DAY)
    olgas = whole.changes()[1].batch
    assert own is not None
    undone = technician.undo(own)
    assert undone.batch is not None
    technician.undo(undone.batch)  # and the taking back in turn
    with pytest.raises(NotAllowed, match=f"Change {olgas} was made by Olga"):
        technician.undo(olgas)


def test_who_may_log_by_now_takes_back_no_decision_of_their_own(whole: Store) -> None:
    """Somebody who managed before, or who bears the name of somebody that did."""
    tom = as_seen_by(whole, "Tom", "manage")
    price = tom.add("parts", {"part_kind": "damper", "unit_cost": 9}).batch
    load = by(tom, now=NOW).load(_one_more(whole), "counters.csv").batch
    technician = as_seen_by(whole, "Tom", "log")
    assert price is not None
    assert load is not None
    for change in (price, load):
        with pytest.raises(NotAllowed, match="may log what happens at the printers"):
            technician.undo(change)


def test_who_may_log_takes_back_a_time_with_the_zone_that_came_along(technician: Store) -> None:
    stood = technician.records().stoppages.index[0]
    ended = datetime(2026, 10, 25, 2, 10, fold=1)
    acts.end_stoppage(
        by(technician, now=datetime(2026, 10, 26)), stood, ended, time_zone="Europe/Berlin"
    )
    technician.undo(technician.changes(1)[0].batch)
    assert technician.records().setting("time_zone") == ""


def test_every_change_bears_the_devices_name_whatever_a_caller_says(technician: Store) -> None:
    acts.log_tasks(by(technician, "Olga", NOW), "P1", ["shake_dampers"], DAY)
    assert technician.changes(1)[0].who == "Tom"


def test_who_may_manage_does_everything_in_its_own_name(whole: Store) -> None:
    manager = as_seen_by(whole, "Mia", "manage")
    by(manager, "Olga").add("settings", {"name": "currency", "value": "EUR"})
    manager.remove("maintenance", int(whole.records().maintenance.index[0]))
    manager.permit.replace_all()
    assert [change.who for change in whole.changes(2)] == ["Mia", "Mia"]


def test_a_device_that_was_removed_meanwhile_writes_nothing_from_a_page_still_open(
    whole: Store,
) -> None:
    let_in: list[Person] = [Person("Tom", "log")]
    store = whole.handed_to(RolePermit(let_in[0], lambda: let_in[0] if let_in else None))
    acts.log_tasks(by(store, now=NOW), "P1", ["shake_dampers"], DAY)
    let_in.clear()
    with pytest.raises(NotAllowed, match="was removed from the list"):
        acts.log_tasks(by(store, now=NOW), "P1", ["nozzle_check"], DAY)


def test_what_is_handed_on_shares_what_was_read(whole: Store, technician: Store) -> None:
    acts.log_tasks(by(technician, now=NOW), "P1", ["shake_dampers"], DAY)
    assert technician.records().maintenance is whole.records().maintenance
