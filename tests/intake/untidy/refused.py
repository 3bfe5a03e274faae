"""Sheets with what cannot be true: what is refused, where, and the mend that is named."""

from __future__ import annotations

from tests.intake.untidy.sheet import PLANNED, Refused, Untidy, rows
from tracker.intake.reading import Mends

PART = "printer, part_kind, position, fitted_on, removed_on"

REFUSED = (
    Untidy(
        "a mark on a day that the month does not have",
        "april.csv",
        "April 2026 Left\nDay,Stir ink,Clean cap\n28,x,\n29,,x\n30,x,\n31,x,\n",
        {
            "maintenance": rows(
                "printer, task, done_on",
                """
                Left, stir_ink, 2026-04-28
                Left, clean_wiper_cap, 2026-04-29
                Left, stir_ink, 2026-04-30
                """,
            )
        },
        PLANNED,
        refused=(Refused(6, "Day", "30 days"),),
        mends=Mends(left_out={("april.csv", "", 6): "April has 30 days"}),
        aside=(1, 6),
    ),
    Untidy(
        "two parts in one place at once",
        "fittings.csv",
        "Printer,Part,Place,Put in,Taken out,Why\nLeft,damper,W1,2026-01-05,2026-03-01,failed\n"
        "Left,damper,W1,2026-02-10,,\nLeft,damper,W2,2026-02-10,,\n",
        {
            "fittings": rows(
                PART,
                """
                Left, damper, W1, 2026-01-05, 2026-02-10
                Left, damper, W1, 2026-02-10,
                Left, damper, W2, 2026-02-10,
                """,
            )
        },
        refused=(Refused(3, "Put in", "2026-03-01"),),
        mends=Mends({("fittings.csv", "", 2, 5): "2026-02-10"}),
    ),
    Untidy(
        "a part that came out before it went in",
        "caps.csv",
        "Drucker;Teil;Position;Eingebaut am;Ausgebaut am;Grund\n"
        "Left;Kappe;cap;31.03.2026;28.02.2026;Defekt\nRight;Kappe;cap;30.01.2026;;\n",
        {
            "fittings": rows(
                PART + ", removal_reason",
                """
                Left, cap, cap, 2026-02-28, 2026-03-31, failed
                Right, cap, cap, 2026-01-30, ,
                """,
            )
        },
        refused=(Refused(2, "Ausgebaut am", "2026-03-31"),),
        mends=Mends({("caps.csv", "", 2, 4): "28.02.2026", ("caps.csv", "", 2, 5): "31.03.2026"}),
    ),
    Untidy(
        "a day that has not come yet",
        "tasks.csv",
        "Printer,Date,Task,Why\nLeft,2026-11-02,stir ink,planned\n"
        "Left,2027-11-03,stir ink,planned\n",
        {
            "maintenance": rows(
                "printer, task, done_on",
                "Left, stir_ink, 2026-11-02\nLeft, stir_ink, 2026-11-03",
            )
        },
        refused=(Refused(3, "Date", "future"),),
        mends=Mends({("tasks.csv", "", 3, 2): "2026-11-03"}),
    ),
    Untidy(
        "two stoppages of one printer that never ended",
        "stops.csv",
        "Printer,Stopped,Running again,Cause\nLeft,2026-03-02 08:00,,head\n"
        "Left,2026-04-02 08:00,,pump\nRight,2026-04-05 10:00,2026-04-05 12:00,ink\n",
        {
            "stoppages": rows(
                "printer, began_at, ended_at, cause",
                """
                Left, 2026-03-02, 2026-03-04, head
                Left, 2026-04-02, , pump
                Right, 2026-04-05, 2026-04-05, ink
                """,
            )
        },
        refused=(Refused(3, "Stopped", "2026-03-02"),),
        mends=Mends({("stops.csv", "", 2, 3): "2026-03-04 16:00"}),
    ),
    Untidy(
        "days and numbers that are none, among good rows",
        "mixed.csv",
        "Date;Printer;Total m2\n30.02.2026;Left;120\n31.03.2026;Left;about 150\n"
        "30.04.2026;Left;180\n",
        {
            "counters": rows(
                "printer, read_on, area_m2",
                "Left, 2026-02-28, 120\nLeft, 2026-04-30, 180",
            )
        },
        refused=(Refused(2, "Date", "30.02.2026"), Refused(3, "Total m2", "about 150")),
        mends=Mends(
            {("mixed.csv", "", 2, 1): "28.02.2026"}, {("mixed.csv", "", 3): "nobody read it"}
        ),
        aside=(3,),
    ),
    Untidy(
        "an older part than the printer, which the database refuses",
        "old.csv",
        "Printer,Wiper changed\nLeft,5 January 2020\nRight,5 January 2026\n",
        {
            "fittings": rows(
                PART,
                "Left, wiper, wiper, 2025-01-05,\nRight, wiper, wiper, 2026-01-05,",
            )
        },
        refused=(Refused(2, "Wiper changed", "2024-01-01"),),
        mends=Mends({("old.csv", "", 2, 2): "5 January 2025"}),
    ),
    Untidy(
        "a day that is none in a row for both printers, told once",
        "both printers.csv",
        "Printer,Task,Date,Why\nBoth,stir ink,2026-02-30,planned\n"
        "Left,shake dampers,2026-03-06,planned\n",
        {
            "maintenance": rows(
                "printer, task, done_on",
                """
                Left, stir_ink, 2026-02-28
                Right, stir_ink, 2026-02-28
                Left, shake_dampers, 2026-03-06
                """,
            )
        },
        {"name|Both": "every printer"},
        refused=[Refused(2, "Date", "is not a day of the calendar")],
        mends=Mends(cells={("both printers.csv", "", 2, 3): "2026-02-28"}),
    ),
    Untidy(
        "two stoppages of one printer at one time, both ended",
        "stood.csv",
        "Printer,Stopped at,Running again,Cause\nLeft,2026-01-05 08:00,2026-01-07 10:00,head\n"
        "Left,2026-01-06 08:00,2026-01-06 12:00,pump\n"
        "Right,2026-01-06 08:00,2026-01-06 12:00,pump\n",
        {
            "stoppages": rows(
                "printer, began_at, ended_at",
                """
                Left, 2026-01-05, 2026-01-07
                Left, 2026-01-08, 2026-01-08
                Right, 2026-01-06, 2026-01-06
                """,
            )
        },
        refused=[Refused(3, "Stopped at", "falls while Left stands from 2026-01-05T08:00")],
        mended="Printer,Stopped at,Running again,Cause\n"
        "Left,2026-01-05 08:00,2026-01-07 10:00,head\n"
        "Left,2026-01-08 08:00,2026-01-08 12:00,pump\n"
        "Right,2026-01-06 08:00,2026-01-06 12:00,pump\n",
    ),
    Untidy(
        "a reason nobody knows in a single row",
        "odd.csv",
        "Printer,Part,Fitted,Removed,Reason\nLeft,wiper,2025-01-05,2025-06-05,zzz\n"
        "Right,cap,2025-01-05,2025-06-01,planned\n",
        {
            "fittings": rows(
                "printer, part_kind, fitted_on, removed_on, removal_reason",
                """
                Left, wiper, 2025-01-05, 2025-06-05, failed
                Right, cap, 2025-01-05, 2025-06-01, planned
                """,
            )
        },
        {"word|removal_reason|zzz": "failed"},
    ),
)
