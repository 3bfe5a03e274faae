"""Records on screen: said in words, opened by a tap, saved as whole files."""

from __future__ import annotations

import io
import json
import re
import zipfile
from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

from tests.app.conftest import words_of
from tests.copied import Copies
from tracker.language import speaking
from tracker.say.entering.record_words import in_words
from tracker.store.connections import default_url
from tracker.store.database import Store
from tracker.workshop.checks import refusals
from tracker.workshop.records import Records


def fill(store: Store) -> None:
    store.add("printers", {"printer": "Ada", "started_on": "2026-01-05"})
    for position in ("H1", "H2"):
        store.add(
            "fittings",
            {"printer": "Ada", "part_kind": "head", "position": position,
             "fitted_on": "2026-09-22"},
        )  # fmt: skip


@pytest.fixture
def own(folder: Path, copies: Copies) -> Store:
    return copies.opened(default_url(), fill)


def section(at: AppTest, name: str) -> AppTest:
    at.session_state["records-section"] = name
    return at.run()


def test_the_change_list_names_no_column_of_the_database(
    app: Callable[..., AppTest], own: Store
) -> None:
    row = int(own.records().fittings.index[0])
    own.correct("fittings", row, {"removed_on": "2026-10-01", "removal_reason": "failed"})
    at = section(app("records"), "What was changed")
    said = " ".join([words_of(at), *(text.value for text in at.text)])
    assert "Removed on: nothing → 1 Oct 2026" in said
    assert "Why it came out: nothing → It failed" in said
    for name in ("removed_on", "removal_reason", "part_kind", "fittings"):
        assert name not in said


def test_the_browsed_rows_speak_in_words_and_leave_no_none(
    app: Callable[..., AppTest], own: Store
) -> None:
    own.add("fittings", {"printer": "Ada", "part_kind": "waste_tank", "position": "waste_tank",
                         "unit_cost": 30})  # fmt: skip
    at = section(app("records"), "Browse and correct")
    shown = at.dataframe[0].value
    assert set(shown["part_kind"]) == {"Printhead", "Waste tank"}
    assert shown["fitted_on"].isna().any()
    assert at.dataframe[0].proto.placeholder == "", "and not None"


@pytest.mark.parametrize(
    ("locale", "form"), [("en_GB", "D MMM YYYY"), ("es_MX", "DD/MM/YYYY"), ("es_CL", "DD-MM-YYYY")]
)
def test_days_stand_in_tables_as_the_country_has_them_and_sort_as_days(
    app: Callable[..., AppTest], own: Store, locale: str, form: str
) -> None:
    for name, value in (("language", locale[:2]), ("locale", locale)):
        own.add("settings", {"name": name, "value": value})
    with speaking(locale[:2]):  # the test reads the lists of choices outside the page's run
        at = section(app("records"), "Browse and correct")
    table = at.dataframe[0]
    days = [one for one in ("fitted_on", "removed_on") if one in table.value]
    columns = json.loads(table.proto.columns)
    assert days
    for name in days:
        assert table.value[name].dtype.kind == "M", "no text, which sorts otherwise"
        assert columns[name]["type_config"]["format"] == form


def test_a_refusal_names_columns_and_tables_as_the_screen_does() -> None:
    frames = {
        "printers": {"printer": ["Ada"], "started_on": "2026-01-05"},
        "fittings": {"printer": ["Ada", "Bea"], "part_kind": ["dampr", "wiper"], "position": "K",
                     "fitted_on": "2026-02-01", "removed_on": "2026-03-01",
                     "removal_reason": ["brokn", "failed"], "claim_amount": 3.0},
        "maintenance": {"printer": ["Ada"], "task": "shake_damprs", "done_on": "2026-03-01",
                        "why": "planed"},
    }  # fmt: skip
    found = refusals(Records.of({name: pd.DataFrame(rows) for name, rows in frames.items()}))
    told = " ".join(in_words(refusal.sentence()) for refusal in found)
    for words in (
        "is not a known word for “Part”", "list it in “Parts catalogue” beside",
        "is not a known word for “Why it came out”", "add it to “Printers”, or correct it",
        "is not a known word for “Task”", "is not a known word for “Planned or symptom”",
        "list it in “Routines” beside", "is given but “Claim” is empty",
    ):  # fmt: skip
        assert words in told, words
    told = told.replace("shake_damprs", "")  # as it was typed
    assert not re.search(r"[a-z]_[a-z]|[“«](printers|parts|routines|why|task|claim)[”»]", told)


