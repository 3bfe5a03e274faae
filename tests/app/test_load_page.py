"""From a workshop's own sheet to its records: answered, mended, loaded, taken back on one page."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.app.conftest import words_of
from tests.copied import Copies
from tracker.store.connections import default_url
from tracker.store.database import Store

COUNTERS = "Date,Printer,Total m2\n2026-03-02,Left,120\n2026-03-33,Left,130\n2026-03-09,Left,x\n"
CALENDAR = "March 2026 Left\nDay,Shake dampers,Wiper changed\n1,x,\n2,,x\n3,x,\n16,,x\n"


def fill(store: Store) -> None:
    for name in ("Left", "Right"):
        store.add("printers", {"printer": name, "started_on": "2025-01-01"})


@pytest.fixture
def own(folder: Path, copies: Copies) -> Store:
    return copies.opened(default_url(), fill)


def load(at: AppTest, name: str, data: str | bytes) -> AppTest:
    at.session_state["records-section"] = "Load files"
    at.run()
    raw = data.encode() if isinstance(data, str) else data
    return at.file_uploader(key="load-files").set_value([(name, raw, "text/csv")]).run()


def button(at: AppTest, label: str) -> AppTest:
    return next(found for found in at.button if found.label == label).click().run()


def labels(at: AppTest) -> list[str]:
    return [found.label for found in at.button]


def test_the_button_says_what_it_will_do_and_undo_takes_all_of_it_back(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = load(app("records"), "log.csv", CALENDAR)
    at.session_state["load-role|calendar|Wiper changed|part:wiper/"] = "part:wiper/"
    at.run()
    at.session_state["load-log.csv|why"] = "planned"
    at.run()
    assert "Left: shake dampers, draw off air on 1 and 3 March 2026." in words_of(at)
    button(at, "Load 2 part changes and 2 tasks of Left, 1 to 16 March 2026")
    assert len(own.records().maintenance) == 2
    assert not at.file_uploader(key="load-files-1").value
    at.button(key="undo-last").click().run()
    assert own.records().maintenance.empty
    assert own.records().fittings.empty


def test_rows_pasted_from_a_spreadsheet_load_like_a_file(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("records")
    at.session_state["records-section"] = "Load files"
    at.run()
    at.text_area(key="load-paste").input(COUNTERS.replace(",", "\t").split("2026-03-33")[0])
    button(at, "Read these rows")
    button(at, "Load 1 counter reading of Left, 2 March 2026")
    assert own.records().counters["area_m2"].tolist() == [120]
    assert not at.text_area(key="load-paste-1").value


def test_a_wrong_cell_is_mended_in_place_and_a_row_left_out_keeps_its_reason(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = load(app("records"), "c.csv", COUNTERS)
    assert "2 mistakes in 2 rows" in words_of(at)
    fields = {field.label: field for field in at.text_input}
    fields["Date should be"].input("2026-03-05").run()
    why = next(field for field in at.text_input if field.label.startswith("Why?"))
    why.input("a test print")
    button(at, "Leave row 4 out")
    said = words_of(at)
    assert "c.csv, row 3: “2026-03-33” is read as “2026-03-05”" in said
    assert "c.csv, row 4 is left out: a test print" in said
    button(at, "Load 2 counter readings of Left, 2 to 5 March 2026")
    assert own.records().counters["area_m2"].tolist() == [120, 130]
    assert own.changes(1)[0].what == "Loaded c.csv; left out: c.csv, row 4: a test print"


def test_a_mend_is_taken_back(app: Callable[..., AppTest], own: Store) -> None:
    at = load(app("records"), "c.csv", COUNTERS)
    next(field for field in at.text_input if field.label == "Date should be").input("5.3.26").run()
    assert "1 mistake in 1 row" in words_of(at)
    button(at, "Take back")
    assert "2 mistakes in 2 rows" in words_of(at)


def test_the_rest_loads_when_all_mistaken_rows_are_left_out_at_once(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = load(app("records"), "c.csv", COUNTERS)
    button(at, "Leave 2 rows out")
    assert "row 3 is left out: 2026-03-33 is not a day of the calendar" in words_of(at)
    button(at, "Load 1 counter reading of Left, 2 March 2026")
    assert len(own.records().counters) == 1


def test_one_mend_serves_all_rows_with_the_same_mistake(
    app: Callable[..., AppTest], own: Store
) -> None:
    rows = "".join(f"2026-03-{day:02d},Left,1x{2}\n" for day in (3, 4))
    at = load(app("records"), "c.csv", "Date,Printer,Total m2\n2026-03-02,Left,120\n" + rows)
    next(f for f in at.text_input if f.label == "Total m2 should be, in all 2 rows").input(
        "125"
    ).run()
    button(at, "Load 3 counter readings of Left, 2 to 4 March 2026")
    assert own.records().counters["area_m2"].tolist() == [120, 125, 125]


def test_many_mistakes_are_one_table_edited_in_place(
    app: Callable[..., AppTest], own: Store
) -> None:
    rows = "".join(f"2026-03-{day:02d},Left,{'abcdefg'[day - 3]}\n" for day in range(3, 10))
    at = load(app("records"), "c.csv", "Date,Printer,Total m2\n2026-03-02,Left,120\n" + rows)
    table = next(found for found in at.dataframe if "Should be" in found.value)
    assert table.value["Where"].tolist()[0] == "Row 3, Total m2"
    key = "load-mend-cells-" + table.proto.id.rpartition("load-mend-cells-")[2]
    edits = {at_row: {"Should be": str(121 + at_row)} for at_row in range(6)}
    edits[6] = {"Leave out": True}
    at.session_state[key] = {"edited_rows": edits, "added_rows": [], "deleted_rows": []}
    at.run()
    button(at, "Read again with these")
    button(at, "Load 7 counter readings of Left, 2 to 8 March 2026")
    assert own.records().counters["area_m2"].tolist() == [120, 121, 122, 123, 124, 125, 126]


def test_what_a_column_is_can_be_changed_and_is_remembered(
    app: Callable[..., AppTest], own: Store
) -> None:
    sheet = "Day,Shake dampers,Morning round\n2026-03-02,x,x\n2026-03-03,,x\n"
    at = load(app("records"), "left.csv", f"Left\n{sheet}")
    at.session_state["load-left.csv|why"] = "planned"
    at.run()
    column = next(box for box in at.selectbox if box.label == "“Morning round” is")
    column.select("task:stir_ink").run()
    button(at, "Load 3 tasks of Left, 2 to 3 March 2026")
    assert own.records().maintenance["task"].value_counts().to_dict() == {
        "stir_ink": 2,
        "shake_dampers": 1,
    }
    at.file_uploader(key="load-files-1").set_value(
        [("right.csv", f"Right\n{sheet}".encode(), "text/csv")]
    ).run()
    at.session_state["load-right.csv|why"] = "planned"
    at.run()
    assert "Load 3 tasks of Right, 2 to 3 March 2026" in labels(at)


def asked(at: AppTest) -> dict[str, str | None]:
    """What is asked, by the keys of the questions, and what was tapped."""
    questions = [group for group in at.button_group if (group.key or "").startswith("load-")]
    return {group.key or "": group.value for group in questions}


def test_an_answer_holds_when_a_column_of_another_table_is_chosen_since(
    app: Callable[..., AppTest], own: Store
) -> None:
    sheet = "Printer,Part,Place,Fitted on,Removed on\nLeft,Zorbel,left,2025-0{0}-03,2025-0{0}-20\n"
    sheet += "Left,Blinkwerk,back,2025-0{0}-05,2025-0{0}-21\n"
    at = load(app("records"), "a.csv", sheet.format(2))
    both = [(f"{month}.csv", sheet.format(month).encode(), "text/csv") for month in (2, 3)]
    at.file_uploader(key="load-files").set_value(both).run()
    (several,) = asked(at)
    at.session_state[several] = "yes"
    at.run()
    assert asked(at) == {several: "yes"}
    part = next(box for box in at.selectbox if box.label == "“Part” is")
    part.select("note").run()
    place = next(box for box in at.selectbox if box.label == "“Place” is")
    place.select("part_kind").run()
    assert [key for key in asked(at) if "Zorbel" in key or "Blinkwerk" in key] == []
    next(box for box in at.selectbox if box.label == "“Place” is").select("position").run()
    next(box for box in at.selectbox if box.label == "“Part” is").select("part_kind").run()
    assert asked(at) == {several: "yes"}


def test_a_name_merged_once_is_not_asked_again(app: Callable[..., AppTest], own: Store) -> None:
    at = load(app("records"), "c.csv", "Date,Printer,Total m2\n2026-03-02,left one,120\n")
    at.session_state["load-name|left one"] = "Left"
    at.run()
    button(at, "Load 1 counter reading of Left, 2 March 2026")
    again = "Date,Printer,Total m2\n2026-03-09,left one,130\n"
    at.file_uploader(key="load-files-1").set_value([("d.csv", again.encode(), "text/csv")]).run()
    button(at, "Load 1 counter reading of Left, 9 March 2026")
    assert own.records().counters["printer"].tolist() == ["Left", "Left"]


def test_a_file_that_is_no_table_does_not_hold_the_others_up(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("records")
    at.session_state["records-section"] = "Load files"
    at.run()
    good = "Date,Printer,Total m2\n2026-03-02,Left,120\n"
    at.file_uploader(key="load-files").set_value(
        [("paper.csv", b"%PDF-1.7", "text/csv"), ("c.csv", good.encode(), "text/csv")]
    ).run()
    assert "load-go" not in [found.key for found in at.button]
    button(at, "Go on without paper.csv")
    button(at, "Load 1 counter reading of Left, 2 March 2026")
    assert len(own.records().counters) == 1


def test_what_contradicts_the_records_is_shown_at_its_cell_and_the_file_may_win(
    app: Callable[..., AppTest], own: Store
) -> None:
    own.add("counters", {"printer": "Left", "read_on": "2026-03-02", "area_m2": 110})
    at = load(app("records"), "c.csv", "Date,Printer,Total m2\n2026-03-02,Left,120\n")
    assert [f.label for f in at.text_input if "should be" in f.label] == ["Total m2 should be"]
    assert "load-go" not in [found.key for found in at.button]
    assert own.records().counters["area_m2"].tolist() == [110]
    at.checkbox(key="load-file-wins").check().run()
    at.button(key="load-go").click().run()
    assert own.records().counters["area_m2"].tolist() == [120]


def test_a_mended_file_under_the_same_name_is_read_anew(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = load(app("records"), "c.csv", COUNTERS)
    next(f for f in at.text_input if f.label == "Date should be").input("2026-03-05").run()
    mended = "Date,Printer,Total m2\n2026-03-02,Left,120\n2026-03-07,Left,130\n"
    at.file_uploader(key="load-files").set_value([("c.csv", mended.encode(), "text/csv")]).run()
    assert "is read as" not in words_of(at)
    assert "Load 2 counter readings of Left, 2 to 7 March 2026" in labels(at)


def test_two_mistakes_of_one_row_stand_side_by_side_and_the_row_is_left_out_once(
    app: Callable[..., AppTest], own: Store
) -> None:
    sheet = "printer,part_kind,position,fitted_on,removed_on\nLeft,wiper,wiper,2026-05-01,"
    at = load(app("records"), "fittings.csv", f"{sheet}2026-03-01\nLeft,cap,cap,soon,never\n")
    assert "in 2 rows" in words_of(at)
    assert len({field.key for field in at.text_input}) == len(at.text_input)
    button(at, "Leave 2 rows out")
    said = words_of(at)
    assert "fittings.csv, row 3 is left out" in said
    assert "No row of it is a record" in said
    assert "load-go" not in [found.key for found in at.button]


def test_rows_that_cannot_be_true_beside_the_records_are_told_before_any_tap(
    app: Callable[..., AppTest], own: Store
) -> None:
    """Letting the file win mends no impossibility, so it is not offered."""
    sheet = "printer,part_kind,position,fitted_on,removed_on\nLeft,cap,cap,2024-05-01,2024-06-01\n"
    own.add("stoppages", {"printer": "Left", "began_at": "2026-10-01T08:00"})
    at = load(app("records"), "s.csv", "printer,began_at\nLeft,2026-10-02T08:00\n")
    said = words_of(at)
    assert "1 mistake in 1 row" in said
    assert "still stands since" in said
    assert "Still open: 1 mistake above. Nothing has been loaded." in said
    assert "load-file-wins" not in [box.key for box in at.checkbox]
    button(at, "Leave row 2 out")
    at.file_uploader(key="load-files").set_value([("f.csv", sheet.encode(), "text/csv")]).run()
    assert "load-go" not in [found.key for found in at.button]
    next(box for box in at.checkbox if "first day of Left" in box.label).check().run()
    at.button(key="load-go").click().run()
    assert len(own.records().fittings) == 1


def test_a_reason_is_picked_in_the_words_of_the_screen_and_replaced_parts_are_no_failures(
    app: Callable[..., AppTest], own: Store
) -> None:
    rows = "Left,wiper,wiper,2026-01-05,2026-02-01,gone mad\n"
    at = load(app("records"), "fittings.csv", f"{HEADER}{rows}")
    print(
        "DBG",
        [b.label for b in at.selectbox],
        [b.label for b in at.text_input],
        words_of(at)[:1500],
    )
    field = next(box for box in at.selectbox if box.label.endswith("should be"))
    assert field.options[-1] == "Not known", "and not the contract's word"
    field.select_index(len(field.options) - 1).run()
    (go,) = [label for label in labels(at) if label.startswith("Load 1 part change of Left")]
    button(at, go)
    assert own.records().fittings["removal_reason"].tolist() == ["unknown"]


HEADER = "printer,part_kind,position,fitted_on,removed_on,removal_reason\n"


def test_more_changes_than_rows_are_explained_and_a_reason_left_open_makes_no_failure(
    app: Callable[..., AppTest], own: Store
) -> None:
    own.correct("printers", 1, {"channels": "K W1"})
    rows = "2026-01-05,Left,damper,K W1\n2026-03-05,Left,damper,K W1\n"
    at = load(app("records"), "changes.csv", "Date,Printer,Part changed,Place\n" + rows)
    said = words_of(at)
    assert "2 rows tell of 4 part changes" in said, said
    assert "2 parts gave way to the next one and no reason is said" in said
    assert "Load 4 part changes of Left, 5 January to 5 March 2026" in labels(at)
