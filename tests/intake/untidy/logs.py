"""Lists of events: counters, stoppages, nozzle checks, tasks; names, numbers and days untidy."""

from __future__ import annotations

from tests.intake.untidy.sheet import PLANNED, Refused, Untidy, rows
from tracker.workshop.records import Records

DONE = "printer, task, done_on"
READ = "printer, read_on, area_m2"

LOGS = (
    Untidy(
        "days as a spreadsheet program counts them",
        "serials.csv",
        "Printer,Date,Total m2\nLeft,46083,120\nLeft,46090,130\n",
        {"counters": rows(READ, "Left, 2026-03-02, 120\nLeft, 2026-03-09, 130")},
        says=("serial numbers were read as days",),
    ),
    Untidy(
        "rows of both printers at once",
        "both of them.csv",
        "Printer,Date,Task,Why\nLeft,2026-03-02 08:15,stir ink,planned\n"
        "Both,2026-03-03,stir ink,planned\nall printers,2026-03-04,nozzle check,planned\n",
        {
            "maintenance": rows(
                DONE,
                """
                Left, stir_ink, 2026-03-02
                Left, stir_ink, 2026-03-03
                Right, stir_ink, 2026-03-03
                Left, nozzle_check, 2026-03-04
                Right, nozzle_check, 2026-03-04
                """,
            )
        },
        {"name": "yes"},
    ),
    Untidy(
        "saved as Unicode text with tabs, Spanish days in words",
        "contadores.txt",
        "Impresora\tFecha\tSuperficie m²\nLeft\t1 de marzo de 2026\t1.250,5\n"
        "Left\t9 de marzo de 2026\t1.301,25\n".encode("utf-16"),
        {"counters": rows(READ, "Left, 2026-03-01, 1250.5\nLeft, 2026-03-09, 1301.25")},
    ),
    Untidy(
        "counters by day down and printer across",
        "area.csv",
        "Printed area m2 (total);;\nDate;Left;Right\n31 Jan 2026;101,5;88\n28 Feb 2026;140;\n"
        "31 Mar 2026;188,25;150\n",
        {
            "counters": rows(
                READ,
                """
                Left, 2026-01-31, 101.5
                Left, 2026-02-28, 140
                Left, 2026-03-31, 188.25
                Right, 2026-01-31, 88
                Right, 2026-03-31, 150
                """,
            )
        },
        {"|is": "counters", "|numbers": "counters"},
        aside=(1,),
    ),
    Untidy(
        "missing nozzles by channel across",
        "nozzles.csv",
        "Missing nozzles,,,,\nDate,Printer,K,W1,W2\n2026-03-02,Left,0,3,\n2026-03-09,Left,1,8,0\n",
        {
            "nozzle_checks": rows(
                "printer, checked_on, position, channel, missing_nozzles",
                """
                Left, 2026-03-02, H1, K, 0
                Left, 2026-03-02, H1, W1, 3
                Left, 2026-03-09, H1, K, 1
                Left, 2026-03-09, H1, W1, 8
                Left, 2026-03-09, H1, W2, 0
                """,
            )
        },
        {"|is": "nozzle_checks"},
        aside=(1,),
    ),
    Untidy(
        "stoppages with the day in one column and the hours in two",
        "downtime.csv",
        "Date,Printer,Reason,From,To\n2026-03-02,Left,no ink,08:00,10:30\n"
        "2026-04-11,Right,pump,13:15,17:00\n",
        {
            "stoppages": rows(
                "printer, began_at, ended_at, cause",
                "Left, 2026-03-02, 2026-03-02, no ink\nRight, 2026-04-11, 2026-04-11, pump",
            )
        },
        {"|is": "stoppages"},
    ),
    Untidy(
        "tasks with their reason in German, minutes with their unit in the cells",
        "Arbeiten.csv",
        "Datum;Drucker;Tätigkeit;Grund;Dauer;Wer\n13.01.2026;Left;Kopf spülen;geplant;30 min;AB\n"
        "14.01.2026;Right;Intensivreinigung;Störung;10 min;CD\n;;;;;\nges.;;;;40 min;\n",
        {
            "maintenance": rows(
                DONE + ", why, minutes, done_by",
                """
                Left, flush_in_place, 2026-01-13, planned, 30, AB
                Right, strong_clean, 2026-01-14, symptom, 10, CD
                """,
            )
        },
        aside=(5,),
    ),
    Untidy(
        "a workshop's holidays, French",
        "fermetures.csv",
        "Fermetures;;\nDu;Au;Remarque\n03/08/2026;23/08/2026;congés d'été\n"
        "24/12/2025;02/01/2026;fin d'année\n",
        {
            "closures": rows(
                "began_on, ended_on, note",
                "2026-08-03, 2026-08-23, congés d'été\n2025-12-24, 2026-01-02, fin d'année",
            )
        },
        {"|is": "closures", "began_on": "column: Du", "ended_on": "column: Au"},
        aside=(1,),
    ),
    Untidy(
        "counters with units in the headings, decimal commas and thousands points, German",
        "Zähler.csv",
        "Zählerstände;;\nDatum;Drucker;Fläche (m²)\n31.12.2025;Left;1.234,5\n"
        "31.01.2026;Left;1.301,25\n28.02.2026;Left;1.399\n31.12.2025;Right;987,0\n",
        {
            "counters": rows(
                READ,
                """
                Left, 2025-12-31, 1234.5
                Left, 2026-01-31, 1301.25
                Left, 2026-02-28, 1399
                Right, 2025-12-31, 987
                """,
            )
        },
        aside=(1,),
    ),
    Untidy(
        "counters in square feet under a heading of two rows with units",
        "counter.csv",
        "Printer,Date,Total\n,,(ft2)\nLeft,2026-03-02,1000\nLeft,2026-03-09,1100\n",
        {"counters": rows(READ, "Left, 2026-03-02, 92.903\nLeft, 2026-03-09, 102.193")},
    ),
    Untidy(
        "days that read both ways, which is asked",
        "c.csv",
        "Date,Printer,Total m2\n03/04/2026,Left,120\n05/04/2026,Left,130\n",
        {"counters": rows(READ, "Left, 2026-04-03, 120\nLeft, 2026-04-05, 130")},
        {"c.csv": "day first"},
    ),
    Untidy(
        "three writings of one printer's name and a total, English",
        "tasks.csv",
        "Printer,Date,Task,Why\nLeft,2026-03-02,stir ink,planned\n"
        "left one,2026-03-03,stir ink,planned\nL,2026-03-04,stir ink,planned\n"
        "LEFT,2026-03-05,stir ink,planned\nTotal,,4,\n",
        {
            "maintenance": rows(
                DONE,
                """
                Left, stir_ink, 2026-03-02
                Left, stir_ink, 2026-03-03
                Left, stir_ink, 2026-03-04
                Left, stir_ink, 2026-03-05
                """,
            )
        },
        {"names|": "yes"},
        aside=(6,),
    ),
    Untidy(
        "a printer nobody wrote down yet, which is asked and added",
        "counters.csv",
        "Printer;Date;Total m2\nLeft;2026-03-02;120\nNorth wall;2026-03-02;14,5\n"
        "North wall;2026-03-09;40\n",
        {
            "printers": rows("printer, started_on", "North wall, 2026-03-02"),
            "counters": rows(
                READ,
                """
                Left, 2026-03-02, 120
                North wall, 2026-03-02, 14.5
                North wall, 2026-03-09, 40
                """,
            ),
        },
        {"name|North wall": "a new printer"},
    ),
    Untidy(
        "the first file of a workshop with nothing written down, French",
        "compteurs.csv",
        "Relevé des compteurs\nImprimante;Date;Surface m²\nGrande;15/01/2026;10,5\n"
        "grande;31/01/2026;44\nPetite;31/01/2026;7,25\n",
        {
            "printers": rows("printer, started_on", "Grande, 2026-01-15\nPetite, 2026-01-31"),
            "counters": rows(
                READ,
                """
                Grande, 2026-01-15, 10.5
                Grande, 2026-01-31, 44
                Petite, 2026-01-31, 7.25
                """,
            ),
        },
        {"names|": "yes"},
        known=Records(),
        aside=(1,),
    ),
    Untidy(
        "no printer and no reason in the sheet: both asked once for all rows",
        "done.csv",
        "Date,What was done,By\n2026-03-02,shook the dampers,AB\n2026-03-16,shook the dampers,CD\n"
        "\nthe pump sounds odd,,\n",
        {
            "maintenance": rows(
                DONE + ", done_by, why",
                """
                Left, shake_dampers, 2026-03-02, AB, planned
                Left, shake_dampers, 2026-03-16, CD, planned
                """,
            )
        },
        {**PLANNED, "|printer": "Left"},
        aside=(5,),
    ),
    Untidy(
        "stoppages with hours, Windows-1252 German, comment rows and the header on each page",
        "Stillstand.csv",
        (
            "Drucker;Stillstand von;Stillstand bis;Grund\n"
            "Left;03.02.2026 08:30;03.02.2026 14:00;Kopf tot, Ersatz da\n"
            "Seite 2;;;\nDrucker;Stillstand von;Stillstand bis;Grund\n"
            "Right;17.05.2026 09:00;19.05.2026 12:15;Pumpe undicht (für später)\n"
        ).encode("cp1252"),
        {
            "stoppages": rows(
                "printer, began_at, ended_at",
                "Left, 2026-02-03, 2026-02-03\nRight, 2026-05-17, 2026-05-19",
            )
        },
        aside=(3, 4),
    ),
    Untidy(
        "nozzle checks without a place of the head, Spanish",
        "boquillas.csv",
        "Impresora;Fecha;Canal;Boquillas perdidas\nLeft;28/02/2026;K;3\nLeft;28/02/2026;W1;12\n"
        "Right;01/03/2026;C;0\n",
        {
            "nozzle_checks": rows(
                "printer, checked_on, position, channel, missing_nozzles",
                """
                Left, 2026-02-28, H1, K, 3
                Left, 2026-02-28, H1, W1, 12
                Right, 2026-03-01, H1, C, 0
                """,
            )
        },
        {"|is": "nozzle_checks", "missing_nozzles": "column: Boquillas perdidas"},
    ),
    Untidy(
        "printers as lines of their own between the rows, trailing notes",
        "by printer.csv",
        "Date;Task;Minutes;Why\nLeft;;;\n2 Mar 2026;clean head;5;planned\n"
        "3 Mar 2026;strong head clean;10;symptom\nRight;;;\n2 Mar 2026;flush head;35;planned\n"
        ";;;\nchecked by the owner on 4 March;;;\n",
        {
            "maintenance": rows(
                DONE + ", minutes, why",
                """
                Left, head_clean, 2026-03-02, 5, planned
                Left, strong_clean, 2026-03-03, 10, symptom
                Right, flush_in_place, 2026-03-02, 35, planned
                """,
            )
        },
        aside=(2, 5, 8),
    ),
    Untidy(
        "pasted from a spreadsheet: tabs, quotes around a note of two lines",
        "pasted rows",
        'Date\tPrinter\tTask\tWhy\tNote\n2026-03-02\tLeft\tstir ink\tplanned\t"lid was\nopen"\n'
        "2026-03-03\tRight\tnozzle check\tplanned\t\n",
        {"maintenance": rows(DONE, "Left, stir_ink, 2026-03-02\nRight, nozzle_check, 2026-03-03")},
    ),
    Untidy(
        "a counter that falls, for the cell lost a digit",
        "readings.csv",
        "Printer,Date,Total m2\nLeft,2026-03-02,1200\nLeft,2026-03-09,125\nLeft,2026-03-16,1300\n",
        {
            "counters": rows(
                READ, "Left, 2026-03-02, 1200\nLeft, 2026-03-09, 1250\nLeft, 2026-03-16, 1300"
            )
        },
        refused=(Refused(3, "Total m2", "1200"),),
        mended="Printer,Date,Total m2\nLeft,2026-03-02,1200\nLeft,2026-03-09,1250\n"
        "Left,2026-03-16,1300\n",
    ),
    Untidy(
        "a letter, which is no table",
        "letter.csv",
        "Dear all,\n\nplease remember to shake the dampers.\n\nThanks\n",
        {},
        {"|is": "leave out"},
        aside=(1, 3, 5),
    ),
)
