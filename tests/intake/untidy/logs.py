"""Lists of tasks, stoppages, closures: names, reasons and comments untidy."""

from __future__ import annotations

from tests.intake.untidy.sheet import PLANNED, Untidy, rows

DONE = "printer, task, done_on"

LOGS = (
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
        "a letter, which is no table",
        "letter.csv",
        "Dear all,\n\nplease remember to shake the dampers.\n\nThanks\n",
        {},
        {"|is": "leave out"},
        aside=(1, 3, 5),
    ),
    Untidy(
        "tasks done on both printers at once, among others",
        "week.csv",
        "Printer,Task,Date,Why\nBoth,stir ink,2026-01-05,planned\n"
        "Left,shake dampers,2026-01-06,planned\nall printers,nozzle check,2026-01-07,symptom\n",
        {
            "maintenance": rows(
                DONE + ", why",
                """
                Left, stir_ink, 2026-01-05, planned
                Right, stir_ink, 2026-01-05, planned
                Left, shake_dampers, 2026-01-06, planned
                Left, nozzle_check, 2026-01-07, symptom
                Right, nozzle_check, 2026-01-07, symptom
                """,
            )
        },
        {"names|": "yes"},
    ),
    Untidy(
        "a reason of the workshop's own in several rows, asked once",
        "reasons.csv",
        "Printer,Part,Fitted,Removed,Reason\nLeft,wiper,2025-01-05,2025-06-05,edge gone\n"
        "Right,wiper,2025-01-05,2025-07-05,edge gone\nRight,cap,2025-01-05,2025-06-01,planned\n",
        {
            "fittings": rows(
                "printer, part_kind, fitted_on, removed_on, removal_reason",
                """
                Left, wiper, 2025-01-05, 2025-06-05, failed
                Right, wiper, 2025-01-05, 2025-07-05, failed
                Right, cap, 2025-01-05, 2025-06-01, planned
                """,
            )
        },
        {"word|removal_reason|edge gone": "failed"},
        says=('removal_reason: "edge gone" was read as failed (2 rows).',),
    ),
    Untidy(
        "reasons that say how a part failed, and one that a head was moved",
        "how.csv",
        "Printer,Part,Fitted,Removed,Reason,Note\nLeft,wiper,2025-01-05,2025-06-05,Worn,late\n"
        "Right,ink filter,2025-01-05,2025-06-06,clogged,\n"
        "Right,cap,2025-01-05,2025-06-01,leaks,\nLeft,head,2025-01-05,2025-06-02,Head strike,\n"
        "Right,head,2025-01-05,2025-06-03,nozzles blocked,\n"
        "Left,pump,2025-01-05,2025-06-04,moved,\nRight,pump,2025-01-05,2025-06-04,broken,\n",
        {
            "fittings": rows(
                "printer, part_kind, removed_on, removal_reason, failure_mode, note",
                """
                Left, wiper, 2025-06-05, failed, , late; Reason: Worn
                Right, ink_filter, 2025-06-06, failed, clogged,
                Right, cap, 2025-06-01, failed, , Reason: leaks
                Left, head, 2025-06-02, accident, head strike,
                Right, head, 2025-06-03, failed, nozzles blocked,
                Left, pump, 2025-06-04, planned, , Reason: moved
                Right, pump, 2025-06-04, failed, ,
                """,
            )
        },
        {"set|ink_filter": "W1"},
    ),
    Untidy(
        "cap and wiper cleaned each for itself, which would be one task of ours",
        "cleaning.csv",
        "Date,Printer,Job,Why\n2026-03-02,Left,Cleaned cap,planned\n"
        "2026-03-02,Left,Cleaned wiper,planned\n2026-03-09,Left,Cleaned cap,planned\n",
        {
            "maintenance": rows(
                DONE,
                """
                Left, Cleaned cap, 2026-03-02
                Left, Cleaned cap, 2026-03-09
                Left, Cleaned wiper (wiper), 2026-03-02
                """,
            )
        },
        {"|clean_wiper_cap|tasks": "tasks of their own"},
    ),
    Untidy(
        "reasons that nothing speaks for, each asked by itself among those that are clear",
        "came out.csv",
        "Printer,Part,Fitted,Removed,Reason\nLeft,wiper,2025-01-05,2025-06-05,smeared\n"
        "Right,wiper,2025-01-05,2025-07-05,tidied up\nRight,cap,2025-01-05,2025-06-01,faild\n"
        "Left,cap,2025-01-05,2025-06-01,planed\n",
        {
            "fittings": rows(
                "printer, part_kind, removed_on, removal_reason",
                """
                Left, wiper, 2025-06-05, failed
                Right, wiper, 2025-07-05, planned
                Right, cap, 2025-06-01, failed
                Left, cap, 2025-06-01, planned
                """,
            )
        },
        {
            "word|removal_reason|smeared": "failed",
            "word|removal_reason|tidied up": "planned",
            "words of cells": "yes",
        },
    ),
    Untidy(
        "days of the month down a list, the month in its title",
        "march.csv",
        "March 2026 Left\nDay,Task,Note\n1,stir ink,\n2,nozzle check,ok\n3,shake dampers,\n"
        "4,stir ink,\n",
        {
            "maintenance": rows(
                DONE + ", note",
                """
                Left, stir_ink, 2026-03-01,
                Left, nozzle_check, 2026-03-02, ok
                Left, shake_dampers, 2026-03-03,
                Left, stir_ink, 2026-03-04,
                """,
            )
        },
        PLANNED,
        aside=(1,),
    ),
    Untidy(
        "days of the month down a list of tasks and changed parts, the month in its title",
        "april.csv",
        "April 2026 Right\nDay,Task,Note\n1,stir ink,\n2,new wiper,hard\n3,shake dampers,\n"
        "14,stir ink,\n",
        {
            "maintenance": rows(
                DONE,
                """
                Right, stir_ink, 2026-04-01
                Right, shake_dampers, 2026-04-03
                Right, stir_ink, 2026-04-14
                """,
            ),
            "fittings": rows(
                "printer, part_kind, position, fitted_on, note",
                "Right, wiper, wiper, 2026-04-02, hard",
            ),
        },
        PLANNED,
        aside=(1,),
    ),
    Untidy(
        "a table of one row above a longer one with more headings",
        "two tables.csv",
        "Printer,Date,Total m2\nLeft,2026-01-31,120\n\n"
        "Printer,Task,Date,Why,Minutes\nLeft,stir ink,2026-01-05,planned,3\n"
        "Right,stir ink,2026-01-06,planned,4\n",
        {
            "counters": rows("printer, read_on, area_m2", "Left, 2026-01-31, 120"),
            "maintenance": rows(
                DONE + ", minutes", "Left, stir_ink, 2026-01-05, 3\nRight, stir_ink, 2026-01-06, 4"
            ),
        },
    ),
)
