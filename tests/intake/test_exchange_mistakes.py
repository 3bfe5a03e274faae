"""A hand-made log with thirty-one mistakes: each is refused in its row, in words of the trade."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from tracker.errors import LoadRefused
from tracker.intake.exchange import examine_folder, read_folder
from tracker.workshop.refusal import Refusal

LOG = {
    "printers.csv": """\
printer,started_on,retired_on,channels
Alpha,2025-01-01,,C M Y K W1 W2
Beta,2025-03-01,2025-02-01,C M Y K W1
Alpha,2025-01-01,,
""",
    "fittings.csv": """\
printer,part_kind,position,fitted_on,removed_on,removal_reason,last_ok_on,unit_cost,removed_counter_m2
Alpha,head,H1,2025-01-01,2025-06-01,failed,2025-05-30,600,120

Alpha,head,H1,2025-05-01,,,,600,
Alpha,damper,W1,2025-04-02,2025-03-01,failed,,9,
Alpha,dampr,W2,2025-01-01,,,,9,
Gamma,damper,C,2025-01-01,,,,9,
Alpha,damper,M,2025-01-01,,failed,,9,
Alpha,damper,Y,2025-01-01,2025-06-01,brokn,,9,
Alpha,damper,K,2025-01-01,2025-06-01,failed,2025-07-01,9,
Alpha,wiper,,2025-01-01,,,,9,
Alpha,cap,cap,2024-12-01,,,,9,
Alpha,pump,pump,2026-12-24,,,,9,
Alpha,line,C,2025-02-30,,,,9,
Alpha,line,M,2025-02-01,,,,nine,
Alpha,line,Y,2025-02-01,2025-03-01,,,9,-4
""",
    "maintenance.csv": """\
printer,task,done_on,why,minutes
Alpha,shake_dampers,2025-02-01,planned,25
Alpha,shake_damprs,2025-02-15,planned,25
Alpha,stir_ink,2025-02-16,,5
Alpha,stir_ink,1025-02-17,planned,5
Alpha,stir_ink,2025-02-18,planned,4,5
Alpha,stir_ink,spring,planed,-5
""",
    "counters.csv": """\
printer,read_on,area_m2
Alpha,2025-02-01,100
Alpha,2025-03-01,1300
Alpha,2025-04-01,140
Alpha,2025-04-01,150
""",
    "stoppages.csv": """\
printer,began_at,ended_at
Alpha,2025-06-01T14:00,2025-06-01T09:30
""",
    "stock.csv": """\
part_kind,moved_on,quantity,reason
damper,2025-01-01,2.5,received
damper,2025-01-02,2,used
""",
    "orders.csv": """\
