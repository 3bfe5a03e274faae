"""History of parts that were written down as being in there already."""

from __future__ import annotations

import pandas as pd

from tests.intake.sheets import book
from tests.intake.untidy.sheet import WORKSHOP, Refused, Untidy, rows, with_log_since
from tracker.workshop.columns.frames import shape_frame
from tracker.workshop.contract import FITTINGS

PART = "printer, part_kind, position, fitted_on, removed_on"

_IN_THERE_ALREADY = shape_frame(
    FITTINGS,
    pd.DataFrame({"printer": ["Left"], "part_kind": "wiper", "position": "wiper"}, index=[2]),
)
HISTORY = (
    Untidy(
        "changes of a part that was in there already when the log began, long before",
        "wiper.csv",
        "Printer;Wiper changed\nLeft;5 May 2026\nLeft;1 September 2026\n",
        {
            "fittings": rows(
                PART,
                """
                Left, wiper, wiper, , 2026-05-05
                Left, wiper, wiper, 2026-05-05, 2026-09-01
                Left, wiper, wiper, 2026-09-01,
                """,
            )
        },
        known=WORKSHOP.with_table("fittings", _IN_THERE_ALREADY),
    ),
    Untidy(
        "history of a part that was set up today as being in there already",
        "wipers of the last months.csv",
        "Drucker;Wischer gewechselt\nLeft;5. Mai 2026\nLeft;1. September 2026\n",
        {
            "fittings": rows(
                PART,
                """
                Left, wiper, wiper, 2026-05-05, 2026-09-01
                Left, wiper, wiper, 2026-09-01,
                """,
            )
        },
        known=with_log_since("2026-11-28", WORKSHOP.with_table("fittings", _IN_THERE_ALREADY)),
    ),
    Untidy(
        "what was in each printer at the start, days nobody knows in words, changes since",
        "notes.xlsx",
        book(
            {
                "In at start": [
                    ["In each printer when we began this list"],
                    ["Printer", "Part", "Serial", "Put in on"],
                    ["Left", "head", "S1", "was in before"],
                    ["Left", "cap", None, None],
                    ["Left", "wiper", None, "2024-02-03"],
                    ["Right", "head", "S2", "unknown"],
                    ["Right", "cap", None, "?"],
                ],
                "Changes": [
                    ["Put in on", "Printer", "Part", "Reason", "Serial", "Note"],
                    ["2026-03-01", "Left", "head", "failed", "S3", "a crash before"],
                    ["2026-03-02", "Left", "cap", None, None, None],
                    ["2026-05-02", "Left", "cap", "failed", None, None],
                    ["2026-05-03", "Left", "wiper", "planned", None, None],
                    ["2026-05-04", "Right", "cap", "failed", None, None],
                ],
            }
        ),
        {
            "fittings": rows(
                PART + ", removal_reason, serial, note",
                """
                Left, head, H1, , 2026-03-01, failed, S1, a crash before
                Left, head, H1, 2026-03-01, , , S3,
                Left, cap, cap, , 2026-03-02, unknown, ,
                Left, cap, cap, 2026-03-02, 2026-05-02, failed, ,
                Left, cap, cap, 2026-05-02, , , ,
                Left, wiper, wiper, 2024-02-03, 2026-05-03, planned, ,
                Left, wiper, wiper, 2026-05-03, , , ,
                Right, head, H1, , , , S2,
                Right, cap, cap, , 2026-05-04, failed, ,
                Right, cap, cap, 2026-05-04, , , ,
                """,
            )
        },
        aside=(1,),
        says=('fitted_on: "was in before" was read as in there before the log began (1 row).',),
    ),
    Untidy(
        "a forgotten day below a change of its place, which is no part in there already",
        "caps.csv",
        "Put in on,Printer,Part\n2026-03-02,Left,cap\n,Left,cap\n2026-05-02,Left,cap\n",
        {
            "fittings": rows(
                PART,
                """
                Left, cap, cap, 2026-03-02, 2026-04-01
                Left, cap, cap, 2026-04-01, 2026-05-02
                Left, cap, cap, 2026-05-02,
                """,
            )
        },
        refused=(
            Refused(2, "Put in on", "before the log began (row 3)"),
            Refused(4, "Put in on", "before the log began (row 3)"),
        ),
        mended="Put in on,Printer,Part\n2026-03-02,Left,cap\n2026-04-01,Left,cap\n"
        "2026-05-02,Left,cap\n",
    ),
    Untidy(
        "changes of which only the month was written down, a failure among them",
        "months.csv",
        "Put in on,Printer,Part,Reason\nMar 2025,Left,cap,leaks\n2026-01-05,Left,cap,planned\n"
        "03/2026,Right,wiper,\n",
        {
            "fittings": rows(
                PART + ", removal_reason, last_ok_on, note",
                """
                Left, cap, cap, , 2025-03-31, failed, 2025-02-28, Put in on: Mar 2025; Reason: leaks
                Left, cap, cap, 2025-03-31, 2026-01-05, planned, ,
                Left, cap, cap, 2026-01-05, , , ,
                Right, wiper, wiper, 2026-03-15, , , , Put in on: 03/2026
                """,
            )
        },
        {":fitted_on:months": "take the month"},
        says=("2 rows say a month and no day (Mar 2025, 03/2026)",),
    ),
    Untidy(
        "parts in from one month to another, one failed in the month it went in",
        "lives.csv",
        "Printer,Part,Fitted,Out,Reason\nLeft,head,2024-06,2025-05,failed\n"
        "Right,head,2024-06-20,2024-06,failed\nRight,cap,2024-06-20,2025-05,planned\n",
        {
            "fittings": rows(
                PART + ", last_ok_on, note",
                """
                Left, head, H1, 2024-06-15, 2025-05-31, 2025-04-30, Fitted: 2024-06; Out: 2025-05
                Right, head, H1, 2024-06-20, 2024-06-30, 2024-06-20, Out: 2024-06
                Right, cap, cap, 2024-06-20, 2025-05-15, , Out: 2025-05
                """,
            )
        },
        {":months": "take the month"},
    ),
)
