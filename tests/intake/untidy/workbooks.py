"""Workbooks: merged cells, sheets by printer and by month, several tables in one sheet."""

from __future__ import annotations

from datetime import datetime

from tests.intake.sheets import book
from tests.intake.untidy.sheet import PLANNED, Refused, Untidy, rows

DONE = "printer, task, done_on"
PART = "printer, part_kind, position, fitted_on, removed_on"

_MARGINS = [
    ["Wartungsplan Halle 2", None, None, None, None, None],
    [None, "Left", None, "Right", None, "Bemerkungen"],
    ["Datum", "Tinte gerührt", "Kappe gereinigt", "Tinte gerührt", "Kappe gereinigt", None],
    ["Mo 2. März 2026", "x", "x", None, "x", "Klaus war krank"],
    ["Mi 4. März 2026", None, "x", "x", None, None],
    ["Fr 6. März 2026", "x", None, None, "x", "Wischer rechts sieht schlecht aus"],
    [None, None, None, None, None, None],
    ["Summe", 2, 2, 1, 2, None],
]

WORKBOOKS = (
    Untidy(
        "printers merged over their tasks, remarks in the margin that name parts, German",
        "wartung.xlsx",
        book({"Wartung": _MARGINS}, {"Wartung": ["A1:F1", "B2:C2", "D2:E2"]}),
        {
            "maintenance": rows(
                DONE,
                """
                Left, stir_ink, 2026-03-02
                Left, clean_wiper_cap, 2026-03-02
                Left, clean_wiper_cap, 2026-03-04
                Left, stir_ink, 2026-03-06
                Right, clean_wiper_cap, 2026-03-02
                Right, stir_ink, 2026-03-04
                Right, clean_wiper_cap, 2026-03-06
                """,
            )
        },
        PLANNED,
        aside=(1, 2, 8),
    ),
    Untidy(
        "changes of parts beside what lies there and its delivery, Spanish",
        "taller.xlsx",
        book(
            {
                "Taller": [
                    ["Cambios de piezas", None, None, None, None, None, "Existencias"],
                    ["Fecha", "Impresora", "Pieza", "Sitio", "Motivo", None, "Pieza", "Existencias",
                     "Plazo (días)"],
                    ["3 marzo 2026", "Left", "amortiguador", "W1", "roto", None, "Cabezal", 1, 21],
                    ["14/04/2026", "Right", "cabezal", None, "golpe", None, "Rasqueta", 2, 10],
                    ["2 mayo 2026", "Left", "rasqueta", None, "gastada"],
                ]
            }
        ),
        {
            "fittings": rows(
                PART + ", removal_reason",
                """
                Left, damper, W1, , 2026-03-03, failed
                Left, damper, W1, 2026-03-03, ,
                Right, head, H1, , 2026-04-14, accident
                Right, head, H1, 2026-04-14, ,
                Left, wiper, wiper, , 2026-05-02, failed
                Left, wiper, wiper, 2026-05-02, ,
                """,
            ),
            "stock": rows(
                "part_kind, moved_on, quantity, reason",
                "head, 2026-11-28, 1, counted\nwiper, 2026-11-28, 2, counted",
            ),
            "parts": rows("part_kind, lead_days", "head, 21\nwiper, 10"),
        },
        {"moved_on": "2026-11-28"},
        aside=(1,),
    ),
    Untidy(
        "days across as days of a workbook, printers down, the task in the title, English",
        "checks.xlsx",
        book(
            {
                "Checks": [
                    ["Nozzle check"],
                    ["Printer", *(datetime(2026, 6, day) for day in (1, 2, 3, 4, 5))],
                    ["Left", "x", "x", None, "x", "x"],
                    ["Right", None, "AB", "AB", None, None],
                    ["Total", 1, 2, 1, 1, 1],
                ]
            },
            {"Checks": ["A1:F1"]},
        ),
        {
            "maintenance": rows(
                "printer, task, done_on, done_by",
                """
                Left, nozzle_check, 2026-06-01,
                Left, nozzle_check, 2026-06-02,
                Left, nozzle_check, 2026-06-04,
                Left, nozzle_check, 2026-06-05,
                Right, nozzle_check, 2026-06-02, AB
                Right, nozzle_check, 2026-06-03, AB
                """,
            )
        },
        PLANNED,
        aside=(1, 5),
    ),
    Untidy(
        "one sheet per year of part changes, one per printer of tasks, a sheet of notes",
        "everything.xlsx",
        book(
            {
                "Parts 2025": [["Printer", "Part", "Changed on"],
                               ["Left", "Wiper", datetime(2025, 5, 4)],
                               ["Right", "Cap", datetime(2025, 6, 5)]],
                "Parts 2026": [["Printer", "Part", "Changed on"],
                               ["Left", "Wiper", datetime(2026, 2, 4)]],
                "Left": [["Date", "Task", "Why"],
                         [datetime(2026, 2, 4), "strong head clean", "symptom"]],
                "Notes": [["Ask for cheaper dampers"], ["Film runs out in May"]],
            }
        ),
        {
            "fittings": rows(
                PART,
                """
                Left, wiper, wiper, 2025-05-04, 2026-02-04
                Left, wiper, wiper, 2026-02-04,
                Right, cap, cap, 2025-06-05,
                """,
            ),
            "maintenance": rows(
                "printer, task, done_on, why", "Left, strong_clean, 2026-02-04, symptom"
            ),
        },
        {"|is": "leave out"},
        aside=(1, 2),
    ),
    Untidy(
        "printers in merged cells over the tasks, French, days as days",
        "entretien.xlsx",
        book(
            {
                "mars 2026": [
                    ["Entretien des imprimantes"],
                    ["", "Left", "", "Right", ""],
                    ["Jour", "Mélanger le blanc", "Nettoyage tête",
                     "Mélanger le blanc", "Nettoyage tête"],
                    [datetime(2026, 3, 2), "x", "", "x", ""],
                    [datetime(2026, 3, 3), "", "x", "JP", ""],
                    [datetime(2026, 3, 4), "x", "", "", "x"],
                    ["Total", 2, 1, 2, 1],
                ]
            },
            {"mars 2026": ["A1:E1", "B2:C2", "D2:E2"]},
        ),
        {
            "maintenance": rows(
                "printer, task, done_on, done_by",
                """
                Left, stir_ink, 2026-03-02,
                Left, stir_ink, 2026-03-04,
                Left, head_clean, 2026-03-03,
                Right, stir_ink, 2026-03-02,
                Right, stir_ink, 2026-03-03, JP
                Right, head_clean, 2026-03-04,
                """,
            )
        },
        PLANNED,
        aside=(1, 2, 7),
    ),
    Untidy(
        "one sheet per month, Italian, the year in the file's name",
        "Left 2026.xlsx",
        book(
            {
                "Gennaio": [["Giorno", "Agitare smorzatori", "Svuotare scarto"],
                            [1, "x", None], [2, None, None], [15, None, "x"], [31, "x", None]],
                "Febbraio": [["Giorno", "Agitare smorzatori", "Svuotare scarto"],
                             [1, None, None], [14, "x", None], [20, None, "x"], [28, "x", None]],
            }
        ),
        {
            "maintenance": rows(
                DONE,
                """
                Left, shake_dampers, 2026-01-01
                Left, empty_waste, 2026-01-15
                Left, shake_dampers, 2026-01-31
                Left, shake_dampers, 2026-02-14
                Left, empty_waste, 2026-02-20
                Left, shake_dampers, 2026-02-28
                """,
            )
        },
        PLANNED,
    ),
    Untidy(
        "one sheet per printer, the month in each title, German, an empty sheet besides",
        "Plan.xlsx",
        book(
            {
                "Left": [["Juli 2026"], ["Tag", "Weiß rühren", "Düsentest"],
                         [1, "x", "x"], [2, "x", None], [3, None, "x"], [4, None, None]],
                "Right": [["Juli 2026"], ["Tag", "Weiß rühren", "Düsentest"],
                          [1, None, "x"], [2, "x", None], [3, "x", None], [4, None, None]],
                "Tabelle3": [],
            }
        ),
        {
            "maintenance": rows(
                DONE,
                """
                Left, stir_ink, 2026-07-01
                Left, nozzle_check, 2026-07-01
                Left, stir_ink, 2026-07-02
                Left, nozzle_check, 2026-07-03
                Right, nozzle_check, 2026-07-01
                Right, stir_ink, 2026-07-02
                Right, stir_ink, 2026-07-03
                """,
            )
        },
        PLANNED,
        aside=(1, 1),
    ),
    Untidy(
        "a heading over two rows: the part merged over its channels",
        "parts.xlsx",
        book(
            {
                "Changes": [
                    ["Last changes", None, None, None, None],
                    ["Printer", "Dampers", None, None, "Wiper"],
                    [None, "K", "W1", "W2", None],
                    ["Left", datetime(2026, 1, 7), datetime(2026, 4, 1), datetime(2026, 4, 2),
                     datetime(2026, 5, 20)],
                    ["Right", None, datetime(2026, 2, 3), None, datetime(2026, 6, 1)],
                ]
            },
            {"Changes": ["A1:E1", "B2:D2", "A2:A3", "E2:E3"]},
        ),
        {
            "fittings": rows(
                PART,
                """
                Left, damper, K, 2026-01-07,
                Left, damper, W1, 2026-04-01,
                Left, damper, W2, 2026-04-02,
                Left, wiper, wiper, 2026-05-20,
                Right, damper, W1, 2026-02-03,
                Right, wiper, wiper, 2026-06-01,
                """,
            )
        },
        {"|roles": "yes"},
        aside=(1,),
    ),
    Untidy(
        "a printer merged down over its rows",
        "heads.xlsx",
        book(
            {
                "log": [
                    ["Printer", "Part", "Position", "Fitted on", "Taken out on", "Reason"],
                    ["Left", "head", "H1", datetime(2025, 3, 1), datetime(2026, 1, 4), "failed"],
                    [None, "head", "H1", datetime(2026, 1, 4), None, None],
                    [None, "cap", "cap", datetime(2026, 1, 4), None, None],
                    ["Right", "head", "H1", datetime(2025, 11, 20), None, None],
                    [None, "pump", "pump", datetime(2025, 12, 1), None, None],
                ]
            },
            {"log": ["A2:A4", "A5:A6"]},
        ),
        {
            "fittings": rows(
                PART + ", removal_reason",
                """
                Left, head, H1, 2025-03-01, 2026-01-04, failed
                Left, head, H1, 2026-01-04, ,
                Left, cap, cap, 2026-01-04, ,
                Right, head, H1, 2025-11-20, ,
                Right, pump, pump, 2025-12-01, ,
                """,
            )
        },
    ),
    Untidy(
        "a calendar, and below it a list of counters under a title of its own",
        "november.xlsx",
        book(
            {
                "November": [
                    ["Left, November 2026"],
                    ["Day", "Stir ink", "Shake dampers"],
                    [1, "x", None], [2, "x", "x"], [3, None, None], [4, "x", None],
                    [],
                    ["Counter"],
                    ["Date", "Printer", "Total m2"],
                    [datetime(2026, 11, 1), "Left", 812.5],
                    [datetime(2026, 11, 8), "Left", 841],
                ]
            }
        ),
        {
            "maintenance": rows(
                DONE,
                """
                Left, stir_ink, 2026-11-01
                Left, stir_ink, 2026-11-02
                Left, stir_ink, 2026-11-04
                Left, shake_dampers, 2026-11-02
                """,
            ),
            "counters": rows(
                "printer, read_on, area_m2", "Left, 2026-11-01, 812.5\nLeft, 2026-11-08, 841"
            ),
        },
        PLANNED,
        aside=(1, 8),
    ),
    Untidy(
        "two tables beside each other: stock and orders",
        "shelf.xlsx",
        book(
            {
                "Shelf": [
                    ["Part", "Date", "Moved", "Reason", None, "Part", "Ordered on", "Ordered",
                     "Supplier"],
                    ["damper", datetime(2026, 3, 2), 8, "received", None, "head",
                     datetime(2026, 3, 5), 1, "North"],
                    ["wiper", datetime(2026, 3, 9), -1, "used", None, "damper",
                     datetime(2026, 4, 5), 10, "South"],
                    ["damper", datetime(2026, 3, 30), -2, "used"],
                ]
            }
        ),
        {
            "stock": rows(
                "part_kind, moved_on, quantity, reason",
                """
                damper, 2026-03-02, 8, received
                wiper, 2026-03-09, -1, used
                damper, 2026-03-30, -2, used
                """,
            ),
            "orders": rows(
                "part_kind, ordered_on, quantity, supplier",
                "head, 2026-03-05, 1, North\ndamper, 2026-04-05, 10, South",
            ),
        },
        {"|is": "stock"},
    ),
    Untidy(
        "formulas whose results were never saved",
        "counter.xlsx",
        book(
            {
                "Counter": [
                    ["Printer", "Date", "Total m2"],
                    ["Left", datetime(2026, 3, 2), 120],
                    ["Left", datetime(2026, 3, 9), "=C2+30"],
                ]
            }
        ),
        {
            "counters": rows(
                "printer, read_on, area_m2", "Left, 2026-03-02, 120\nLeft, 2026-03-09, 150"
            )
        },
        refused=(Refused(None, "", "result was not saved"),),
        mended=book(
            {
                "Counter": [
                    ["Printer", "Date", "Total m2"],
                    ["Left", datetime(2026, 3, 2), 120],
                    ["Left", datetime(2026, 3, 9), 150],
                ]
            }
        ),
    ),
)  # fmt: skip