def test_removing_a_printer_says_once_what_stands_in_the_way(
    app: Callable[..., AppTest], own: Store
) -> None:
    with pytest.raises(ValueError, match=r"\(2 rows\)") as refused:
        own.remove("printers", int(own.records().printers.index[0]))
    assert str(refused.value).count("not in the list of printers") == 1


def test_both_copies_are_whole_and_stay_so_after_the_other_was_fetched(
    app: Callable[..., AppTest], own: Store
) -> None:
    from pages.sections.records import save_files
    from pages.shell import session

    at = section(app("records"), "Save copies")
    assert not at.exception
    url, version = default_url(), own.version()
    zipped = save_files._spreadsheets(url, version, own.records())
    assert "fittings.csv" in zipfile.ZipFile(io.BytesIO(zipped)).namelist()
    assert save_files._backup(url, version)
    assert save_files._spreadsheets(url, version, own.records()) is zipped
    assert session.today().isoformat() == "2026-10-31"


def test_what_the_log_keeps_is_said_in_the_language_in_use_whichever_it_was_kept_in() -> None:
    kept = {
        "Corrected in fittings: Ada, H1 (removed_on)",
        "Corregido en fittings: Ada, H1 (removed_on)",
    }
    assert {in_words(text) for text in kept} == {
        "Corrected in “Parts fitted”: Ada, H1 (removed on)"
    }
    with speaking("es"):
        assert {in_words(text) for text in kept} == {
            "Corregido en «Piezas montadas»: Ada, H1 (salió el)"
        }


def test_a_refusal_in_spanish_names_the_screens_fields_and_the_record() -> None:
    counters = pd.DataFrame(
        {"printer": ["Ada"], "read_on": ["2026-05-31"], "area_m2": [140]}, index=[7289]
    )
    with speaking("es"):
        told = in_words(
            "counters, fila 7289, area_m2: 130 es menos; corríjalo o la fila 7289.",
            Records.of({"counters": counters}),
        )
    assert told == (
        "Contadores, «Lectura del contador»: 130 es menos; corríjalo o la anotación de Ada, "
        "31 may 2026."
    )


def test_a_refusal_names_the_screens_fields_and_the_record() -> None:
    counters = pd.DataFrame(
        {"printer": ["Ada"], "read_on": ["2026-05-31"], "area_m2": [140]}, index=[7289]
    )
    told = in_words(
        "counters, area_m2: 130 is below the earlier reading 140 of 2026-05-31; correct it or "
        "row 7289.",
        Records.of({"counters": counters}),
    )
    assert told == (
        "Counters, “Counter reading”: 130 is below the earlier reading 140 of 31 May 2026; "
        "correct it or the record of Ada, 31 May 2026."
    )


def test_each_of_several_refusals_names_its_own_table_field_and_record() -> None:
    fittings = pd.DataFrame(
        {"printer": ["Ada"], "part_kind": ["cap"], "position": ["cap"],
         "fitted_on": ["2026-05-31"]}, index=[69],
    )  # fmt: skip
    told = in_words(
        "printers row 3, printer: Ada is in use. fittings row 69, printer: Ada is not in the list "
        "of printers. closures, ended_on: 2026-05-01 is before began_on 2026-05-02.",
        Records.of({"fittings": fittings}),
    )
    assert told == (
        "Printers, “Printer”: Ada is in use. Parts fitted, the record of Ada, cap, cap, "
        "2026-05-31, “Printer”: Ada is not in the list of printers. Closed days, “Ended on”: "
        "1 May 2026 is before “Began on” 2 May 2026."
    ).replace("2026-05-31", "31 May 2026")


def test_a_record_that_is_gone_is_told_with_the_screens_name_of_its_table() -> None:
    assert in_words("“fittings” has no record 69; load the page again.") == (
        "“Parts fitted” has no record 69; load the page again."
    )
