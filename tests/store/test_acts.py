"""What people do in a workshop: one change each, refused in plain words, undone as a whole."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, datetime

import pandas as pd
import pytest
from pandas.testing import assert_frame_equal

from tests.copied import Copies
from tests.hands import by
from tests.store.conftest import load_small_workshop
from tracker.errors import RecordError
from tracker.store import acts
from tracker.store.acts import (
    Delivery,
    Movement,
    NewPart,
    NewPrinter,
    Order,
    PartPosition,
    Removal,
    Stoppage,
    TaskDetails,
)
from tracker.store.acts.shelf import on_hand
from tracker.store.database import Store, open_store
from tracker.workshop import vocabulary
from tracker.workshop.contract import TABLES
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType

DAY = date(2026, 3, 4)
STAMP = pd.Timestamp(DAY)
H1, W1 = PartPosition("P1", "head", "H1"), PartPosition("P1", "damper", "W1")


def load_and_count(store: Store) -> None:
    load_small_workshop(store)
    acts.count_stock(store, {PartType("head"): 1}, date(2026, 2, 1))


@pytest.fixture
def workshop(database_url: str, copies: Copies) -> Iterator[Store]:
    """The small workshop: on the shelf nine dampers, one head short of what was written down."""
    with copies.opened(database_url, load_and_count) as opened:
        yield opened


def rows(store: Store, printer: str, kind: str, position: str) -> pd.DataFrame:
    fittings = store.records().fittings
    wanted = (fittings["printer"] == printer) & (fittings["part_kind"] == kind)
    return fittings[wanted & (fittings["position"] == position)]


def undoes_whole(store: Store, act: Callable[[], int | None]) -> None:
    """The act is exactly one change, and undoing it leaves no trace in the records."""
    before, count = store.records(), len(store.changes(1000))
    number = act()
    assert len(store.changes(1000)) == count + 1
    assert store.changes(1)[0].batch == number
    store.undo(number or 0)
    for table in TABLES:
        assert_frame_equal(store.records().table(table.name), before.table(table.name))


# -- part changes


def test_a_part_change_closes_the_old_part_and_opens_the_new_one(workshop: Store) -> None:
    removal = Removal(
        DAY, "failed", "air leak", last_ok_on=date(2026, 3, 2), counter_m2=2000, note="hissed"
    )
    new = NewPart(serial="S9", supplier="South", batch="B2", unit_cost=9.4)
    acts.change_part(workshop, W1, removal, new=new)
    old, new = (rows(workshop, "P1", "damper", "W1").iloc[at] for at in (-2, -1))
    assert (old["removed_on"], old["removal_reason"], old["failure_mode"]) == (
        STAMP, "failed", "air leak")  # fmt: skip
    assert (old["last_ok_on"], old["removed_counter_m2"], old["note"]) == (
        pd.Timestamp("2026-03-02"), 2000, "hissed")  # fmt: skip
    assert (old["supplier"], old["unit_cost"]) == ("South", 8.9), "the old part's own stay"
    assert (new["fitted_on"], new["fitted_counter_m2"]) == (STAMP, 2000)
    assert (new["serial"], new["supplier"], new["batch"], new["unit_cost"]) == (
        "S9", "South", "B2", 9.4)  # fmt: skip
    assert pd.isna(new["removed_on"])
    assert new["note"] == ""


def test_parts_that_go_along_come_out_with_the_other_and_leave_the_shelf(workshop: Store) -> None:
    assert on_hand(workshop.records(), "damper") == 9
    removal = Removal(DAY, "accident", along=(("damper", "W1"),))
    acts.change_part(by(workshop, "Ana"), H1, removal)
    head, damper = rows(workshop, "P1", "head", "H1"), rows(workshop, "P1", "damper", "W1")
    assert head["removal_reason"].tolist() == ["failed", "accident", ""]
    assert damper["removal_reason"].tolist() == ["failed", "with_other", ""]
    assert damper["fitted_on"].iloc[-1] == STAMP
    assert damper["failure_mode"].iloc[-2] == ""
    assert on_hand(workshop.records(), "damper") == 8
    assert on_hand(workshop.records(), "head") == 0
    used = workshop.records().stock.iloc[-2:]
    assert set(used["reason"]) == {"used"}
    assert workshop.changes(1)[0].what == "Changed Printhead H1 of P1 (accident) and 1 along"


def test_a_part_change_takes_off_the_shelf_only_what_lies_there(workshop: Store) -> None:
    acts.change_part(workshop, H1, Removal(DAY, "failed"))
    assert on_hand(workshop.records(), "head") == 0
    acts.change_part(workshop, H1, Removal(date(2026, 4, 1), "failed"))
    assert on_hand(workshop.records(), "head") == 0, "the second was bought for the purpose"
    movements = len(workshop.records().stock)
    acts.change_part(workshop, PartPosition("P2", "wiper", "wiper"), Removal(DAY, "planned"))
    assert len(workshop.records().stock) == movements, "no shelf was ever kept for wipers"
    acts.change_part(workshop, W1, Removal(DAY, "planned"), new=NewPart(from_stock=False))
    assert on_hand(workshop.records(), "damper") == 9


def test_a_part_that_was_in_before_the_log_can_be_changed(workshop: Store) -> None:
    acts.change_part(workshop, PartPosition("P2", "cap", "cap"), Removal(DAY, "failed"))
    assert rows(workshop, "P2", "cap", "cap")["fitted_on"].tolist() == [pd.NaT, STAMP]


def test_every_act_is_one_change_that_is_undone_whole(workshop: Store) -> None:
    stoppage = int(workshop.records().stoppages.index[-1])
    order = int(workshop.records().orders.index[-1])
    noon = datetime(2026, 3, 4, 12)
    every_act: list[Callable[[], int | None]] = [
        lambda: acts.change_part(workshop, H1, Removal(DAY, "failed", along=(("damper", "W1"),))),
        lambda: acts.fit_first_part(workshop, PartPosition("P1", "cap", "cap"), DAY),
        lambda: acts.log_tasks(workshop, "P1", ("stir_ink",), DAY),
        lambda: acts.log_tasks(
            workshop, "P1", ("stir_ink", "head_clean"), DAY, details=TaskDetails("symptom")
        ),
        lambda: acts.read_counter(workshop, "P1", DAY, 2000),
        lambda: acts.read_counter(workshop, "P1", date(2026, 1, 10), 1500),
        lambda: acts.log_nozzle_check(workshop, "P1", "H1", DAY, {"C": 0, "W1": 3}),
        lambda: acts.note_room(workshop, ("P1", "P2"), DAY, acts.RoomNote(45, "white 8")),
        lambda: acts.begin_stoppage(workshop, Stoppage("P1", noon, cause="no ink", scrap_cost=3.5)),
        lambda: acts.end_stoppage(workshop, stoppage, noon, scrap_cost=12),
        lambda: acts.move_stock(workshop, Movement("damper", DAY, -2, "scrapped")),
        lambda: acts.count_stock(workshop, {PartType("damper"): 5}, DAY),
        lambda: acts.place_order(workshop, Order("cap", 2, DAY, supplier="North", unit_cost=44)),
        lambda: acts.receive_order(workshop, order, Delivery(DAY)),
        lambda: acts.add_printer(
            workshop, NewPrinter("P3", DAY, channels="C M", usual_parts="new")
        ),
        lambda: acts.retire_printer(workshop, "P2", DAY),
        lambda: acts.rename(workshop, "printer", ["P1"], "Left one"),
    ]
    for act in every_act:
        undoes_whole(workshop, act)


@pytest.mark.parametrize(
    ("printer", "kind", "position", "says"),
    [
        ("Cellar", "head", "H1", r"no printer 'Cellar'; there are P1, P2\."),
        ("p1 ", "head", "H1", "did you mean P1"),
        ("P1", "head", "H9", "P1 has no printhead in H9; there are H1"),
        (
            "P1",
            "pump",
            "pump",
            "No ink pump is written down for P1; log the one in pump as a first",
        ),
        ("P1", "cap", "cap", "No capping station is written down for P1"),
    ],
)
def test_a_part_that_is_not_there_is_told_with_what_is(
    workshop: Store, printer: str, kind: str, position: str, says: str
) -> None:
    version = workshop.version()
    with pytest.raises(RecordError, match=says):
        acts.change_part(workshop, PartPosition(printer, kind, position), Removal(DAY, "failed"))
    assert workshop.version() == version


def test_a_part_that_is_out_already_is_told_with_its_day(workshop: Store) -> None:
    acts.retire_printer(workshop, "P2", date(2026, 3, 1))
    with pytest.raises(
        RecordError, match=r"wiper of P2 was already taken out on 2026-03-01 \(reti"
    ):
        acts.change_part(workshop, PartPosition("P2", "wiper", "wiper"), Removal(DAY, "failed"))


def test_a_part_change_that_cannot_be_is_refused_whole(workshop: Store) -> None:
    version = workshop.version()
    with pytest.raises(RecordError, match="2026-01-01 is before fitted_on 2026-01-10"):
        acts.change_part(workshop, H1, Removal(date(2026, 1, 1), "failed"))
    with pytest.raises(RecordError, match="is after removed_on 2026-03-04"):
        acts.change_part(workshop, H1, Removal(DAY, "failed", last_ok_on=date(2026, 3, 5)))
    with pytest.raises(
        RecordError, match=r"'tired' is no reason .* choose one of failed, accident"
    ):
        acts.change_part(workshop, H1, Removal(DAY, "tired"))
    with pytest.raises(RecordError, match="H1 cannot go along with itself"):
        acts.change_part(workshop, H1, Removal(DAY, "failed", along=(("head", "H1"),)))
    with pytest.raises(RecordError, match="P1 has no damper in W7"):
        acts.change_part(workshop, H1, Removal(DAY, "failed", along=(("damper", "W7"),)))
    assert workshop.version() == version


def test_a_first_part_goes_only_into_an_empty_position(workshop: Store) -> None:
    pump = PartPosition("P1", "pump", "pump")
    acts.fit_first_part(workshop, pump, None, new=NewPart(note="came with the printer"))
    row = rows(workshop, "P1", "pump", "pump").iloc[0]
    assert (pd.isna(row["fitted_on"]), row["note"]) == (True, "came with the printer")
    with pytest.raises(
        RecordError, match="pump of P1 is taken by the ink pump fitted before the log began"
    ):
        acts.fit_first_part(workshop, pump, DAY)
    acts.fit_first_part(workshop, PartPosition("P1", "squeegee", "left"), DAY)
    assert "squeegee" in workshop.records().part_kinds(), "a workshop may add its own kinds"


# -- printers


def test_a_printer_is_added_with_the_parts_it_is_said_to_have(workshop: Store) -> None:
    def fitted(name: str) -> list[tuple[str, str, bool]]:
        frame = workshop.records().fittings.query("printer == @name")
        known = frame["fitted_on"].notna()
        return list(zip(frame["part_kind"], frame["position"], known, strict=True))

    acts.add_printer(workshop, NewPrinter("None", DAY, channels="C  M"))
    acts.add_printer(workshop, NewPrinter("New", DAY, channels="C W1", usual_parts="new"))
    acts.add_printer(workshop, NewPrinter("Old", DAY, channels="K", usual_parts="unknown"))
    assert workshop.records().printers.set_index("printer").loc["None", "channels"] == "C M"
    assert fitted("None") == []
    assert fitted("New") == [
        ("head", "H1", True), ("damper", "C", True), ("damper", "W1", True),
        ("wiper", "wiper", True), ("cap", "cap", True), ("pump", "pump", True),
    ]  # fmt: skip
    assert [known for *_, known in fitted("Old")] == [False] * 5
    with pytest.raises(RecordError, match="a printer New already"):
        acts.add_printer(workshop, NewPrinter(" New ", DAY))
    with pytest.raises(RecordError, match="no name"):
        acts.add_printer(workshop, NewPrinter("  ", DAY))


def test_a_used_printer_joins_with_the_ages_somebody_can_guess(workshop: Store) -> None:
    guesses = {"head": 365.0, "damper": 21.0, "wiper": 0.0, "cap": None}
    acts.add_printer(
        by(workshop, now=datetime(2026, 3, 6, 9)),
        NewPrinter("Old", DAY, channels="K W1", usual_parts="unknown", age_guess_days=guesses),
    )
    fitted = workshop.records().fittings.query("printer == 'Old'").set_index("position")
    assert fitted["age_guess_days"].fillna(-1).to_dict() == {
        "H1": 365, "K": 21, "W1": 21, "wiper": -1, "cap": -1, "pump": -1,
    }  # fmt: skip
    # What has just gone in has a day: that of the entry.
    assert fitted["fitted_on"].dropna().to_dict() == {"wiper": pd.Timestamp("2026-03-06")}


def test_the_first_printer_begins_the_log_and_no_other_overwrites_it(store: Store) -> None:
    acts.add_printer(by(store, now=datetime(2026, 3, 6, 9)), NewPrinter("Ada", date(2024, 5, 1)))
    assert store.records().log_began_on == date(2026, 3, 6)
    acts.add_printer(by(store, now=datetime(2026, 3, 9, 9)), NewPrinter("Bea", date(2026, 3, 9)))
    assert store.records().log_began_on == date(2026, 3, 6)


def test_undoing_the_first_printer_takes_the_log_s_first_day_back(store: Store) -> None:
    number = acts.add_printer(store, NewPrinter("Ada", DAY))
    store.undo(number or 0)
    assert store.records().log_began_on is None


def test_files_without_a_history_begin_the_log_and_a_history_says_itself(
    fresh_url: Callable[[], str],
) -> None:
    printers = pd.DataFrame({"printer": ["P1"], "started_on": [pd.Timestamp("2024-05-01")]})
    parts = {"printer": ["P1"], "part_kind": ["pump"], "position": ["pump"]}
    bare = {"printers": printers, "fittings": pd.DataFrame(parts)}
    counters = {"printer": ["P1"], "read_on": [pd.Timestamp("2025-01-02")], "area_m2": [10.0]}
    for more, expected in (({}, date(2026, 3, 6)), ({"counters": pd.DataFrame(counters)}, None)):
        with open_store(fresh_url()) as store:
            by(store, now=datetime(2026, 3, 6, 9)).load(Records.of(bare | more), "folder")
            assert store.records().log_began_on == expected


def test_a_retired_printer_takes_its_parts_with_it(workshop: Store) -> None:
    acts.retire_printer(workshop, "P1", DAY)
    records = workshop.records()
    assert records.printers.set_index("printer").loc["P1", "retired_on"] == STAMP
    out = records.fittings.query("printer == 'P1'")
    assert out["removal_reason"].tolist() == ["failed", "retired", "failed", "retired"]
    assert records.fittings.query("printer == 'P2'")["removed_on"].isna().all()
    with pytest.raises(RecordError, match="left the workshop on 2026-03-04 already"):
        acts.retire_printer(workshop, "P1", DAY)


def test_a_renamed_printer_keeps_its_whole_history(workshop: Store) -> None:
    before = workshop.records()
    acts.rename(workshop, "printer", ["P1"], "Left one")
    for table in TABLES:
        if "printer" in table.names:
            after = workshop.records().table(table.name)["printer"].tolist()
            was = before.table(table.name)["printer"].tolist()
            assert after == ["Left one" if name == "P1" else name for name in was]
    with pytest.raises(RecordError, match="'P2' is taken"):
        acts.rename(workshop, "printer", ["Left one"], "P2")
    acts.rename(workshop, "printer", ["Left one"], "left one")
    with pytest.raises(RecordError, match="There is a printer left one already"):
        acts.add_printer(workshop, NewPrinter("Left One ", DAY))


def test_several_writings_of_a_supplier_become_one_wherever_it_stands(workshop: Store) -> None:
    by(workshop, now=datetime(2026, 3, 5)).add(
        "closures", {"began_on": DAY, "ended_on": DAY, "supplier": "south"}
    )
    undoes_whole(workshop, lambda: acts.rename(workshop, "supplier", ["North", "South"], "South"))
    before = workshop.records()
    acts.rename(workshop, "supplier", ["North", "south"], " South ")
    records = workshop.records()
    assert set(records.fittings["supplier"]) == set(records.closures["supplier"]) | {""} == {
        "South", "",
    }  # fmt: skip
    for table in TABLES:
        if "supplier" not in table.names:
            assert_frame_equal(records.table(table.name), before.table(table.name))


@pytest.mark.parametrize(
    ("naming", "old", "new", "says"),
    [
        ("supplier", "East", "South", "No record bears the name East any more"),
        ("supplier", "South", "  ", "'' is taken or empty"),
        ("part_kind", "damper", "Filter", "damper: a word of the program itself"),
        ("printer", "p1", "Left one", "did you mean P1"),
    ],
)
def test_a_name_that_cannot_be_changed_is_told(
    workshop: Store, naming: str, old: str, new: str, says: str
) -> None:
    version = workshop.version()
    with pytest.raises(RecordError, match=says):
        acts.rename(workshop, naming, [old], new)
    assert workshop.version() == version


def test_a_task_of_ones_own_joins_one_of_the_programs(workshop: Store) -> None:
    acts.log_tasks(workshop, "P2", ("polish",), DAY)
    acts.rename(workshop, "task", ["polish"], "strong_clean")
    assert "polish" not in set(workshop.records().maintenance["task"])


# -- day by day


def test_tasks_done_in_one_go_are_one_change(workshop: Store) -> None:
    before = len(workshop.records().maintenance)
    acts.log_tasks(
        by(workshop, "Ben"),
        "P2",
        ("stir_ink", "clean_wiper_cap", "stir_ink"),
        DAY,
        details=TaskDetails(minutes=6),
    )
    new = workshop.records().maintenance.iloc[before:]
    assert new["task"].tolist() == ["stir_ink", "clean_wiper_cap"]
    assert set(new["why"]) == {"planned"}
    assert set(new["done_by"]) == {"Ben"}
    assert new["minutes"].tolist() == [6, 6]
    with pytest.raises(RecordError, match='"maybe" is'):
        acts.log_tasks(workshop, "P2", ("stir_ink",), DAY, details=TaskDetails("maybe"))
    with pytest.raises(RecordError, match="No task was named"):
        acts.log_tasks(workshop, "P2", (), DAY)


def test_a_second_reading_of_a_day_replaces_the_first(workshop: Store) -> None:
    acts.read_counter(workshop, "P1", DAY, 2000)
    acts.read_counter(workshop, "P1", DAY, 2010.5)
    readings = workshop.records().counters.query("printer == 'P1' and read_on == @STAMP")
    assert readings["area_m2"].tolist() == [2010.5]
    with pytest.raises(RecordError, match=r"below the earlier reading 2010\.5"):
        acts.read_counter(workshop, "P1", date(2026, 3, 5), 1900)


def test_a_nozzle_check_is_a_row_per_channel_and_the_days_task(workshop: Store) -> None:
    tasks = len(workshop.records().maintenance)
    acts.log_nozzle_check(by(workshop, "Ana"), "P1", "H1", DAY, {"C": 0, "W1": 3})
    checks = workshop.records().nozzle_checks.query("checked_on == @STAMP")
    assert checks["channel"].tolist() == ["C", "W1"]
    assert checks["missing_nozzles"].tolist() == [0, 3]
    last = workshop.records().maintenance.iloc[-1]
    assert (last["task"], last["why"], last["done_by"]) == ("nozzle_check", "planned", "Ana")
    acts.log_nozzle_check(workshop, "P1", "H1", DAY, {"C": 0, "W1": 0})
    assert len(workshop.records().maintenance) == tasks + 1, "once a day is the routine"
    with pytest.raises(RecordError, match="No channel was named"):
        acts.log_nozzle_check(workshop, "P1", "H1", DAY, {})


def test_the_room_is_noted_for_all_its_printers_and_a_second_note_adds_to_the_first(
    workshop: Store,
) -> None:
    acts.note_room(workshop, ("P1", "P2"), DAY, acts.RoomNote(humidity_percent=41, note="dry"))
    acts.note_room(workshop, ("P1",), DAY, acts.RoomNote(ink_lot="white 8", note="humidified"))
    noted = workshop.records().conditions.query("noted_on == @STAMP").set_index("printer")
    assert noted["humidity_percent"].to_dict() == {"P1": 41, "P2": 41}
    assert noted["ink_lot"].to_dict() == {"P1": "white 8", "P2": ""}
    assert noted["note"].to_dict() == {"P1": "humidified", "P2": "dry"}
    with pytest.raises(RecordError, match="Nothing was noted"):
        acts.note_room(workshop, ("P1",), DAY, acts.RoomNote())
    with pytest.raises(RecordError, match="No printer was named"):
        acts.note_room(workshop, (), DAY, acts.RoomNote(45))
    with pytest.raises(RecordError, match=r"humidity_percent.*140"):
        acts.note_room(workshop, ("P1",), DAY, acts.RoomNote(140))


def test_a_stoppage_begins_once_and_ends_once(workshop: Store) -> None:
    with pytest.raises(RecordError, match="P2 stands still since 2026-02-01 13:00 already"):
        acts.begin_stoppage(workshop, Stoppage("P2", datetime(2026, 3, 4, 9)))
    still = int(workshop.records().stoppages.query("ended_at.isna()").index[0])
    acts.end_stoppage(workshop, still, datetime(2026, 2, 1, 16), scrap_cost=4.2)
    row = workshop.records().stoppages.loc[still]
    assert (row["ended_at"], row["scrap_cost"]) == (pd.Timestamp("2026-02-01T16:00"), 4.2)
    with pytest.raises(RecordError, match="ended at 2026-02-01 16:00 already"):
        acts.end_stoppage(workshop, still, datetime(2026, 2, 2))
    over = Stoppage("P2", datetime(2026, 3, 4, 9), datetime(2026, 3, 4, 11), scrap_cost=1)
    acts.begin_stoppage(workshop, over)
    with pytest.raises(RecordError, match="is before began_at"):
        acts.begin_stoppage(
            workshop, Stoppage("P2", datetime(2026, 3, 5, 9), datetime(2026, 3, 5, 8))
        )


# -- shelf and orders


def test_a_count_sets_the_shelf_to_what_was_counted_that_day(workshop: Store) -> None:
    acts.count_stock(workshop, {PartType("damper"): 5}, DAY)
    last = workshop.records().stock.iloc[-1]
    assert (last["quantity"], last["reason"]) == (-4, "counted"), "nine were written down"
    acts.count_stock(workshop, {PartType("damper"): 12}, date(2025, 10, 15))
    assert on_hand(workshop.records(), "damper", date(2025, 10, 15)) == 12
    acts.count_stock(workshop, {PartType("cap"): 0}, DAY)
    assert workshop.records().stock.iloc[-1][["part_kind", "quantity"]].tolist() == ["cap", 0]
    with pytest.raises(RecordError, match="-1 pieces cannot lie on the shelf"):
        acts.count_stock(workshop, {PartType("cap"): -1}, DAY)


def test_more_than_lies_there_cannot_be_taken_off_the_shelf(workshop: Store) -> None:
    with pytest.raises(RecordError, match="The shelf has 9 × damper on 2026-03-04, so 10 cannot"):
        acts.move_stock(workshop, Movement("damper", DAY, -10, "used"))
    with pytest.raises(RecordError, match="positive but the reason is scrapped"):
        acts.move_stock(workshop, Movement("damper", DAY, 2, "scrapped"))
    with pytest.raises(RecordError, match="0 pieces were moved"):
        acts.move_stock(workshop, Movement("damper", DAY, 0, "used"))
    acts.move_stock(workshop, Movement("damper", DAY, -9, "scrapped"))
    assert on_hand(workshop.records(), "damper") == 0


def test_an_order_that_arrives_goes_on_the_shelf_with_its_price_and_best_before(
    workshop: Store,
) -> None:
    order = int(workshop.records().orders.index[0])
    acts.receive_order(workshop, order, Delivery(DAY))
    records = workshop.records()
    assert records.orders.loc[order, "received_on"] == STAMP
    last = records.stock.iloc[-1]
    assert (last["part_kind"], last["quantity"], last["reason"]) == ("head", 1, "received")
    # The small workshop's catalogue keeps a head for 540 days: 2026-03-04 + 540 d = 2027-08-26.
    assert (last["unit_cost"], last["best_before"]) == (655, pd.Timestamp("2027-08-26"))
    with pytest.raises(RecordError, match=r"1 × printhead arrived on 2026-03-04 already"):
        acts.receive_order(workshop, order, Delivery(DAY))


def test_of_an_order_that_arrives_in_part_the_rest_stays_on_order(workshop: Store) -> None:
    acts.place_order(workshop, Order("cap", 5, DAY, date(2026, 3, 20), "North", unit_cost=44))
    order = int(workshop.records().orders.index[-1])
    delivery = Delivery(date(2026, 3, 18), best_before=date(2027, 1, 1), unit_cost=43.5)
    acts.receive_order(workshop, order, delivery, quantity=2)
    came, rest = (workshop.records().orders.iloc[at] for at in (-2, -1))
    assert (came["quantity"], came["unit_cost"]) == (2, 43.5)
    assert came["received_on"] == pd.Timestamp("2026-03-18")
    assert (rest["quantity"], rest["unit_cost"], rest["supplier"]) == (3, 44, "North")
    assert pd.isna(rest["received_on"])
    assert (rest["ordered_on"], rest["expected_on"]) == (STAMP, pd.Timestamp("2026-03-20"))
    assert workshop.records().stock.iloc[-1]["best_before"] == pd.Timestamp("2027-01-01")
    assert workshop.changes(1)[0].what == "Received 2 of 5 × Capping station, 3 still to come"
    with pytest.raises(RecordError, match="“orders” has no record 9999"):
        acts.receive_order(workshop, 9999, Delivery(DAY))


def test_every_reason_of_the_vocabulary_can_be_given(workshop: Store) -> None:
    day = pd.Timestamp("2026-03-01")
    for number, reason in enumerate(vocabulary.REMOVAL_REASONS):
        on = (day + pd.Timedelta(days=4 * number)).date()
        acts.change_part(workshop, W1, Removal(on, reason))
    assert rows(workshop, "P1", "damper", "W1")["removal_reason"].tolist()[1:-1] == list(
        vocabulary.REMOVAL_REASONS
    )


def test_a_serial_number_goes_in_again_only_where_it_came_out(workshop: Store) -> None:
    numbered = NewPart(serial="S9", from_stock=False)
    acts.change_part(workshop, W1, Removal(DAY, "planned"), new=numbered)
    again = date(2026, 4, 2)
    other = PartPosition("P1", "damper", "C")
    with pytest.raises(RecordError, match="S9 is still in as Damper W1 of P1; write down first"):
        acts.fit_first_part(workshop, other, again, new=numbered)
    # Out and in again in its own place, and then in another.
    acts.change_part(workshop, W1, Removal(again, "planned"), new=numbered)
    acts.change_part(workshop, W1, Removal(date(2026, 4, 9), "planned"))
    acts.fit_first_part(workshop, other, date(2026, 4, 9), new=numbered)
    assert rows(workshop, "P1", "damper", "C")["serial"].tolist()[-1] == "S9"


def test_why_parts_came_out_is_said_once_and_a_reason_that_is_there_stays(workshop: Store) -> None:
    damper, day = PartPosition("P1", "damper", "W1"), date(2026, 4, 2)
    acts.change_part(workshop, damper, Removal(day, "unknown"))
    acts.change_part(workshop, PartPosition("P1", "head", "H1"), Removal(day, "accident"))
    out = workshop.records().fittings.query("removed_on == @day").index
    fittings = [int(fitting) for fitting in out]

    def reasons() -> set[str]:
        return set(workshop.records().fittings.loc[fittings, "removal_reason"])

    number = acts.say_why(workshop, fittings, "failed")
    assert reasons() == {"failed", "accident"}
    assert number is not None
    assert workshop.undo(number).what.endswith("Why 2 parts came out: failed")
    assert reasons() == {"unknown", "accident"}
    with pytest.raises(RecordError):
        acts.say_why(workshop, fittings, "tired")
    assert reasons() == {"unknown", "accident"}
