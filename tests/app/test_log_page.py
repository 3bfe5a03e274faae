"""Logging: few taps, right records, a way back, refusals in words."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from pages.shell import session
from tests.app.conftest import as_read, words_of
from tests.app.real_server import ROOT
from tests.copied import Copies
from tests.hands import by
from tracker.store import acts
from tracker.store.connections import default_url, demo_url
from tracker.store.database import Store, open_store
from tracker.workshop.variants import PartType


def fill(store: Store) -> None:
    """One printer with head, two dampers and a wiper; two dampers on the shelf."""
    acts.add_printer(store, acts.NewPrinter("Ada", date(2026, 1, 5), channels="K W1"))
    for kind, position in (("head", "H1"), ("damper", "K"), ("damper", "W1"), ("wiper", "wiper")):
        acts.fit_first_part(store, acts.PartPosition("Ada", kind, position), date(2026, 1, 5))
    acts.count_stock(store, {PartType("damper"): 2}, date(2026, 1, 6))


@pytest.fixture
def own(folder: Path, copies: Copies) -> Store:
    return copies.opened(default_url(), fill)


def choose(at: AppTest, key: str, value: str) -> AppTest:
    """Tap one of several."""
    at.session_state[key] = value
    return at.run()


def of_place(field: str, kind: str, position: str, printer: str = "Ada") -> str:
    """The key of a field that speaks of one part in one place."""
    return f"{field}-only-in-{printer}-{kind}-{position}"


def counter(at: AppTest, typed: str, day: date) -> AppTest:
    """A number typed as the counter of that day, and the button tapped."""
    at.date_input(key="counter-day").set_value(day).run()
    at.text_input(key="counter-area").input(typed)
    return at.button(key="counter-save").click().run()


def another(at: AppTest) -> AppTest:
    """After one entry the form gives way to it; the next one begins with an empty form."""
    return at.button(key="log-another").click().run()


def test_a_part_change_takes_part_place_and_button(app: Callable[..., AppTest], own: Store) -> None:
    at = app("log")  # the only printer is chosen already
    choose(at, "part-kind", "damper")
    choose(at, "part-position-damper", "W1")
    at.button(key="part-save").click().run()
    assert "Damper W1 of Ada failed and was changed." in words_of(at)
    fittings = own.records().fittings
    here = fittings[(fittings["part_kind"] == "damper") & (fittings["position"] == "W1")]
    assert here["removal_reason"].tolist() == ["failed", ""]
    assert here["fitted_on"].dt.date.tolist() == [date(2026, 1, 5), date(2026, 10, 31)]
    assert own.records().stock["quantity"].sum() == 1


def test_a_new_head_takes_its_dampers_along_and_is_undone_as_one(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("log")
    choose(at, "part-kind", "head")
    assert at.button(key="part-save").label.endswith("failed and was changed, with 2 other parts")
    at.button(key="part-save").click().run()
    out = own.records().fittings["removal_reason"]
    assert sorted(out[out != ""]) == ["failed", "with_other", "with_other"]
    assert "Printhead H1 of Ada failed and was changed, with 2 other parts." in as_read(
        words_of(at)
    )
    at.button(key="undo-last").click().run()
    assert own.records().fittings["removed_on"].isna().all()
    assert len(own.records().fittings) == 4


def test_the_button_and_the_notice_of_a_change_say_why_and_on_which_day(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = choose(app("log"), "part-kind", "wiper")
    for reason, label in (
        ("failed", "Log: Wiper blade of Ada failed and was changed"),
        ("accident", "Log: Wiper blade of Ada was changed after an accident"),
        ("planned", "Log: Wiper blade of Ada was changed as planned"),
    ):
        choose(at, of_place("part-reason", "wiper", "wiper"), reason)
        assert at.button(key="part-save").label == label
    choose(at, "part-day", date(2026, 10, 3))
    at.button(key="part-save").click().run()
    told = as_read(words_of(at))
    assert "Wiper blade of Ada was changed as planned, on 3 Oct 2026." in told


def test_why_a_part_came_out_is_said_anew_of_another_part_and_after_a_reload(
    app: Callable[..., AppTest], own: Store
) -> None:
    acts.add_printer(own, acts.NewPrinter("Bea", date(2026, 1, 5)))
    acts.fit_first_part(own, acts.PartPosition("Bea", "wiper", "wiper"), date(2026, 1, 5))
    at = choose(choose(app("log"), "part-printer", "Ada"), "part-kind", "wiper")
    choose(at, of_place("part-reason", "wiper", "wiper"), "planned")
    assert at.button(key="part-save").label.endswith("of Ada was changed as planned")
    choose(at, "part-printer", "Bea")
    assert at.button(key="part-save").label.endswith("of Bea failed and was changed")
    choose(at, "part-printer", "Ada")
    assert at.button(key="part-save").label.endswith("of Ada failed and was changed")
    choose(at, of_place("part-reason", "wiper", "wiper"), "planned")
    choose(at, "part-note", "half")
    fresh = AppTest.from_file(at._script_path, default_timeout=300)
    fresh.session_state["device"] = dict(at.session_state["device"])
    fresh.switch_page(str(ROOT / "pages" / "log.py")).run()
    assert fresh.text_input(key="part-note").value == "half", "the rest of the draft is kept"
    assert fresh.button(key="part-save").label.endswith("of Ada failed and was changed")


def test_how_a_part_failed_and_why_it_stood_are_said_anew_of_another_place(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = choose(choose(app("log"), "log-what", "Something broke"), "broke-kind", "damper")
    why, how = "broke-why", "broke-mode"
    choose(at, "broke-position-damper", "K")
    (modes,) = [group for group in at.button_group if group.key == of_place(how, "damper", "K")]
    choose(at, of_place(how, "damper", "K"), next(iter(modes.options)))
    choose(at, f"{of_place(why, 'damper', 'K')}-cause", "power or electronics")
    choose(at, "broke-position-damper", "W1")
    said = {str(group.key): group.value for group in at.button_group}
    assert said[of_place(how, "damper", "W1")] is None
    assert said[f"{of_place(why, 'damper', 'W1')}-cause"] == "part failed"


def test_a_check_with_missing_nozzles_is_not_logged_before_one_is_counted(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = choose(app("log"), "log-what", "Nozzle check")
    assert at.button(key="nozzle-save").label == "Log: all nozzles fire on Ada"
    at.toggle(key="nozzle-good").set_value(False).run()
    assert at.button(key="nozzle-save").label == "Log the nozzle check of Ada"
    at.button(key="nozzle-save").click().run()
    assert [error.value for error in at.error] == [
        "Write the missing nozzles of at least one channel, or say that all fire."
    ]
    assert own.records().nozzle_checks.empty
    at.number_input(key="nozzle-W1").set_value(3).run()
    at.button(key="nozzle-save").click().run()
    assert own.records().nozzle_checks["missing_nozzles"].tolist() == [0, 3]


def test_each_of_two_heads_is_checked_in_its_own_channels(
    app: Callable[..., AppTest], own: Store
) -> None:
    acts.fit_first_part(own, acts.PartPosition("Ada", "head", "H2"), date(2026, 1, 5))
    of_head = "nozzle-channels-only-in-Ada-{}".format
    at = choose(app("log"), "log-what", "Nozzle check")
    assert at.pills(key=of_head("H1")).value == ["K", "W1"], "nobody told yet"
    choose(at, of_head("H1"), ["K"])  # type: ignore[arg-type]
    at.button(key="nozzle-save").click().run()
    choose(another(at), "log-what", "Nozzle check")
    assert at.pills(key=of_head("H1")).value == ["K"]
    choose(at, "nozzle-head", "H2")
    assert at.pills(key=of_head("H2")).value == ["W1"]
    at.toggle(key="nozzle-good").set_value(False).run()
    assert [field.key for field in at.number_input] == ["nozzle-W1"]
    choose(at, of_head("H2"), [])  # type: ignore[arg-type]
    at.button(key="nozzle-save").click().run()
    assert [error.value for error in at.error] == ["Choose at least one channel of the head."]
    choose(at, of_head("H2"), ["K", "W1"])  # type: ignore[arg-type]
    at.number_input(key="nozzle-K").set_value(2).run()
    at.button(key="nozzle-save").click().run()
    kept = own.records().nozzle_checks[["position", "channel", "missing_nozzles"]]
    assert kept.values.tolist() == [["H1", "K", 0], ["H2", "K", 2], ["H2", "W1", 0]]


def test_several_tasks_are_logged_at_once_with_their_cautions(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("log")
    choose(at, "log-what", "Task done")
    choose(at, "task-names", ["shake_dampers", "clean_rollers"])  # type: ignore[arg-type]
    said = words_of(at)
    assert "pull the plug" in said
    assert "flammable" in said
    assert "maker's instructions" in said
    at.button(key="task-save").click().run()
    assert "Logged as done on Ada: " in words_of(at)
    done = own.records().maintenance
    assert set(done["task"]) == {"shake_dampers", "clean_rollers"}
    assert set(done["why"]) == {"planned"}


def test_due_tasks_come_first_and_are_marked_as_are_those_done_today(
    app: Callable[..., AppTest], own: Store
) -> None:
    for task, every, since in (
        ("wipe_encoder", 30, "2026-09-01"),
        ("empty_waste", 1, "2026-10-31"),
    ):
        own.add("routines", {"task": task, "every_days": every, "starts_on": since})
    acts.log_tasks(by(own, "Lena"), "Ada", ("stir_ink",), date(2026, 10, 31))
    at = app("log")
    choose(at, "log-what", "Task done")
    offered = [*at.pills(key="task-names").options]
    assert offered[:3] == [
        "Wipe the encoder strip – due, 60\u00a0days late",
        "Empty the waste tank – due today",
        "Stir or shake the white ink – done today by Lena",
    ]
    choose(at, "task-names", ["empty_waste"])  # type: ignore[arg-type]
    at.button(key="task-save").click().run()
    another(at)
    assert "Empty the waste tank – done today" in at.pills(key="task-names").options


def test_a_nozzle_check_is_one_entry_whether_it_is_told_as_task_or_with_its_result(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("log")
    choose(at, "log-what", "Task done")
    choose(at, "task-names", ["nozzle_check"])  # type: ignore[arg-type]
    at.button(key="task-check").click().run()
    assert at.session_state["log-what"] == "Nozzle check"
    at.button(key="nozzle-save").click().run()
    assert own.records().maintenance["task"].tolist() == ["nozzle_check"]
    assert own.records().nozzle_checks["missing_nozzles"].tolist() == [0, 0]
    choose(another(at), "log-what", "Task done")
    assert "Nozzle check – done today" in at.pills(key="task-names").options


def test_a_counter_that_runs_backwards_is_refused_in_words(
    app: Callable[..., AppTest], own: Store
) -> None:
    acts.read_counter(own, "Ada", date(2026, 10, 1), 4.5)
    at = app("log")
    choose(at, "log-what", "Counter")
    at.date_input(key="counter-day").set_value(date(2026, 9, 30)).run()
    at.text_input(key="counter-area").input("500")
    at.button(key="counter-save").click().run()
    assert len(at.error) == 1
    assert "4.5" in at.error[0].value
    assert len(own.records().counters) == 1


def test_a_reading_below_an_earlier_days_is_asked_about_and_a_new_counter_is_one_tap(
    app: Callable[..., AppTest], own: Store
) -> None:
    acts.read_counter(own, "Ada", date(2026, 10, 1), 500.0)
    at = app("log")
    choose(at, "log-what", "Counter")
    at.text_input(key="counter-area").input("4.5")
    at.button(key="counter-save").click().run()
    asked = "\n".join(as_read(told.value) for told in at.warning)
    assert asked == "4.5 m² is less than the 500.0 m² of 1 Oct 2026. A new counter, or a slip?"
    assert own.records().counters["area_m2"].tolist() == [500], "nothing is changed by asking"
    assert "counter-slip" not in [button.key for button in at.button]
    at.button(key="counter-new").click().run()
    counters = own.records().counters
    assert counters["area_m2"].tolist() == [500, 504.5]
    assert counters["carried_m2"].fillna(0).tolist() == [0, 500]
    at.button(key="undo-last").click().run()
    assert own.records().counters["area_m2"].tolist() == [500]


def test_what_a_replaced_counter_had_printed_is_added_to_all_later_readings(
    app: Callable[..., AppTest], own: Store
) -> None:
    acts.read_counter(own, "Ada", date(2026, 10, 1), 1250.5)
    at = counter(choose(app("log"), "log-what", "Counter"), "20", date(2026, 10, 20))
    at.button(key="counter-new").click().run()
    another(at)
    assert "the 1 250.5 m² of the one before are added" in as_read(words_of(at))
    another(counter(at, "45", date(2026, 10, 29)))
    # More than the running total so far: it may be either, so it is asked once.
    at = counter(at, "1300", date(2026, 10, 30))
    assert "Does the counter show 1 300.0 m²? Then it is 2 550.5 m² in all" in as_read(words_of(at))
    at.button(key="counter-in-all").click().run()
    # A second new counter: it shows less than the one before it did.
    at = counter(another(at), "3", date(2026, 10, 31))
    assert "3.0 m² is less than the 1 300.0 m² of 30 Oct 2026." in as_read(words_of(at))
    at.button(key="counter-new").click().run()
    counters = own.records().counters.sort_values("read_on")
    assert counters["area_m2"].tolist() == [1250.5, 1270.5, 1295.5, 1300, 1303]
    assert counters["carried_m2"].fillna(0).tolist() == [0, 1250.5, 1250.5, 1250.5, 1300]


def test_the_counter_at_a_part_change_is_read_as_the_counter_that_is_in_use(
    app: Callable[..., AppTest], own: Store
) -> None:
    acts.read_counter(own, "Ada", date(2026, 10, 1), 1250.5)
    acts.read_counter(own, "Ada", date(2026, 10, 20), 1270.5, carried_m2=1250.5)
    at = choose(app("log"), "part-kind", "wiper")
    at.text_input(key="part-counter").input("45")
    at.button(key="part-save").click().run()
    out, new = own.records().fittings.query("part_kind == 'wiper'").itertuples()
    assert (out.removed_counter_m2, new.fitted_counter_m2) == (1295.5, 1295.5)


def test_a_reading_below_zero_is_refused_at_once(app: Callable[..., AppTest], own: Store) -> None:
    acts.read_counter(own, "Ada", date(2026, 10, 1), 500.0)
    at = counter(choose(app("log"), "log-what", "Counter"), "-5", date(2026, 10, 31))
    assert [error.value for error in at.error] == [
        "'-5' is below zero; write it without the minus sign, or correct it."
    ]
    assert "counter-new" not in [button.key for button in at.button]


def test_a_word_instead_of_a_number_is_refused_in_words(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("log")
    choose(at, "log-what", "Counter")
    at.text_input(key="counter-area").input("many")
    at.button(key="counter-save").click().run()
    assert [error.value for error in at.error] == [
        "'many' is not a number; write digits only, e.g. 12.5."
    ]


def test_a_number_that_reads_both_ways_is_refused_with_both(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("log")
    choose(at, "log-what", "Counter")
    at.text_input(key="counter-area").input("12,345")
    at.button(key="counter-save").click().run()
    assert [error.value for error in at.error] == [
        "'12,345' reads both ways; write 12345 or 12.345 as you mean."
    ]
    assert own.records().counters.empty
    at.text_input(key="counter-area").input("12.345")
    at.button(key="counter-save").click().run()
    (asked,) = [told.value for told in at.warning]
    assert as_read(asked).startswith("“12.345” reads both ways: 12.345 or 12345?")
    assert own.records().counters.empty
    next(button for button in at.button if button.label == "It is 12.345").click().run()
    at.button(key="counter-save").click().run()
    assert own.records().counters["area_m2"].tolist() == [12.345]
    # A counter does not run backwards, so the same writing now reads one way.
    at = counter(another(at), "1,250", date(2026, 10, 31))
    assert "reads both ways" in at.error[0].value
    acts.read_counter(own, "Ada", date(2026, 10, 31), 900)
    at = counter(at, "1.250", date(2026, 10, 31))
    assert not at.warning
    assert not at.error
    assert own.records().counters["area_m2"].tolist() == [1250]


def test_a_price_that_reads_both_ways_is_asked_about_once(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = choose(choose(app("log"), "log-what", "Order"), "order-kind", "wiper")
    at.text_input(key="order-cost").input("1.000")
    at.button(key="order-save").click().run()
    (asked,) = [told.value for told in at.warning]
    assert "“1.000” reads both ways: 1 or 1000?" in as_read(asked)
    assert own.records().orders.empty
    at.text_input(key="order-cost").input("1000")
    at.button(key="order-save").click().run()
    assert own.records().orders["unit_cost"].tolist() == [1000]


def test_a_lower_reading_of_the_same_day_is_asked_about(
    app: Callable[..., AppTest], own: Store
) -> None:
    acts.read_counter(own, "Ada", date(2026, 10, 31), 15.0)
    at = app("log")
    choose(at, "log-what", "Counter")
    at.text_input(key="counter-area").input("12")
    at.button(key="counter-save").click().run()
    asked = words_of(at).replace("\N{NO-BREAK SPACE}", " ")
    assert "12.0 m² is less than today's earlier 15.0 m². A new counter, or a slip?" in asked
    assert own.records().counters["area_m2"].tolist() == [15], "nothing is changed by asking"
    at.text_input(key="counter-area").input("17").run()
    assert "counter-slip" not in [button.key for button in at.button], "another number was typed"
    at.text_input(key="counter-area").input("12")
    at.button(key="counter-save").click().run()
    at.button(key="counter-new").click().run()
    assert own.records().counters["area_m2"].tolist() == [27]  # 15 of the old counter and 12
    told = words_of(at).replace("\N{NO-BREAK SPACE}", " ")
    assert "write what the new counter shows" in told
    assert "the 15.0 m² of the one before are added" in told


def test_a_lower_reading_of_the_same_day_that_nobody_asked_about_is_refused(own: Store) -> None:
    acts.read_counter(own, "Ada", date(2026, 10, 31), 15.0)
    with pytest.raises(ValueError, match=r"12 m² is less than 15 m², which was read the same day"):
        acts.read_counter(own, "Ada", date(2026, 10, 31), 12.0)
    acts.read_counter(own, "Ada", date(2026, 10, 31), 12.0, was_a_slip=True)
    assert own.records().counters["area_m2"].tolist() == [12]


def test_square_feet_are_kept_as_square_metres(app: Callable[..., AppTest], own: Store) -> None:
    at = app("log")
    choose(at, "log-what", "Counter")
    choose(at, "counter-unit", "ft²")
    at.text_input(key="counter-area").input("1 000,5")
    at.button(key="counter-save").click().run()
    # The international foot is exactly 0.3048 m: 1000.5 ft² = 92.94949152 m².
    assert own.records().counters["area_m2"].tolist() == [pytest.approx(92.94949152, abs=1e-9)]


def test_humidity_and_a_new_lot_are_noted_for_all_printers_of_a_site(
    app: Callable[..., AppTest], own: Store
) -> None:
    for name, site in (("Bea", "Mill Lane"), ("Cid", "Mill Lane"), ("Dan", "Yard")):
        acts.add_printer(own, acts.NewPrinter(name, date(2026, 1, 5), channels="K W1", site=site))
    at = app("log")
    choose(at, "log-what", "Room")
    choose(at, "room-printer", "Bea")
    at.text_input(key="room-humidity").input("41,5")
    at.text_input(key="room-ink_lot").input("white 8")
    at.button(key="room-save").click().run()
    noted = own.records().conditions
    assert noted["printer"].tolist() == ["Bea", "Cid"]
    assert noted["humidity_percent"].tolist() == [41.5, 41.5]
    assert noted["ink_lot"].tolist() == ["white 8", "white 8"]
    assert "Room of Bea, Cid noted." in words_of(at)
    another(at)
    assert at.text_input(key="room-ink_lot").placeholder == "in use: white 8"
    choose(at, "room-printer", "Ada")
    assert at.text_input(key="room-ink_lot").placeholder == "none noted yet"
    assert not [one for one in at.toggle if one.key == "room-together"], "its site is not known"


def test_a_room_of_many_printers_is_told_by_their_number(
    app: Callable[..., AppTest], own: Store
) -> None:
    for name in "BCDEFGH":
        acts.add_printer(own, acts.NewPrinter(name, date(2026, 1, 5), channels="K", site="Yard"))
    at = app("log")
    choose(at, "log-what", "Room")
    choose(at, "room-printer", "B")
    assert at.toggle(key="room-together").label == "The same for all at Yard: 7 printers"


def test_a_room_of_which_nothing_is_said_is_refused_in_words(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("log")
    choose(at, "log-what", "Room")
    at.button(key="room-save").click().run()
    assert [error.value for error in at.error] == [
        "Nothing was noted; write the humidity, a lot or a note."
    ]
    assert own.records().conditions.empty


def test_a_stoppage_begins_and_ends(app: Callable[..., AppTest], own: Store) -> None:
    at = app("log")
    choose(at, "log-what", "Stoppage")
    at.text_input(key="stop-cause-typed").input("no vacuum")
    at.button(key="stop-save").click().run()
    rows = own.records().stoppages
    assert rows["cause"].tolist() == ["no vacuum"]
    assert rows["ended_at"].isna().all()


def test_an_order_is_placed_and_arrives_on_the_shelf(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("log")
    choose(at, "log-what", "Order")
    choose(at, "order-kind", "wiper")
    at.button(key="order-save").click().run()
    orders = own.records().orders
    assert orders["quantity"].tolist() == [5]  # a pack, common practice
    another(at)
    arrived = f"order-in-{orders.index[0]}"
    at.button(key=arrived).click().run()
    stock = own.records().stock
    assert stock.loc[stock["part_kind"] == "wiper", "quantity"].tolist() == [5]


def test_undo_is_gone_once_another_workshop_is_on_screen(
    app: Callable[..., AppTest], folder: Path
) -> None:
    at = app("log")
    choose(at, "log-what", "Stock")
    at.number_input(key="count-damper-").set_value(3).run()
    at.button(key="stock-save").click().run()
    assert at.button(key="undo-last")
    at.button(key="start-own").click().run()
    assert "undo-last" not in [button.key for button in at.button]
    at.session_state["demo"] = True  # back by any way: the message is not kept either
    at.run()
    assert "undo-last" not in [button.key for button in at.button]
    with open_store(demo_url()) as demo:
        assert "3 ×" in demo.changes(1)[0].what


def test_a_message_of_one_workshop_never_undoes_in_another(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("log")
    choose(at, "part-kind", "wiper")
    at.button(key="part-save").click().run()
    assert at.button(key="undo-last")
    at.session_state["demo"] = True
    at.run()
    assert "Demo workshop" in words_of(at)
    assert "undo-last" not in [button.key for button in at.button]
    assert "recorded" not in at.session_state


def test_what_was_logged_is_also_told_in_a_toast_once(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("log")
    choose(at, "part-kind", "wiper")
    at.button(key="part-save").click().run()
    assert ["Wiper blade of Ada failed and was changed." in toast.value for toast in at.toast] == [
        True
    ]
    assert not at.run().toast


def test_the_same_entry_twice_is_asked_about_and_other_entries_are_not(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("log")
    choose(at, "log-what", "Task done")
    choose(at, "task-names", ["stir_ink"])  # type: ignore[arg-type]
    at.button(key="task-save").click().run()
    choose(another(at), "task-names", ["stir_ink"])  # type: ignore[arg-type]
    at.button(key="task-save").click().run()
    assert "This was logged a moment ago: Stir or shake the white ink: Ada" in as_read(words_of(at))
    assert len(own.records().maintenance) == 1
    at.button(key="task-save-again").click().run()
    assert len(own.records().maintenance) == 2
    choose(another(at), "task-names", ["wipe_encoder"])  # type: ignore[arg-type]
    at.button(key="task-save").click().run()
    assert len(own.records().maintenance) == 3
    at.button(key="undo-last").click().run()
    choose(at, "task-names", ["wipe_encoder"])  # type: ignore[arg-type]
    at.button(key="task-save").click().run()
    assert len(own.records().maintenance) == 3, "what was taken back may be logged again"


def test_pieces_below_zero_are_refused_with_the_number(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("log")
    choose(at, "log-what", "Stock")
    choose(at, "stock-what", "Put on the shelf")
    choose(at, "stock-kind", "damper")
    at.number_input(key="stock-n").set_value(-3).run()
    at.button(key="stock-save").click().run()
    assert [error.value for error in at.error] == ["Pieces: -3 is less than 1; write 1 or more."]
    assert own.records().stock["quantity"].sum() == 2


@pytest.mark.parametrize("demo", [False, True])
def test_days_to_come_are_refused_with_the_day(
    app: Callable[..., AppTest], own: Store, demo: bool
) -> None:
    at = app("log")
    at.session_state["demo"] = demo
    at.run()
    if demo:
        choose(at, "part-printer", "Yard")
    choose(at, "part-kind", "wiper")
    at.date_input(key="part-last-ok").set_value(date(2027, 2, 1)).run()
    at.button(key="part-save").click().run()
    assert "Last day seen good: 2027-02-01 is in the future" in at.error[0].value
    at.date_input(key="part-last-ok").set_value(None).run()
    at.date_input(key="part-day").set_value(date(2026, 11, 9)).run()
    at.button(key="part-save").click().run()
    assert "Day: 2026-11-09 is in the future" in at.error[0].value
    at.date_input(key="part-day").set_value(date(2206, 10, 3)).run()
    at.button(key="part-save").click().run()
    assert "Day: 2206-10-03 cannot be meant; correct the year." in at.error[0].value
    assert len(own.records().fittings) == 4


def test_a_stoppage_ends_now_and_never_when_it_began(
    app: Callable[..., AppTest], own: Store
) -> None:
    acts.begin_stoppage(own, acts.Stoppage("Ada", datetime(2026, 10, 31, 0, 0), cause="no vacuum"))
    at = app("log")
    choose(at, "log-what", "Stoppage")
    row = own.records().stoppages.index[0]
    shown = at.time_input(key=f"stop-end-{row}-time").value
    assert shown is not None
    assert shown.minute % 5 == 0
    at.time_input(key=f"stop-end-{row}-time").set_value(time(0, 0)).run()
    at.button(key=f"stop-close-{row}").click().run()
    assert [error.value for error in at.error] == [
        "Was a part changed? Pick the part and its place, or say that none was."
    ]
    choose(at, f"stop-went-{row}-kind", "No part changed")
    at.button(key=f"stop-close-{row}").click().run()
    assert "not after it stopped (31 Oct 2026 00:00)" in as_read(at.error[0].value)
    at.time_input(key=f"stop-end-{row}-time").set_value(time(0, 50)).run()
    at.button(key=f"stop-close-{row}").click().run()
    assert own.records().stoppages["ended_at"].tolist() == [datetime(2026, 10, 31, 0, 50)]


def test_ink_channels_may_be_typed_with_commas(app: Callable[..., AppTest], own: Store) -> None:
    at = app("log")
    choose(at, "log-what", "Printer")
    at.text_input(key="printer-name").input("Bea")
    choose(at, "printer-layout", "other")
    at.text_input(key="printer-channels").input("C,M; Y,K W,")
    at.button(key="printer-save").click().run()
    fittings = own.records().fittings
    dampers = fittings[(fittings["printer"] == "Bea") & (fittings["part_kind"] == "damper")]
    assert dampers["position"].tolist() == ["C", "M", "Y", "K", "W"]


def test_a_used_printer_is_asked_for_the_ages_of_its_parts_once_per_kind(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("log")
    choose(at, "log-what", "Printer")
    at.text_input(key="printer-name").input("Bea")
    choose(at, "printer-layout", "other")
    at.text_input(key="printer-channels").input("C W1")
    at.radio(key="printer-parts").set_value("unknown").run()
    choose(at, "printer-age-damper", "Months")
    choose(at, "printer-age-head", "About a year")
    at.button(key="printer-save").click().run()
    fittings = own.records().fittings.query("printer == 'Bea'").set_index("position")
    assert fittings["fitted_on"].isna().all()
    assert fittings["age_guess_days"].dropna().to_dict() == {"H1": 365, "C": 120, "W1": 120}


def test_something_broke_is_one_entry_and_undone_as_one(
    app: Callable[..., AppTest], own: Store
) -> None:
    before = len(own.changes(100))
    at = app("log")
    choose(at, "log-what", "Something broke")
    choose(at, "broke-kind", "head")
    choose(at, of_place("broke-mode", "head", "H1"), "nozzles blocked")
    for end in ("begin", "end"):
        at.date_input(key=f"broke-{end}-day").set_value(date(2026, 10, 30)).run()
    at.time_input(key="broke-begin-time").set_value(time(9, 0)).run()
    at.time_input(key="broke-end-time").set_value(time(13, 30)).run()
    at.text_input(key="broke-pieces").input("12")
    assert at.text_input(key="broke-scrap").label == "What they cost (€)"
    at.text_input(key="broke-scrap").input("90").run()
    choose(at, "broke-tasks", ["strong_clean"])  # type: ignore[arg-type]
    said = words_of(at)
    assert "ribbon cable" in said  # a head's, and only a head's
    at.button(key="broke-save").click().run()
    assert not at.exception
    records = own.records()
    assert sorted(records.fittings["removal_reason"].replace("", "in")) == [
        "failed", "in", "in", "in", "in", "with_other", "with_other",
    ]  # fmt: skip
    assert records.fittings.query("removal_reason == 'failed'")["failure_mode"].tolist() == [
        "nozzles blocked"
    ]
    stop = records.stoppages.iloc[0]
    assert (stop.cause, stop.part_kind, stop.scrap_cost) == ("part failed", "head", 90)
    assert stop.ended_at - stop.began_at == timedelta(hours=4, minutes=30)
    assert stop.note == "12 pieces spoiled"
    assert records.maintenance[["task", "why", "position"]].values.tolist() == [
        ["strong_clean", "symptom", "H1"]
    ]
    assert len(own.changes(100)) == before + 1
    at.button(key="undo-last").click().run()
    after = own.records()
    assert after.fittings["removed_on"].isna().all()
    assert after.stoppages.empty
    assert after.maintenance.empty


@pytest.mark.parametrize(
    ("form", "key", "label"),
    [("Something broke", "broke", "It broke"), ("Stoppage", "stop", "It stopped")],
)
def test_when_it_stopped_is_asked_where_it_runs_again_and_is_now_where_it_stands(
    app: Callable[..., AppTest], own: Store, form: str, key: str, label: str
) -> None:
    at = app("log")
    choose(at, "log-what", form)
    if key == "broke":
        choose(at, "broke-kind", "wiper")
    else:
        at.toggle(key="stop-over").set_value(True).run()
    assert at.time_input(key=f"{key}-begin-time").value is None
    at.button(key=f"{key}-save").click().run()
    assert [error.value for error in at.error] == [
        f"{label}: the time is empty; about when was it? The nearest hour will do."
    ]
    assert own.records().stoppages.empty
    if key == "broke":
        choose(at, "broke-stood", "It still stands")
    else:
        at.toggle(key="stop-over").set_value(False).run()
    assert at.time_input(key=f"{key}-begin-time").value is not None
    at.button(key=f"{key}-save").click().run()
    assert not at.error
    assert own.records().stoppages["ended_at"].isna().tolist() == [True]


def test_a_name_with_marks_stands_in_what_was_recorded_as_it_was_written(
    app: Callable[..., AppTest], own: Store
) -> None:
    acts.add_printer(own, acts.NewPrinter("*A* ![i](x) :red[b]", date(2026, 1, 5), channels="K"))
    at = app("log")
    choose(at, "log-what", "Counter")
    choose(at, "counter-printer", "*A* ![i](x) :red[b]")
    at.text_input(key="counter-area").input("12")
    at.button(key="counter-save").click().run()
    assert [as_read(told.value) for told in at.success] == [
        "Counter of *A* ![i](x) :red[b]: 12.0 m²."
    ]
    assert at.success[0].value.startswith(r"Counter of \*A\* !\[i\](x) \:red\[b\]")
    assert at.toast[0].value.startswith(at.success[0].value)


def test_supplier_and_batch_of_the_spare_stand_there_already(
    app: Callable[..., AppTest], own: Store
) -> None:
    acts.place_order(own, acts.Order("wiper", 2, date(2026, 9, 1), supplier="Ink Barn"))
    order = own.records().orders.index[-1]
    acts.receive_order(own, int(order), acts.Delivery(date(2026, 9, 9)))
    at = app("log")
    choose(at, "part-kind", "wiper")
    at.text_input(key="part-batch-wiper-Ada").input("L7").run()
    at.button(key="part-save").click().run()
    choose(another(at), "part-kind", "wiper")
    assert at.selectbox(key="part-supplier-wiper-Ada").value == "Ink Barn"
    at.button(key="part-save").click().run()
    fitted = own.records().fittings.query("part_kind == 'wiper'")
    assert fitted["supplier"].tolist()[1] == "Ink Barn"
    assert fitted["batch"].tolist()[1] == "L7"


def test_a_place_that_stands_empty_can_be_filled(app: Callable[..., AppTest], own: Store) -> None:
    fittings = own.records().fittings
    row = fittings.index[fittings["position"] == "W1"][0]
    own.correct("fittings", int(row), {"removed_on": "2026-10-30", "removal_reason": "failed"})
    today = app()
    assert "Damper W1 of Ada stands empty since" in words_of(today)
    today.button(key="fill-Ada-damper-W1").click().run()
    today.button(key="fill-save").click().run()
    assert "Damper W1 of Ada put in." in words_of(today)
    assert own.records().fittings["removed_on"].isna().sum() == 4
    assert own.records().stock["quantity"].sum() == 1


def test_a_failed_part_under_warranty_is_told_today_and_its_claim_written_down(
    app: Callable[..., AppTest], own: Store
) -> None:
    own.add("parts", {"part_kind": "head", "warranty_days": 310})  # 5 January to 11 November
    head = acts.PartPosition("Ada", "head", "H1")
    acts.change_part(own, head, acts.Removal(date(2026, 10, 20), "failed"))
    at = app()
    told = words_of(at).replace("\\", "").replace("\N{NO-BREAK SPACE}", " ")
    assert "Printhead H1 of Ada** failed 20 Oct 2026: send the claim" in told
    at.button(key="today-claims").click().run()
    (claims,) = [box for box in at.expander if box.label.startswith("Claims open")]
    assert claims.proto.expanded
    assert at.expander[0].label == claims.label, "first on the page that it leads to"
    at = app("spares")
    out = int(own.records().fittings.query("removal_reason == 'failed'").index[0])
    at.text_input(key=f"claim-{out}-amount").input("250")
    at.button(key=f"claim-{out}-save").click().run()
    assert not at.exception
    row = own.records().fittings.loc[out]
    assert (row.claim, row.claim_amount) == ("sent", 250)
    assert "claim sent: 250" in words_of(at).replace("\\", "")
    assert "send the claim" not in words_of(app())


def test_a_head_strike_is_an_accident_however_it_is_logged(
    app: Callable[..., AppTest], own: Store
) -> None:
    def modes(at: AppTest, key: str) -> list[str]:
        return next(list(group.options) for group in at.button_group if group.key == key)

    at = app("log")
    choose(at, "part-kind", "head")
    assert "head strike" not in modes(at, of_place("part-mode", "head", "H1"))  # it failed: wear
    choose(at, of_place("part-reason", "head", "H1"), "accident")
    assert "head strike" in modes(at, of_place("part-accident-mode", "head", "H1"))
    choose(at, "log-what", "Something broke")
    choose(at, "broke-kind", "head")
    choose(at, of_place("broke-mode", "head", "H1"), "head strike")
    at.date_input(key="broke-begin-day").set_value(date(2026, 10, 30)).run()
    at.time_input(key="broke-begin-time").set_value(time(9, 0)).run()
    at.button(key="broke-save").click().run()
    out = own.records().fittings.query("part_kind == 'head' and removal_reason != ''").iloc[0]
    assert (out.removal_reason, out.failure_mode) == ("accident", "head strike")
    assert own.records().stoppages.iloc[0].cause == "head strike"


def test_a_second_printer_takes_over_the_head_type_written_before(
    app: Callable[..., AppTest], own: Store
) -> None:
    own.correct("printers", 1, {"head_type": "six-channel head", "site": "Mill Lane"})
    at = app("log")
    choose(at, "log-what", "Printer")
    at.text_input(key="printer-name").input("Bea")
    at.selectbox(key="printer-head-type-six-channel head").set_value("six-channel head")
    at.selectbox(key="printer-site").set_value("Mill Lane").run()
    at.button(key="printer-save").click().run()
    assert not at.exception
    new = own.records().printers.query("printer == 'Bea'").iloc[0]
    assert (new.head_type, new.site) == ("six-channel head", "Mill Lane")


@pytest.mark.parametrize(
    ("form", "day", "button", "taps"),
    [
        ("Part change", "part-day", "part-save", {"part-kind": "damper"}),
        ("Task done", "task-day", "task-save", {"task-names": ["stir_ink"]}),
        ("Nozzle check", "nozzle-day", "nozzle-save", {}),
        ("Counter", "counter-day", "counter-save", {"counter-area": "120"}),
    ],
)
def test_a_day_before_the_printers_first_is_refused_with_both_ways_to_mend_it(
    app: Callable[..., AppTest], own: Store, form: str, day: str, button: str, taps: dict[str, str]
) -> None:
    before = len(own.changes(100))
    at = choose(app("log"), "log-what", form)
    for key, value in taps.items():
        at = choose(at, key, value)
    if form == "Part change":
        at = choose(at, "part-position-damper", "W1")
    at.date_input(key=day).set_value(date(2026, 1, 4)).run()
    at.button(key=button).click().run()
    told = as_read(at.error[0].value)
    assert "Day: 4 Jan 2026 is before the first day of Ada, 5 Jan 2026." in told
    assert "“Records”, “Browse and correct”, “Printers”" in told
    assert "fitted_on" not in told
    assert len(own.changes(100)) == before
    at.date_input(key=day).set_value(date(2026, 1, 6)).run()
    at.button(key=button).click().run()
    assert len(own.changes(100)) > before


def test_the_time_a_form_opened_with_is_the_time_that_is_kept(
    app: Callable[..., AppTest], own: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    acts.begin_stoppage(own, acts.Stoppage("Ada", datetime(2026, 10, 30, 8, 0), cause="software"))
    row = own.records().stoppages.index[0]
    monkeypatch.setattr(session, "now", lambda: datetime(2026, 10, 31, 23, 7))
    at = app("log")
    choose(at, "log-what", "Stoppage")
    choose(at, f"stop-went-{row}-kind", "No part changed")
    assert at.time_input(key=f"stop-end-{row}-time").value == time(23, 5)
    monkeypatch.setattr(session, "now", lambda: datetime(2026, 10, 31, 23, 11))
    at.button(key=f"stop-close-{row}").click().run()
    assert own.records().stoppages["ended_at"].tolist() == [datetime(2026, 10, 31, 23, 5)]


def test_a_count_is_told_in_pieces_and_types(app: Callable[..., AppTest], own: Store) -> None:
    at = app("log")
    choose(at, "log-what", "Stock")
    for kind, pieces in (("damper", 7), ("wiper", 6)):
        at.number_input(key=f"count-{kind}-").set_value(pieces).run()
    at.button(key="stock-save").click().run()
    assert "Counted on the shelf: 13 pieces of 2 types of part." in words_of(at)
    assert own.changes(1)[0].what == ("Counted on the shelf: 2 types of part, pieces in all: 13")