part_kind,quantity,ordered_on,received_on
head,1,2025-05-01,2025-04-01
""",
    "routines.csv": "task,every_days\nshake_dampers,\n",
    "settings.csv": "name,value\nservice_level,95\nlabour_per_hour,a lot\n",
}

# file, row, column, what stands there, what is wrong, how to mend it
EXPECTED = """\
printers.csv|3|retired_on|2025-02-01|is before started_on 2025-03-01|swap or correct them
printers.csv|4|printer|Alpha|stands here a second time (first in row 2)|each stands once; take one of them out
fittings.csv|4|fitted_on|2025-05-01|falls while H1 of Alpha holds the part fitted 2025-01-01 (row 2) until 2025-06-01|one position holds one part at a time: correct the days or the position
fittings.csv|5|removed_on|2025-03-01|is before fitted_on 2025-04-02|swap or correct them
fittings.csv|6|part_kind|dampr|is not a known word for “part_kind”|did you mean damper? If it is one of its own, list it in “parts” beside damper.
fittings.csv|7|printer|Gamma|is not in the list of printers|add it to “printers”, or correct it
fittings.csv|8|removal_reason|failed|is given but removed_on is empty|write the day it came out in removed_on, or clear removal_reason if it is still in
fittings.csv|9|removal_reason|brokn|is not a known word for “removal_reason”|did you mean failed?
fittings.csv|10|last_ok_on|2025-07-01|is after removed_on 2025-06-01|write the last day it was seen good before it came out
fittings.csv|11|position||is empty but every row needs it|fill it in (place in the printer, e.g. H1, W1, wiper)
fittings.csv|12|fitted_on|2024-12-01|is before the printer's started_on 2025-01-01|when the printer stood there already, set its first day (started_on in printers) so early; leave fitted_on empty when the part came with it and its day is not known
fittings.csv|13|fitted_on|2026-12-24|is in the future (today is 2026-11-01)|write a day that has been, or enter it when it has happened
fittings.csv|14|fitted_on|2025-02-30|is not a day of the calendar|February 2025 has 28 days
fittings.csv|15|unit_cost|nine|is not a number|write digits only, e.g. 12.5
fittings.csv|16|removed_counter_m2|-4|is below zero|write it without the minus sign, or correct it
maintenance.csv|3|task|shake_damprs|is not a known word for “task”|did you mean shake_dampers? If it is one of its own, list it in “routines” beside shake_dampers.
maintenance.csv|4|why||is empty but every row needs it|write one of planned, symptom
maintenance.csv|5|done_on|1025-02-17|is not a day of the calendar|correct it, write it as 2026-03-01
maintenance.csv|6|||the row has 6 cells but the header has 5|put quotation marks around a cell that has a comma in it, or save with semicolons
maintenance.csv|7|done_on|spring|is not a day|write it as 2026-03-01
maintenance.csv|7|why|planed|is not a known word for “why”|did you mean planned?
maintenance.csv|7|minutes|-5|is below zero|write it without the minus sign, or correct it
counters.csv|3|area_m2|1300|is above the later reading 140 of 2025-04-01|correct it or row 4; if the counter was reset, keep the running total: write 1440 and go on from there
counters.csv|5|area_m2|150|is the second reading of 2025-04-01 (row 4 says 140)|keep the reading of the day's end
stoppages.csv|2|ended_at|2025-06-01T09:30|is before began_at 2025-06-01T14:00|swap or correct them
stock.csv|2|quantity|2.5|is not a whole number|write whole pieces, e.g. 3
stock.csv|3|quantity|2|is positive but the reason is used|pieces that leave the shelf have a minus: write -2
orders.csv|2|received_on|2025-04-01|is before ordered_on 2025-05-01|swap or correct them
routines.csv|2|every_days||is empty and so is every_m2|write how many days or how many m² lie between two times
settings.csv|2|value|95|is not between 0 and 1 (service_level)|write 0.95 for 95 %
settings.csv|3|value|a lot|is not a number (labour_per_hour)|write one, e.g. 25
"""  # noqa: E501


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name, text in LOG.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def told(refusal: Refusal) -> str:
    return "|".join(
        (
            refusal.source,
            str(refusal.row),
            refusal.column,
            refusal.value,
            refusal.problem,
            refusal.mend,
        )
    )


def test_each_mistake_is_refused_in_its_row_and_nothing_else_is(folder: Path) -> None:
    reading = examine_folder(folder, today=date(2026, 11, 1))
    assert reading.records is None
    assert [told(refusal) for refusal in reading.refusals] == EXPECTED.splitlines()


def test_the_error_is_one_line_with_the_first_few_and_carries_all(folder: Path) -> None:
    with pytest.raises(LoadRefused) as raised:
        read_folder(folder, today=date(2026, 11, 1))
    text = str(raised.value)
    assert "\n" not in text
    assert text.startswith(
        "Nothing was loaded: 31 mistakes. printers.csv row 3, retired_on: 2025-02-01 is before "
        "started_on 2025-03-01; swap or correct them. "
    )
    assert text.endswith("And 28 more.")
    assert len(raised.value.refusals) == 31


def test_the_mended_log_is_taken(folder: Path) -> None:
    mended = {
        "printers.csv": "printer,started_on\nAlpha,2025-01-01\n",
        "fittings.csv": "printer,part_kind,position,fitted_on\nAlpha,head,H1,2025-05-01\n",
        "maintenance.csv": "printer,task,done_on,why\nAlpha,stir_ink,2025-02-18,planned\n",
        "counters.csv": "printer,read_on,area_m2\nAlpha,2025-02-01,100\n",
        "stoppages.csv": "printer,began_at,ended_at\nAlpha,2025-06-01T09:30,2025-06-01T14:00\n",
        "stock.csv": "part_kind,moved_on,quantity,reason\ndamper,2025-01-02,-2,used\n",
        "orders.csv": "part_kind,quantity,ordered_on\nhead,1,2025-05-01\n",
        "routines.csv": "task,every_days\nshake_dampers,15\n",
        "settings.csv": "name,value\nservice_level,0.95\n",
    }
    for name, text in mended.items():
        (folder / name).write_text(text)
    assert len(read_folder(folder, today=date(2026, 11, 1)).fittings) == 1
