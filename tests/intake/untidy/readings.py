"""Counters and nozzle checks: units, numbers, days, and printers or channels across."""

from __future__ import annotations

from tests.intake.untidy.sheet import Refused, Untidy, rows
from tracker.workshop.records import Records

READ = "printer, read_on, area_m2"

READINGS = (
    Untidy(
        "days as a spreadsheet program counts them",
        "serials.csv",
        "Printer,Date,Total m2\nLeft,46083,120\nLeft,46090,130\n",
        {"counters": rows(READ, "Left, 2026-03-02, 120\nLeft, 2026-03-09, 130")},
        says=("serial numbers were read as days",),
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
)
