"""Calendars in text files: days down or across, five languages, every kind of mark."""

from __future__ import annotations

from tests.intake.untidy.sheet import PLANNED, Untidy, rows

DONE = "printer, task, done_on"

CALENDARS = (
    Untidy(
        "words among the marks, which are asked",
        "words.csv",
        "March 2026 Left,,\nDay,Stir ink,Shake dampers\n1,x,\n2,x?,\n3,x,late\n4,,x\n",
        {
            "maintenance": rows(
                DONE + ", note",
                """
                Left, stir_ink, 2026-03-01,
                Left, stir_ink, 2026-03-02, x?
                Left, stir_ink, 2026-03-03,
                Left, shake_dampers, 2026-03-03, late
                Left, shake_dampers, 2026-03-04,
                """,
            )
        },
        {**PLANNED, "|words": "done, kept as a note"},
        aside=(1,),
    ),
    Untidy(
        "days across with their weekdays in a row below, empty columns first, German",
        "Kalender.csv",
        ";;Left;August 2026;;;;;\n;;Aufgabe;1;2;3;4;5;6\n;;;Sa;So;Mo;Di;Mi;Do\n"
        ";;Weiß rühren;;;x;x;x;\n;;Düsentest;;;x;;x;MK\n;;Summe;0;0;2;1;2;1\n",
        {
            "maintenance": rows(
                "printer, task, done_on, done_by",
                """
                Left, stir_ink, 2026-08-03,
                Left, stir_ink, 2026-08-04,
                Left, stir_ink, 2026-08-05,
                Left, nozzle_check, 2026-08-03,
                Left, nozzle_check, 2026-08-05,
                Left, nozzle_check, 2026-08-06, MK
                """,
            )
        },
        PLANNED,
        aside=(1, 3, 6),
    ),
    Untidy(
        "parts named without saying what was done to them: asked together",
        "may.csv",
        "Right - May 2026;;\nDay;Dampers;Wiper\n1;x;\n2;;x\n3;x;\n4;;\n",
        {
            "maintenance": rows(
                DONE,
                """
                Right, shake_dampers, 2026-05-01
                Right, shake_dampers, 2026-05-03
                Right, clean_wiper_cap, 2026-05-02
                """,
            )
        },
        {**PLANNED, "|roles": "yes"},
        aside=(1,),
    ),
    Untidy(
        "tasks and printers down, days across, two-digit year, Spanish marks and nothings",
        "Mantenimiento.csv",
        "Mantenimiento feb. 26;;;;;;;\nImpresora;Tarea;1;2;3;4;5;6\n"
        "Left;Prueba de inyectores;sí;no;sí;;;\nLeft;Limpiar rodillos;;;;;;x\n"
        "Right;Prueba de inyectores;;sí;;n/a;;\n",
        {
            "maintenance": rows(
                DONE,
                """
                Left, nozzle_check, 2026-02-01
                Left, nozzle_check, 2026-02-03
                Left, clean_rollers, 2026-02-06
                Right, nozzle_check, 2026-02-02
                """,
            )
        },
        PLANNED,
        aside=(1,),
    ),
    Untidy(
        "days down, marks of every kind, initials, a total and a legend, English",
        "log.csv",
        "Maintenance March 2026 - Left,,,,\n,,,,\n"
        "Day,Shake dampers,Stir white ink,Nozzle check,Remarks\n"
        "1,X,✓,x,\n2,,1,x,\n3,-,AB,CD,new film\n4,,,,closed\n5,x,yes,,\n"
        "Total,2,4,3,\nx = done; initials = who did it,,,,\n",
        {
            "maintenance": rows(
                "printer, task, done_on, done_by, note, why",
                """
                Left, shake_dampers, 2026-03-01, , , planned
                Left, shake_dampers, 2026-03-05, , , planned
                Left, stir_ink, 2026-03-01, , , planned
                Left, stir_ink, 2026-03-02, , , planned
                Left, stir_ink, 2026-03-03, AB, new film, planned
                Left, stir_ink, 2026-03-05, , , planned
                Left, nozzle_check, 2026-03-01, , , planned
                Left, nozzle_check, 2026-03-02, , , planned
                Left, nozzle_check, 2026-03-03, CD, new film, planned
                """,
            )
        },
        PLANNED,
        aside=(1, 7, 9, 10),
    ),
    Untidy(
        "days with weekdays, German words in Windows-1252, blank rows between weeks",
        "Wartung.csv",
        (
            "Wartungsplan Dezember 2025;;;\nDrucker: Right;;;\n\n"
            "Tag;Dämpfer geschüttelt;Weiß gerührt;Abstreifer gereinigt\n"
            "Mo 01.12.2025;x;x;\nDi 02.12.2025;;x;\nMi 03.12.2025;;MK;x\n;;;\n"
            "Mo 08.12.2025;x;;\nSo 14.12.2025;;;MK\n\nSumme;2;3;2\n"
        ).encode("cp1252"),
        {
            "maintenance": rows(
                "printer, task, done_on, done_by",
                """
                Right, shake_dampers, 2025-12-01,
                Right, shake_dampers, 2025-12-08,
                Right, stir_ink, 2025-12-01,
                Right, stir_ink, 2025-12-02,
                Right, stir_ink, 2025-12-03, MK
                Right, clean_wiper_cap, 2025-12-03,
                Right, clean_wiper_cap, 2025-12-14, MK
                """,
            )
        },
        PLANNED,
        aside=(1, 2, 12),
    ),
    Untidy(
        "days across and tasks down, Spanish, the month in the file's name, sums at the edge",
        "registro abril 2026 Left.csv",
        "Tarea;1;2;3;4;5;6;7;Total\nRemover tinta blanca;x;x;;x;;;;3\n"
        "Agitar amortiguadores;;;x;;;;;1\nLimpiar cabezal;;;;;;x;x;2\nSuma;1;1;1;1;0;1;1;6\n",
        {
            "maintenance": rows(
                DONE,
                """
                Left, stir_ink, 2026-04-01
                Left, stir_ink, 2026-04-02
                Left, stir_ink, 2026-04-04
                Left, shake_dampers, 2026-04-03
                Left, head_clean, 2026-04-06
                Left, head_clean, 2026-04-07
                """,
            )
        },
        PLANNED,
        aside=(5,),
    ),
    Untidy(
        "printers across for the one task in the title, French weekdays",
        "buses.csv",
        "Contrôle des buses - septembre 2026\nJour\tLeft\tRight\n"
        "lundi 07/09/2026\tx\tx\nmardi 08/09/2026\tx\t\nmercredi 16/09/2026\t\tAL\n",
        {
            "maintenance": rows(
                "printer, task, done_on, done_by",
                """
                Left, nozzle_check, 2026-09-07,
                Left, nozzle_check, 2026-09-08,
                Right, nozzle_check, 2026-09-07,
                Right, nozzle_check, 2026-09-16, AL
                """,
            )
        },
        PLANNED,
        aside=(1,),
    ),
    Untidy(
        "months as lines of their own between the days, Italian",
        "registro.csv",
        "Registro manutenzione Left 2026;;\nGiorno;Mescolare inchiostro bianco;Pulizia testina\n"
        "Marzo;;\n1;x;\n2;x;x\n31;;x\nAprile;;\n1;x;\n30;;sì\nTotale;3;3\n",
        {
            "maintenance": rows(
                DONE,
                """
                Left, stir_ink, 2026-03-01
                Left, stir_ink, 2026-03-02
                Left, head_clean, 2026-03-02
                Left, head_clean, 2026-03-31
                Left, stir_ink, 2026-04-01
                Left, head_clean, 2026-04-30
                """,
            )
        },
        PLANNED,
        aside=(1, 3, 7, 10),
    ),
    Untidy(
        "minutes instead of marks, which is asked, with a decimal comma",
        "minutes.csv",
        "June 2026 Right\nDay;Shake dampers;Flush head\n1;20;\n2;;37,5\n3;0;\n4;25;\n5;;\n",
        {
            "maintenance": rows(
                "printer, task, done_on, minutes",
                """
                Right, shake_dampers, 2026-06-01, 20
                Right, shake_dampers, 2026-06-04, 25
                Right, flush_in_place, 2026-06-02, 37.5
                """,
            )
        },
        {**PLANNED, "|numbers": "minutes"},
        aside=(1,),
    ),
    Untidy(
        "neither month nor printer anywhere",
        "calendar.csv",
        "Day,Stir ink,Empty waste\n1,x,\n2,x,\n3,,x\n4,,\n28,x,\n",
        {
            "maintenance": rows(
                DONE,
                """
                Right, stir_ink, 2026-02-01
                Right, stir_ink, 2026-02-02
                Right, stir_ink, 2026-02-28
                Right, empty_waste, 2026-02-03
                """,
            )
        },
        {**PLANNED, "|month": "2026-02", "|printer": "Right"},
    ),
    Untidy(
        "parts among the tasks: a mark under a changed part is a change",
        "october.csv",
        "Left October 2026,,,\nDate,Dampers shaken,New wiper,Changed damper W1\n"
        "1 Oct 2026,x,,\n2 Oct 2026,,x,\n9 Oct 2026,x,,X\n23 Oct 2026,,x,\n",
        {
            "maintenance": rows(
                DONE, "Left, shake_dampers, 2026-10-01\nLeft, shake_dampers, 2026-10-09"
            ),
            "fittings": rows(
                "printer, part_kind, position, fitted_on, removed_on",
                """
                Left, wiper, wiper, 2026-10-02, 2026-10-23
                Left, wiper, wiper, 2026-10-23,
                Left, damper, W1, 2026-10-09,
                """,
            ),
        },
        PLANNED | {"|roles": "yes"},
        aside=(1,),
    ),
    Untidy(
        "two calendars below each other, one for each printer",
        "both.csv",
        "Left - May 2026\nDay,Stir ink,Clean cap\n1,x,\n2,,x\n3,x,\n4,,\n\n"
        "Right - May 2026\nDay,Stir ink,Nozzle check\n1,,x\n2,x,\n3,,\n4,,x\n",
        {
            "maintenance": rows(
                DONE,
                """
                Left, stir_ink, 2026-05-01
                Left, stir_ink, 2026-05-03
                Left, clean_wiper_cap, 2026-05-02
                Right, nozzle_check, 2026-05-01
                Right, nozzle_check, 2026-05-04
                Right, stir_ink, 2026-05-02
                """,
            )
        },
        PLANNED,
        aside=(1, 8),
    ),
    Untidy(
        "printers across, and each cell says what was done, or that nothing was",
        "done.csv",
        "March 2026,,\nDay,Left,Right\n1,stir ink,stir ink\n2,new wiper,\n3,,shake dampers\n"
        '4,"stirred ink, new wiper",stir ink\n5,-,closed\n6,new damper W1 and W2,\n',
        {
            "maintenance": rows(
                DONE + ", why",
                """
                Left, stir_ink, 2026-03-01, planned
                Right, stir_ink, 2026-03-01, planned
                Right, shake_dampers, 2026-03-03, planned
                Left, stir_ink, 2026-03-04, planned
                Right, stir_ink, 2026-03-04, planned
                """,
            ),
            "fittings": rows(
                "printer, part_kind, position, fitted_on, removed_on",
                """
                Left, wiper, wiper, 2026-03-02, 2026-03-04
                Left, wiper, wiper, 2026-03-04,
                Left, damper, W1, 2026-03-06,
                Left, damper, W2, 2026-03-06,
                """,
            ),
        },
        {**PLANNED, "|words": "not done"},
        aside=(1, 7),
    ),
    Untidy(
        "days in full down, what was done under printers nobody wrote down yet, German",
        "Arbeiten Halle.csv",
        "Datum;Nord;Süd\n12.01.2026;Weiß rühren;Weiß rühren\n"
        "13.01.2026;neuer Abstreifer, Weiß gerührt;\n14.01.2026;;Düsentest\n",
        {
            "printers": rows("printer, started_on", "Nord, 2026-01-12\nSüd, 2026-01-12"),
            "maintenance": rows(
                DONE,
                """
                Nord, stir_ink, 2026-01-12
                Süd, stir_ink, 2026-01-12
                Nord, stir_ink, 2026-01-13
                Süd, nozzle_check, 2026-01-14
                """,
            ),
            "fittings": rows(
                "printer, part_kind, position, fitted_on", "Nord, wiper, wiper, 2026-01-13"
            ),
        },
        {**PLANNED, "names|": "yes"},
    ),
    Untidy(
        "one calendar for both printers, as its title says",
        "plan.csv",
        "Both printers - March 2026,,\nDay,Stir ink,Shake dampers\n1,x,\n2,,x\n3,x,\n4,,\n",
        {
            "maintenance": rows(
                DONE,
                """
                Left, stir_ink, 2026-03-01
                Right, stir_ink, 2026-03-01
                Left, shake_dampers, 2026-03-02
                Right, shake_dampers, 2026-03-02
                Left, stir_ink, 2026-03-03
                Right, stir_ink, 2026-03-03
                """,
            )
        },
        {**PLANNED, "name|Both printers": "every printer"},
        aside=(1,),
        says=('"Both printers" was taken for every printer: Left, Right.',),
    ),
)
