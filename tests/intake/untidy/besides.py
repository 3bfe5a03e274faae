"""Lists of part changes that tell besides how long the printer stood and what number came out."""

from __future__ import annotations

import pandas as pd

from tests.intake.sheets import book, workshop_of
from tests.intake.untidy.sheet import LOG_BEGAN, Refused, Untidy, rows, with_log_since
from tracker.workshop.records import Records

PART = "printer, part_kind, position, fitted_on, removed_on, serial"
STOOD = "printer, part_kind, began_at, ended_at, note"
KNOWN_LENGTH = "only how long it stood is known"
CAP_AND_WIPER = rows(
    PART,
    """
    Left, cap, cap, , 2026-01-13,
    Left, cap, cap, 2026-01-13, ,
    Left, wiper, wiper, , 2026-01-13,
    Left, wiper, wiper, 2026-01-13, ,
    """,
)


def _in_there(*, serial: str = "") -> Records:
    """The workshop with a wiper in the left printer whose end is not written down."""
    fittings = {
        "printer": ["Left"],
        "part_kind": ["wiper"],
        "position": ["wiper"],
        "fitted_on": pd.to_datetime(["2026-01-07"]),
        "serial": [serial],
    }
    printers = workshop_of("Left", "Right").printers
    records = Records.of({"printers": printers, "fittings": pd.DataFrame(fittings)})
    return with_log_since(LOG_BEGAN, records)


BESIDES = (
    Untidy(
        "hours of standing and both serial numbers beside each change, German",
        "Tausch.csv",
        "Datum;Drucker;Teil;Grund;Stillstand h;Seriennr. alt;Seriennr. neu\n"
        "13.01.2026;Left;Wischer;kaputt;2,5;A1;A2\n"
        "14.03.2026;Left;Wischer;kaputt;30;A2;A3\n"
        "16.03.2026;Right;Pumpe;kaputt;90 min;P9;\n"
        "17.03.2026;Right;Kappe;geplant;0;;\n",
        {
            "fittings": rows(
                PART,
                """
                Left, wiper, wiper, , 2026-01-13, A1
                Left, wiper, wiper, 2026-01-13, 2026-03-14, A2
                Left, wiper, wiper, 2026-03-14, , A3
                Right, pump, pump, , 2026-03-16, P9
                Right, pump, pump, 2026-03-16, ,
                Right, cap, cap, , 2026-03-17,
                Right, cap, cap, 2026-03-17, ,
                """,
            ),
            "stoppages": rows(
                STOOD,
                f"""
                Left, wiper, 2026-01-13, 2026-01-13, {KNOWN_LENGTH}
                Left, wiper, 2026-03-13, 2026-03-14, {KNOWN_LENGTH}
                Right, pump, 2026-03-16, 2026-03-16, {KNOWN_LENGTH}
                """,
            ),
        },
        says=("3 stoppages were made",),
    ),
    Untidy(
        "hours of standing in a log of tasks and changes, Spanish",
        "registro.csv",
        "Fecha;Impresora;Qué;Horas parada;Nº de serie antiguo\n"
        "13/01/2026;Left;limpiador cambiado;1,5;L-7\n14/01/2026;Left;agitar tinta;0,5;\n",
        {
            "fittings": rows(
                PART,
                "Left, wiper, wiper, , 2026-01-13, L-7\nLeft, wiper, wiper, 2026-01-13, ,",
            ),
            "maintenance": rows("printer, task, done_on", "Left, stir_ink, 2026-01-14"),
            "stoppages": rows(STOOD, f"Left, wiper, 2026-01-13, 2026-01-13, {KNOWN_LENGTH}"),
        },
        {"|why": "planned"},
        says=("1 row of a task tells hours",),
    ),
    Untidy(
        "one standstill told beside both parts changed in it, Italian",
        "cambi.csv",
        "Data;Stampante;Pezzo;Motivo;Fermo ore\n"
        "13/01/2026;Left;cappuccio;rotto;4\n13/01/2026;Left;tergitestina;rotto;4\n",
        {
            "fittings": CAP_AND_WIPER,
            "stoppages": rows(STOOD, f"Left, , 2026-01-13, 2026-01-13, {KNOWN_LENGTH}"),
        },
        {"stood|several": "one stop, told more than once", "|words": "yes"},
    ),
    Untidy(
        "two standstills of one day beside each other, French, the unit said nowhere",
        "changements.csv",
        "Date;Imprimante;Pièce;Raison;Arrêt\n"
        "13/01/2026;Left;capuchon;cassé;4\n13/01/2026;Left;racle;cassé;3\n",
        {
            "fittings": CAP_AND_WIPER,
            "stoppages": rows(
                STOOD,
                f"""
                Left, cap, 2026-01-13, 2026-01-13, {KNOWN_LENGTH}
                Left, wiper, 2026-01-13, 2026-01-13, {KNOWN_LENGTH}
                """,
            ),
        },
        {"stood|several": "one after the other", "hours_down": "yes", "|words": "yes"},
    ),
    Untidy(
        "hours beside a change whose standstill has its own sheet with times",
        "both.xlsx",
        book(
            {
                "Changes": [
                    ["Date", "Printer", "Part", "Why out", "Downtime (h)"],
                    ["2026-03-02", "Left", "wiper", "failed", 3],
                    ["2026-03-05", "Left", "cap", "failed", 2],
                ],
                "Standing": [
                    ["Printer", "Stopped at", "Running again", "Reason"],
                    ["Left", "2026-03-02 09:00", "2026-03-02 12:10", "wiper torn"],
                ],
            }
        ),
        {
            "fittings": rows(
                PART,
                """
                Left, wiper, wiper, , 2026-03-02,
                Left, wiper, wiper, 2026-03-02, ,
                Left, cap, cap, , 2026-03-05,
                Left, cap, cap, 2026-03-05, ,
                """,
            ),
            "stoppages": rows(
                STOOD,
                f"""
                Left, , 2026-03-02, 2026-03-02,
                Left, cap, 2026-03-05, 2026-03-05, {KNOWN_LENGTH}
                """,
            ),
        },
        says=("not added (Left, 2026-03-02)",),
    ),
    Untidy(
        "the number of a part that is written down already and came out since",
        "swap.csv",
        "Changed on,Printer,Part,Why out,Old serial,New serial\n"
        "2026-05-04,Left,wiper,failed,W-11,W-12\n",
        {
            "fittings": rows(
                PART,
                "Left, wiper, wiper, 2026-01-07, 2026-05-04, W-11\n"
                "Left, wiper, wiper, 2026-05-04, , W-12",
            )
        },
        known=_in_there(),
    ),
    Untidy(
        "another number than the one written down of the part that came out",
        "swap.csv",
        "Changed on,Printer,Part,Why out,Old serial,New serial\n"
        "2026-05-04,Left,wiper,failed,W-99,W-12\n",
        {
            "fittings": rows(
                PART,
                "Left, wiper, wiper, 2026-01-07, 2026-05-04, W-11\n"
                "Left, wiper, wiper, 2026-05-04, , W-12",
            )
        },
        known=_in_there(serial="W-11"),
        says=("serial number W-99", "bears W-11, which is kept"),
    ),
    Untidy(
        "old serial numbers in a list from day to day",
        "list.csv",
        "Printer,Part,Position,Fitted,Removed,Reason,Serial,Serial out\n"
        "Left,wiper,wiper,2025-01-03,2025-06-04,failed,,A1\n"
        "Left,wiper,wiper,2025-06-04,2025-09-04,failed,A2,\n"
        "Left,cap,cap,2025-06-04,,,C2,C1\n",
        {
            "fittings": rows(
                PART,
                """
                Left, wiper, wiper, 2025-01-03, 2025-06-04, A1
                Left, wiper, wiper, 2025-06-04, 2025-09-04, A2
                Left, cap, cap, 2025-06-04, , C2
                """,
            )
        },
        says=("serial number C1", "it is not kept"),
    ),
    Untidy(
        "fewer than no hours of standing beside a change",
        "minus.csv",
        "Date,Printer,Part,Why out,Hours down\n2026-03-02,Left,wiper,failed,-3\n",
        {
            "fittings": rows(
                PART,
                "Left, wiper, wiper, , 2026-03-02,\nLeft, wiper, wiper, 2026-03-02, ,",
            ),
            "stoppages": rows(STOOD, f"Left, wiper, 2026-03-02, 2026-03-02, {KNOWN_LENGTH}"),
        },
        refused=(Refused(2, "Hours down", "-3 is below zero"),),
        mended="Date,Printer,Part,Why out,Hours down\n2026-03-02,Left,wiper,failed,3\n",
    ),
)
